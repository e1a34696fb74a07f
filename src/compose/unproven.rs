//! Takes the judged claims and the builds; gives what is not proven, and what was never tested.

use std::collections::BTreeSet;

use super::desk::{Desk, claim_anchor};
use super::ink::{self, Cell, cell, list_or, table_or, text};
use super::words;
use crate::model::assembly::Wiped;
use crate::model::assessment::{ClaimResult, Code};
use crate::model::document::{Block, Inline};
use crate::model::evidence::{Build, ProfileCell};
use crate::model::governance::TreeKind;

/// Claims below "supported", the worst first: of leaving, and of the route where that is another one.
pub fn not_proven(desk: &Desk) -> Vec<Block> {
    let table = |tree: TreeKind| {
        let rows = desk.unproven(tree).into_iter().map(|c| row(desk, c)).collect();
        let none =
            format!("Every technical claim of this route ({}) is supported without conditions.", words::tree(tree));
        let caption = format!("To {}: claims that are not supported, the worst first", words::tree(tree));
        table_or(&caption, &["Claim", "State", "Where", "Why", "What would close it"], &[], rows, &none)
    };
    let mut out = table(TreeKind::Leave);
    if desk.tree() != TreeKind::Leave {
        out.extend(table(desk.tree()));
    }
    out
}

fn row(desk: &Desk, c: &ClaimResult) -> Vec<Cell> {
    let mut at: Vec<&str> =
        c.places.iter().filter(|p| p.state == c.state && p.place != desk.r.id).map(|p| p.place.as_str()).collect();
    at.dedup();
    vec![
        vec![ink::to(claim_anchor(&c.id), c.id.clone()), text(format!(" {}", c.title))],
        vec![Inline::State(c.state)],
        cell(if at.is_empty() { "the assembly".to_string() } else { super::verdict::short_list(&at, 4) }),
        reasons(desk, c, 3),
        cell(super::next::step(desk, c)),
    ]
}

/// The reasons of a claim with their codes; at most `most`.
pub fn reasons(desk: &Desk, c: &ClaimResult, most: usize) -> Cell {
    let mut out: Vec<Cell> = Vec::new();
    for r in c.reasons.iter().take(most) {
        let code =
            if r.detail.is_empty() { r.code.word().to_string() } else { format!("{}({})", r.code.word(), r.detail) };
        let mut one = vec![
            Inline::Code(code),
            text(format!(" {}", if r.text.is_empty() { words::code(r.code) } else { &r.text })),
        ];
        if let Some(at) = r.at {
            one.extend([text(" "), desk.place(at)]);
        }
        out.push(one);
    }
    if c.reasons.len() > most {
        out.push(vec![text(format!("and {} more, in the claims tree", c.reasons.len() - most))]);
    }
    if out.is_empty() {
        return cell(super::verdict::reason_line(c));
    }
    ink::joined(out, "; ")
}

/// What no run speaks of: planned runs, uncovered places, climates, and combinations.
pub fn untested(desk: &Desk) -> Vec<Block> {
    let mut items: Vec<Cell> = Vec::new();
    for (_, p) in desk.site.planned().filter(|(_, p)| p.assemblies.iter().any(|a| a.text == desk.r.id)) {
        if desk.site.run(&p.id).is_none() {
            let mut line = vec![
                text(format!("{} is planned and not reported: ", p.id)),
                desk.at(p.what.text.trim_end_matches('.'), p.at),
                text(", for "),
            ];
            line.extend(desk.claim_links(p.claims.iter().map(|c| c.text.as_str())));
            items.push(line);
        }
    }
    for c in desk.leaves(desk.tree()).filter(|c| !c.after_issue && c.rule != "comparison") {
        items.extend(gaps(desk, c));
    }
    items.extend(climates(desk));
    items.extend(combinations(desk));
    list_or(items, "Nothing that galipot can see was left untested. What it cannot see is listed with the doubts.")
}

/// Missing and uncovered evidence of one claim; reasons that differ only in the run stand once.
fn gaps(desk: &Desk, c: &ClaimResult) -> Vec<Cell> {
    let mut seen: Vec<(String, String, Vec<&str>)> = Vec::new();
    for r in c.reasons.iter().filter(|r| matches!(r.code, Code::NotCovered | Code::Missing)) {
        let run = desk.site.runs.iter().map(|x| x.run.id.text.as_str()).find(|id| r.text.contains(id));
        let key = run.map_or_else(|| r.text.clone(), |id| r.text.replace(id, "?"));
        match seen.iter_mut().find(|s| s.0 == key) {
            Some(s) => s.2.extend(run),
            None => seen.push((key, r.text.trim_end_matches('.').to_string(), Vec::new())),
        }
    }
    seen.into_iter()
        .map(|(_, words, others)| {
            let mut line = vec![desk.claim_link(&c.id), text(format!(" {}: {words}", c.title))];
            if !others.is_empty() {
                line.push(text(format!("; the same for {}", others.join(", "))));
            }
            line
        })
        .collect()
}

/// Salt, gas, dust and condensation: what the use has and no run has.
fn climates(desk: &Desk) -> Vec<Cell> {
    let Some(env) = desk.environment() else { return Vec::new() };
    let counted: Vec<_> =
        desk.runs().into_iter().filter(|r| matches!(desk.role(&r.run.id), "used")).map(|r| &r.run).collect();
    let mut absent: Vec<&str> = Vec::new();
    let mut due: Vec<&str> = Vec::new();
    let mut look = |name: &'static str, in_use: bool, tested: bool| {
        if !tested {
            if in_use { due.push(name) } else { absent.push(name) }
        }
    };
    look("salt", env.salt, counted.iter().any(|r| r.salt));
    look("corrosive gas", env.gas, counted.iter().any(|r| r.gas));
    look("dust", env.dust, counted.iter().any(|r| r.dust));
    let wet = env.condensing.as_ref().is_none_or(|q| q.si > 0.0);
    look("condensation", wet, counted.iter().any(|r| r.condensing));
    let mut out = Vec::new();
    if !due.is_empty() {
        out.push(cell(format!("{}: present in use, and no counted run had it", due.join(", "))));
    }
    if !absent.is_empty() {
        out.push(cell(format!(
            "{}: no counted run had it; the environment states that the use has none",
            absent.join(", ")
        )));
    }
    out
}

/// Factors of a build that the assembly sees too.
fn factors(desk: &Desk, b: &Build) -> BTreeSet<&'static str> {
    let mut f = BTreeSet::new();
    if b.aged {
        f.insert("ageing");
    }
    if b.coated {
        f.insert("coating");
    }
    if b.flux.iter().any(|x| !x.heated) {
        f.insert("unheated flux");
    }
    if b.rework_cycles.si > 0.0 {
        f.insert("rework");
    }
    if b.profile == Some(ProfileCell::Cold) {
        f.insert("coldest reflow");
    }
    let upper = desk.a.flux_uses.iter().any(|u| {
        let tested =
            b.flux.iter().filter(|x| x.material.text == u.flux.text).filter_map(|x| x.dose.as_ref()).map(|q| q.si);
        u.dose_ucl.as_ref().is_some_and(|ucl| tested.fold(f64::NEG_INFINITY, f64::max) >= ucl.si && ucl.si > 0.0)
    });
    if upper {
        f.insert("upper dose");
    }
    f
}

/// Pairs of factors that the assembly sees and that no counted build had together.
fn combinations(desk: &Desk) -> Vec<Cell> {
    let mut wanted: BTreeSet<&'static str> = BTreeSet::from(["coldest reflow"]);
    if desk.a.assembly.life.in_unit("years") > 5.0 {
        wanted.insert("ageing");
    }
    if desk.a.coating.is_some() {
        wanted.insert("coating");
    }
    if desk.a.flux_uses.iter().any(|f| f.heated_fraction.as_ref().is_some_and(|h| h.si < 1.0)) {
        wanted.insert("unheated flux");
    }
    if desk.a.flux_uses.iter().any(|f| f.dose_ucl.is_some() && f.order.si > 0.0) {
        wanted.insert("upper dose");
    }
    let reworked = |p: &crate::model::processes::Process| {
        p.step.iter().any(|s| s.kind == crate::model::processes::StepKind::Rework)
    };
    if desk.process().is_some_and(reworked) || desk.a.flux_uses.iter().any(|f| f.wiped == Wiped::OnRework) {
        wanted.insert("rework");
    }
    let seen: Vec<BTreeSet<&'static str>> = desk
        .runs()
        .into_iter()
        .filter(|r| desk.role(&r.run.id) == "used")
        .flat_map(|r| desk.site.builds_of(&r.run).map(|(_, b)| factors(desk, b)))
        .collect();
    let names: Vec<&str> = wanted.into_iter().collect();
    let mut missing: Vec<String> = Vec::new();
    for (i, a) in names.iter().enumerate() {
        for b in &names[i + 1..] {
            if !seen.iter().any(|s| s.contains(a) && s.contains(b)) {
                missing.push(format!("{a} × {b}"));
            }
        }
    }
    if missing.is_empty() {
        return Vec::new();
    }
    vec![cell(format!("never together in one counted build: {}", missing.join("; ")))]
}
