//! Takes one claim; gives why it is where it is: rule, numbers, evidence, coverage, criterion, next step, inputs.

use std::collections::BTreeSet;

use super::desk::Desk;
use super::ink::{self, Cell, cell, text};
use super::words;
use crate::diag::At;
use crate::model::assessment::{ClaimResult, Cover, State};
use crate::model::document::{Block, Inline};
use crate::model::workings::{Origin, WorkingId};

/// Labelled lines on a claim. The dossier and `galipot why` print the same.
pub fn lines(desk: &Desk, c: &ClaimResult) -> Vec<(&'static str, Cell)> {
    let mut out: Vec<(&'static str, Cell)> = vec![("Rule", rule(desk, c))];
    if c.value.is_finite() || c.limit.is_finite() {
        let mut line = if c.value.is_finite() {
            super::claims::numbered(desk, c, c.value, false)
        } else {
            cell("none that counts")
        };
        if c.value.is_finite() && c.guard.is_finite() && c.guard != 0.0 {
            line.push(text(" after a guard band of "));
            line.extend(super::claims::numbered(desk, c, c.guard, false));
        }
        line.push(text(", limit "));
        line.extend(super::claims::numbered(desk, c, c.limit, false));
        line.push(text(", margin "));
        line.extend(super::claims::margin(desk, c));
        if !c.place.is_empty() {
            line.push(text(format!(", at {}", c.place)));
        }
        if c.n > 0 {
            line.extend([text(", n "), ink::count(c.n)]);
        }
        out.push(("Value", line));
    }
    if !c.reasons.is_empty() {
        out.push(("Why", super::unproven::reasons(desk, c, 6)));
    } else if c.state == State::Supported {
        let later: Vec<&str> = desk
            .claims(c.tree)
            .filter(|x| x.parent.as_deref() == Some(c.id.as_str()) && x.after_issue && !c.after_issue)
            .filter(|x| x.state < State::Supported)
            .map(|x| x.id.as_str())
            .collect();
        out.push((
            "Why",
            cell(if later.is_empty() {
                "every test of the rule is met".to_string()
            } else {
                format!(
                    "every test of the rule is met; {} comes after issue and does not count for the technical state",
                    later.join(", ")
                )
            }),
        ));
    }
    out.push(("Evidence", evidence(desk, c)));
    if let Some(line) = coverage(desk, c) {
        out.push(("Coverage", line));
    }
    if let Some(line) = criterion(desk, c) {
        out.push(("Criterion", line));
    }
    let named = |label: &'static str, ids: &[String]| (!ids.is_empty()).then(|| (label, cell(ids.join(", "))));
    if !c.conditions.is_empty() {
        out.push(("Conditions", ink::joined(c.conditions.iter().map(|id| vec![desk.condition_link(id)]), ", ")));
    }
    out.extend(named("Assumptions", &c.assumptions));
    out.extend(named("Bridges", &c.bridges));
    out.extend(named("Waivers", &c.waivers));
    out.extend(named("Doubts", &c.defeaters));
    let but = super::announced::of_claim(desk, c);
    if c.valid_until.is_some() || !but.is_empty() {
        let from =
            if c.valid_until_from.is_empty() { String::new() } else { format!(", because of {}", c.valid_until_from) };
        let day = c.valid_until.map_or("no date".to_string(), |d| d.to_string());
        out.push(("Valid until", cell(format!("{day}{from}{but}"))));
    }
    if !c.looked_at.is_empty() {
        let mut looked = c.looked_at.clone();
        let mut once = BTreeSet::new();
        looked.retain(|l| once.insert(l.clone()));
        let seen = looked.iter().take(12).map(|(words, at)| vec![text(format!("{words} ")), desk.place(*at)]);
        let mut line = ink::joined(seen, "; ");
        if looked.len() > 12 {
            line.push(text(format!("; and {} more", looked.len() - 12)));
        }
        out.push(("Looked at", line));
    }
    out.push(("Next step", cell(super::next::step(desk, c))));
    out
}

fn rule(desk: &Desk, c: &ClaimResult) -> Cell {
    let mut out = c.rule.clone();
    if let Some(s) = desk.spec(c) {
        if let Some(check) = &s.check {
            out.push_str(&format!(", check {check}"));
        }
        if let Some(per) = s.per {
            out.push_str(&format!(", per {}", per.word().replace('_', " ")));
        }
        if let Some(w) = s.washed {
            out.push_str(&format!(", boards {w}"));
        }
    }
    if !c.statistic.is_empty() {
        out.push_str(&format!(", {}", c.statistic));
    }
    cell(out)
}

fn evidence(desk: &Desk, c: &ClaimResult) -> Cell {
    let mut parts: Vec<Cell> = c
        .runs
        .iter()
        .map(|id| {
            let verdict = words::verdict(desk.verdict(id));
            let heard =
                c.voices.iter().filter(|v| v.run == *id).map(|v| words::verdict(v.verdict)).collect::<BTreeSet<_>>();
            let heard =
                if heard.is_empty() { verdict.to_string() } else { heard.into_iter().collect::<Vec<_>>().join("/") };
            vec![desk.run_link(id), text(format!(" {heard} ({})", desk.role(id)))]
        })
        .collect();
    let silent: BTreeSet<&str> = c.voices.iter().filter(|v| !c.runs.contains(&v.run)).map(|v| v.run.as_str()).collect();
    for id in silent {
        let why = c
            .voices
            .iter()
            .find(|v| v.run == id)
            .map_or("", |v| if v.reason.is_empty() { v.counts_as } else { v.reason.as_str() });
        parts.push(vec![text("heard, does not carry: "), desk.run_link(id), text(format!(" ({why})"))]);
    }
    if parts.is_empty() {
        return cell(if c.rule == "evidence" { "none" } else { "records of the site, listed under looked at" });
    }
    ink::joined(parts, "; ")
}

/// Uncovered and bridged dimensions of a claim, in one line.
fn coverage(desk: &Desk, c: &ClaimResult) -> Option<Cell> {
    let rows: Vec<_> = desk.r.coverage.iter().filter(|r| r.claim == c.id).collect();
    if rows.is_empty() {
        return None;
    }
    let mut places: Vec<&str> = rows.iter().map(|r| r.place.as_str()).collect();
    places.dedup();
    let mut lacks: Vec<String> = Vec::new();
    for place in places {
        let of_place: Vec<_> = rows.iter().copied().filter(|r| r.place == place).collect();
        for k in super::coverage::lacking(desk, &c.id, place, &of_place) {
            let found = of_place.iter().flat_map(|r| &r.cells).find(|x| x.dimension == k);
            let (tested, needed) = found.map_or(("", ""), |x| (x.tested.as_str(), x.needed.as_str()));
            lacks.push(format!("{k} {} at {place}: tested {tested}, needed {needed}", words::dimension(k)));
        }
    }
    let bridged: BTreeSet<&str> =
        rows.iter().flat_map(|r| &r.cells).filter(|x| x.cover == Cover::Bridged).map(|x| x.dimension).collect();
    // A run that does not count covers nothing, however alike its boards are.
    let counted = rows.iter().filter(|r| desk.role(&r.run) == "used").count();
    if counted == 0 {
        return Some(cell("nothing that counts was compared"));
    }
    let mut out = vec![
        ink::count(counted),
        text(if counted == 1 { " cell of a run compared" } else { " cells of runs compared" }),
    ];
    if lacks.is_empty() {
        out.push(text(", and every dimension is covered"));
    } else {
        let more = lacks.len().saturating_sub(4);
        lacks.truncate(4);
        out.push(text(format!("; not covered: {}", lacks.join("; "))));
        if more > 0 {
            out.push(text(format!("; and {more} more")));
        }
    }
    if !bridged.is_empty() {
        out.push(text(format!("; bridged: {}", bridged.into_iter().collect::<Vec<_>>().join(", "))));
    }
    Some(out)
}

fn criterion(desk: &Desk, c: &ClaimResult) -> Option<Cell> {
    let mut ids: Vec<&str> = desk
        .criteria()
        .into_iter()
        .filter(|x| x.applies_to.iter().any(|a| a.text == c.id))
        .map(|x| x.id.text.as_str())
        .collect();
    if !c.criterion.is_empty() && !ids.contains(&c.criterion.as_str()) {
        ids.insert(0, &c.criterion);
    }
    let parts: Vec<Cell> = ids
        .into_iter()
        .map(|id| {
            let mut line = vec![desk.criterion_link(id)];
            if let Some(k) = desk.site.criterion(id) {
                line.push(text(format!(" {} {} ", k.quantity, words::sense(k.operator))));
                line.push(desk.written(&k.value));
                line.push(text(format!(
                    ", {}; {} {} {}, {}",
                    words::statistic(k.statistic),
                    k.standard,
                    k.edition,
                    k.clause,
                    k.standing
                )));
            }
            line
        })
        .collect();
    (!parts.is_empty()).then(|| ink::joined(parts, "; "))
}

/// Every place of a claim with its own state.
pub fn places(desk: &Desk, c: &ClaimResult) -> Vec<Block> {
    if c.places.len() < 2 {
        return Vec::new();
    }
    let rows = c
        .places
        .iter()
        .map(|p| {
            let w = super::weakest::Weak { claim: c, place: p, decades: p.distance() };
            let number = |x: f64| match w.working() {
                Some(id) if x.is_finite() => vec![ink::worked(x, &p.unit, id)],
                _ => cell("none"),
            };
            vec![
                cell(p.place.clone()),
                vec![Inline::State(p.state)],
                number(p.value),
                number(p.limit),
                super::weakest::margin(&w),
                if p.run.is_empty() { cell("none") } else { vec![desk.run_link(&p.run)] },
                cell(p.text.clone()),
            ]
        })
        .collect();
    vec![ink::table(
        &format!("{} place by place", c.id),
        &["Place", "State", "Value after guard", "Limit", "Margin", "Run", "Why"],
        &[2, 3],
        rows,
    )]
}

/// What every run says of a claim.
pub fn voices(desk: &Desk, c: &ClaimResult) -> Vec<Block> {
    if c.voices.is_empty() {
        return Vec::new();
    }
    let rows = c
        .voices
        .iter()
        .map(|v| {
            vec![
                vec![desk.run_link(&v.run)],
                cell(
                    [v.cell.as_str(), v.pattern.as_str()]
                        .iter()
                        .filter(|s| !s.is_empty())
                        .copied()
                        .collect::<Vec<_>>()
                        .join(" · "),
                ),
                vec![desk.criterion_link(&v.criterion)],
                cell(match desk.role(&v.run) {
                    "used" => words::verdict(v.verdict),
                    _ => super::outcomes::would(v.verdict),
                }),
                cell(v.counts_as),
                if v.value.is_finite() { vec![ink::worked(v.value, &v.unit, v.working)] } else { cell("none") },
                if v.margin.is_finite() {
                    vec![ink::worked_margin(v.margin, &v.unit, v.working)]
                } else {
                    cell("none")
                },
                cell(v.reason.clone()),
            ]
        })
        .collect();
    vec![ink::table(
        &format!("What the runs say of {}", c.id),
        &["Run", "Cell, pattern", "Criterion", "Verdict", "Counts as", "Value after guard", "Margin", "Why"],
        &[5, 6],
        rows,
    )]
}

/// Every working that a claim rests on, and those that they rest on, in order of number.
pub fn workings(desk: &Desk, c: &ClaimResult) -> Vec<WorkingId> {
    let mut all: BTreeSet<WorkingId> = BTreeSet::new();
    let mut queue: Vec<WorkingId> = c.workings.clone();
    queue.extend(c.voices.iter().map(|v| v.working));
    while let Some(id) = queue.pop() {
        let Some(w) = desk.w.items.get(id.0 as usize) else { continue };
        if all.insert(id) {
            queue.extend(w.inputs.iter().filter_map(|i| match i.origin {
                Origin::Working(x) => Some(x),
                _ => None,
            }));
        }
    }
    all.into_iter().collect()
}

/// File and line of every input of a claim: what was looked at, and the inputs of its workings.
pub fn inputs(desk: &Desk, c: &ClaimResult) -> Vec<(String, At, usize)> {
    let mut out: Vec<(String, At, usize)> = c.looked_at.iter().map(|(w, at)| (w.clone(), *at, 1)).collect();
    for id in workings(desk, c) {
        let w = desk.w.get(id);
        for i in &w.inputs {
            let shown = format!("{} {} = {}", id.name(), i.symbol, ink::quantity_text(i.value, &i.unit));
            match i.origin {
                Origin::Place(at) => out.push((shown, at, 1)),
                Origin::Rows(at, n) => out.push((shown, at, n)),
                Origin::Working(_) | Origin::Constant(_) => {}
            }
        }
    }
    for v in &c.voices {
        out.push((format!("{} {} {}", v.run, v.cell, v.pattern), v.at, 1));
    }
    let mut seen = BTreeSet::new();
    out.retain(|x| seen.insert((x.1.file, x.1.line)));
    out
}
