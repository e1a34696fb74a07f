//! Takes the judged assembly; gives the verdict page: the answer, what it rests on, and when it would be wrong.

use super::desk::Desk;
use super::ink::{self, Cell, cell, count, labelled, list_or, many, text};
use super::words;
use crate::model::assessment::{ClaimResult, DefeaterStatus, Route, State};
use crate::model::document::{Block, Inline};
use crate::model::governance::{AssumptionStatus, Severity, TreeKind};

/// The answer with what belongs beside it.
pub fn answer(desk: &Desk) -> Vec<Block> {
    let r = desk.r;
    let conditions = desk.route_conditions();
    let mut lines = vec![vec![text(words::meaning(r))]];
    lines.extend(super::waived::released(desk));
    if desk.tree() != TreeKind::Leave {
        lines.push(labelled("Leave the residue", vec![Inline::State(r.state)]));
    }
    lines.push(labelled("Valid until", valid_until(desk)));
    let (a, env) = (&desk.a.assembly, desk.environment());
    let mut use_for = cell(env.map_or_else(|| a.environment.text.clone(), |e| e.title.text.clone()));
    use_for.extend([text(", for "), desk.written(&a.life)]);
    match &a.effectivity {
        Some(e) => use_for.extend([text("; units: "), desk.at(e.text.clone(), e.at)]),
        None => use_for.push(text("; the units are not stated")),
    }
    lines.push(labelled("For", use_for));
    lines.push(labelled("Limits of use", limits_of_use(desk)));
    lines.push(labelled("Relies on", relies_on(desk)));
    let open: Vec<Cell> = desk
        .leaves(desk.tree())
        .filter(|c| c.after_issue && c.state < State::Supported)
        .map(|c| vec![desk.claim_link(&c.id), text(format!(" {}: {}", c.title, reason_line(c)))])
        .collect();
    if !open.is_empty() {
        let mut line = ink::joined(open, "; ");
        line.push(text(". That comes after issue and does not count for the state above"));
        lines.push(labelled("Still to be accepted", line));
    }
    if !r.stop_ship.is_empty() {
        let label = if words::waivers(r).is_empty() {
            "Stop shipment of unwashed lots"
        } else {
            "Stop shipment of unwashed lots outside the waiver"
        };
        lines.push(labelled(label, cell(r.stop_ship.join("; "))));
    }
    if let Some(c) = weakest_claim(desk) {
        let mut line = vec![desk.claim_link(&c.id), text(format!(" {}: ", c.title))];
        line.push(text(reason_line(c)));
        lines.push(labelled("Weakest claim", line));
    }
    vec![Block::Verdict { route: words::answer(r, conditions.len()), state: state_word(desk), lines }]
}

/// State of the tree that carries the route.
fn state_word(desk: &Desk) -> String {
    let s = match desk.tree() {
        TreeKind::Leave => desk.r.state,
        TreeKind::Wash => desk.r.wash_state,
        TreeKind::Present => desk.r.present_state,
    };
    s.word().into()
}

fn valid_until(desk: &Desk) -> Cell {
    let mut line = last_day(desk);
    line.extend(super::announced::words(desk));
    line
}

fn last_day(desk: &Desk) -> Cell {
    match desk.r.valid_until {
        Some(day) if desk.r.valid_until_from.is_empty() => cell(day.to_string()),
        Some(day) => cell(format!("{day}, because of {}", desk.r.valid_until_from)),
        None if matches!(desk.r.route, Route::NotYet | Route::NoSupportedRoute) => {
            cell("no date: nothing is supported that could lapse")
        }
        None => cell("no date, because nothing that is dated carries it"),
    }
}

fn limits_of_use(desk: &Desk) -> Cell {
    let mut parts = super::waived::limits(desk);
    parts.extend(desk.a.assembly.limits_of_use.iter().map(|l| vec![desk.at(l.text.trim_end_matches('.'), l.at)]));
    for id in desk.route_conditions() {
        if let Some(c) = desk.site.condition(id).filter(|c| !c.excludes.is_empty()) {
            let names: Vec<&str> = c.excludes.iter().map(|e| e.text.as_str()).collect();
            parts.push(vec![text(format!("Not with {} (", names.join(", "))), desk.condition_link(id), text(")")]);
        }
    }
    if parts.is_empty() {
        cell("no limit of use is stated beyond environment and life")
    } else {
        ink::joined(parts, "; ")
    }
}

/// Which legs of the triad are shown to be broken, and where.
fn relies_on(desk: &Desk) -> Cell {
    let total = desk.r.triads.len();
    if total == 0 {
        return cell("no critical place is listed, so no leg is named");
    }
    let mut parts: Vec<Cell> = Vec::new();
    let (bound, not_bound) = match desk.tree() {
        TreeKind::Leave => ("ions bound", "NOT on the ions being bound"),
        _ => ("residue washed off", "NOT on the residue being washed off"),
    };
    for (leg, broken, none) in [
        ("ions", bound, not_bound),
        ("moisture", "dryness", "NOT on dryness"),
        ("bias", "missing bias", "NOT on missing bias"),
    ] {
        let at: Vec<&str> = desk
            .r
            .triads
            .iter()
            .filter(|t| t.legs.iter().any(|l| l.leg == leg && l.broken))
            .map(|t| t.place.as_str())
            .collect();
        parts.push(match at.len() {
            0 => cell(none),
            n if n == total => vec![ink::strong(broken), text(" at every critical place")],
            n => vec![
                ink::strong(broken),
                text(" at "),
                count(n),
                text(" of "),
                count(total),
                text(format!(" critical places ({})", short_list(&at, 4))),
            ],
        });
    }
    let mut under: Vec<(&str, Vec<&str>)> = Vec::new();
    let conditional = desk.r.triads.iter().filter_map(|t| {
        let ions = t.legs.iter().find(|l| l.leg == "ions")?;
        Some((t.place.as_str(), ions.text.strip_prefix("broken under ")?))
    });
    for (place, conditions) in conditional {
        match under.iter_mut().find(|u| u.0 == conditions) {
            Some(u) => u.1.push(place),
            None => under.push((conditions, vec![place])),
        }
    }
    for (conditions, places) in under {
        parts.push(cell(format!("{bound} only under {conditions} at {}", short_list(&places, 4))));
    }
    ink::joined(parts, "; ")
}

/// The first names, and how many more.
pub fn short_list(names: &[&str], most: usize) -> String {
    if names.len() <= most {
        return names.join(", ");
    }
    format!("{} and {} more", names[..most].join(", "), names.len() - most)
}

/// The weakest claim: of those that are not supported the first, else the supported one nearest to its limit. What
/// speaks of the residue on the board comes before charts and papers.
fn weakest_claim<'a>(desk: &Desk<'a>) -> Option<&'a ClaimResult> {
    if let Some(c) = desk.unproven(desk.tree()).first() {
        return Some(c);
    }
    let mut all: Vec<(f64, &ClaimResult)> = desk
        .leaves(desk.tree())
        .filter(|c| c.state == State::Supported)
        .map(|c| (crate::quantity::distance(c.value, c.limit, c.margin, &c.unit), c))
        .filter(|x| x.0.is_finite())
        .collect();
    all.sort_by(|a, b| (!desk.of_residue(a.1)).cmp(&!desk.of_residue(b.1)).then_with(|| a.0.total_cmp(&b.0)));
    all.first().map(|x| x.1)
}

/// Why a claim is where it is, in one line.
pub fn reason_line(c: &ClaimResult) -> String {
    if let Some(r) = c.reasons.first() {
        let more = if c.reasons.len() > 1 { format!(" (and {} more)", c.reasons.len() - 1) } else { String::new() };
        return format!("{}{more}", if r.text.is_empty() { words::code(r.code) } else { &r.text });
    }
    if c.state == State::WithConditions && !c.conditions.is_empty() {
        let tight = match super::claims::kept(c) {
            Some(p) => format!("margin {}; ", ink::plain(&super::weakest::kept(p))),
            None if c.margin <= 0.0 && c.limit != 0.0 => {
                let at = if c.place.is_empty() { String::new() } else { format!(" at {}", c.place) };
                format!("margin {}{at}; ", ink::margin_text(c.margin, &c.unit))
            }
            None => String::new(),
        };
        return format!("{tight}holds under {}", c.conditions.join(", "));
    }
    if c.margin.is_finite() {
        let at = if c.place.is_empty() { String::new() } else { format!(" at {}", c.place) };
        return format!("margin {}{at}", ink::margin_text(c.margin, &c.unit));
    }
    match c.state {
        State::Supported => "met".into(),
        s => words::state(s).into(),
    }
}

/// The conditions of the route, one line each.
pub fn conditions(desk: &Desk) -> Vec<Block> {
    let ids = desk.route_conditions();
    let items: Vec<Cell> = ids
        .iter()
        .map(|id| {
            let mut line = vec![desk.condition_link(id)];
            match desk.site.condition(id) {
                Some(c) => line.push(text(format!(" {}", c.text.text))),
                None => line.push(text(" (not on file)")),
            }
            if let Some(c) = desk.r.conditions.iter().find(|c| c.id == *id && !c.lacks.is_empty()) {
                line.push(ink::strong(format!(" incomplete: lacks {}", c.lacks.join(", "))));
            }
            line
        })
        .collect();
    list_or(items, "The verdict carries no conditions.")
}

/// Single things that would make the verdict wrong: changes on notice, triggers, assumptions, conditions.
pub fn wrong_if(desk: &Desk) -> Vec<Block> {
    let tree = desk.tree();
    let serves = |claims: &[crate::model::Text]| {
        claims.iter().any(|c| desk.claims(tree).any(|x| x.id == c.text || x.id.starts_with(&format!("{}.", c.text))))
    };
    let mut items: Vec<Cell> = Vec::new();
    let conditions = desk.route_conditions();
    if !conditions.is_empty() {
        let mut line = vec![text("a condition above no longer holds: ")];
        line.extend(ink::joined(conditions.into_iter().map(|id| vec![desk.condition_link(id)]), ", "));
        items.push(line);
    }
    for c in desk.site.changes.iter().filter(|c| serves(&c.claims) && change_concerns(desk, c)) {
        let when = if desk.assessment.as_of < c.effective_on { "from" } else { "since" };
        items
            .push(vec![desk.at(c.text.text.trim_end_matches('.'), c.at), text(format!(", {when} {}", c.effective_on))]);
    }
    for a in &desk.site.assumptions {
        let here = a.assemblies.iter().any(|x| x.text == desk.r.id) && serves(&a.claims);
        if here && a.status != AssumptionStatus::Falsified {
            items.push(vec![desk.at(a.falsifier.text.trim_end_matches('.'), a.at)]);
        }
    }
    for t in desk.site.triggers.iter().filter(|t| serves(&t.claims)) {
        items.push(vec![desk.at(t.signal.text.trim_end_matches('.'), t.at)]);
    }
    let shown = 10;
    let more = items.len().saturating_sub(shown);
    items.truncate(shown);
    let mut blocks = list_or(
        items,
        "Nothing is on file that would overturn it: no condition, assumption, trigger or notice. That is itself a gap.",
    );
    if more > 0 {
        blocks.push(Block::Paragraph(vec![
            text("And "),
            count(more),
            text(" more, in the chapter on "),
            ink::to("surveillance", "surveillance"),
            text("."),
        ]));
    }
    blocks
}

/// Whether a change touches a material that comes to this assembly, or no material at all.
pub fn change_concerns(desk: &Desk, c: &crate::model::processes::Change) -> bool {
    c.material.as_ref().is_none_or(|m| {
        desk.a.flux_uses.iter().any(|f| f.flux.text == m.text && f.order.si > 0.0)
            || desk.process().is_some_and(|p| p.step.iter().any(|s| s.fluxes.iter().any(|f| f.text == m.text)))
            || desk.a.coating.as_ref().is_some_and(|x| x.material.text == m.text)
    })
}

/// How leaving compares with washing and with the present process.
pub fn compared(desk: &Desk) -> Vec<Block> {
    let items = [TreeKind::Leave, TreeKind::Wash, TreeKind::Present]
        .into_iter()
        .map(|tree| {
            let state = match tree {
                TreeKind::Leave => desk.r.state,
                TreeKind::Wash => desk.r.wash_state,
                TreeKind::Present => desk.r.present_state,
            };
            let mut line = vec![ink::strong(format!("{}: ", words::tree(tree))), Inline::State(state)];
            let open = desk.unproven(tree);
            if let Some(c) = open.iter().find(|c| c.state == state).or(open.first()) {
                line.extend([
                    text(", because "),
                    desk.claim_link(&c.id),
                    text(format!(" {}: {}", c.title, reason_line(c))),
                ]);
            }
            line
        })
        .collect();
    vec![ink::list(items)]
}

/// The biggest open doubt, in its own words; one that a condition argues away comes after those that nothing answers.
pub fn doubt(desk: &Desk) -> Vec<Block> {
    let mut open: Vec<_> = desk.r.defeaters.iter().filter(|d| d.status == DefeaterStatus::Open).collect();
    open.sort_by_key(|d| {
        let weight = match d.severity {
            Severity::Major => 0,
            Severity::Minor => 1,
            Severity::Note => 2,
        };
        (desk.argued_by(d).is_some(), weight)
    });
    let Some(d) = open.first() else { return vec![says_none(desk)] };
    let mut line =
        vec![ink::strong(format!("{} ({}) ", d.id, d.severity)), text(d.text.trim_end_matches('.')), text(". Claim ")];
    line.push(desk.claim_link(&d.claim));
    match desk.argued_by(d) {
        Some(c) => line.extend([
            text(", argued by "),
            desk.condition_link(&c.id),
            text(". Not one open doubt is left without an answer."),
        ]),
        None => {
            let bare = open.iter().filter(|d| desk.argued_by(d).is_none()).count();
            line.push(text(format!(". {} without an answer in all.", many(bare, "doubt is open", "doubts are open"))));
        }
    }
    vec![Block::Paragraph(line)]
}

fn says_none(desk: &Desk) -> Block {
    let n = desk.r.defeaters.len();
    Block::Paragraph(vec![
        text("No doubt is open. "),
        count(n),
        text(" were looked into; the register says how each ended."),
    ])
}

/// What the signature accepts, in a few lines.
pub fn asked_short(desk: &Desk) -> Vec<Block> {
    let n = super::asked::risks(desk).len();
    if matches!(desk.r.route, Route::NotYet | Route::NoSupportedRoute) {
        let line = vec![
            text(
                "No route is put before you to accept. Read what is open, say whether the plan to close it is the right one, and see the chapter ",
            ),
            ink::to("asked", "what is asked of you"),
            text("."),
        ];
        return vec![Block::Paragraph(line)];
    }
    if n == 0 {
        return vec![ink::says("Accept the route within the limits of use. No residual risk is put before you.")];
    }
    let noun = if n == 1 { " residual risk" } else { " residual risks" };
    vec![Block::Paragraph(vec![
        text("Accept the route within the limits of use, and "),
        count(n),
        text(format!("{noun} of the chapter ")),
        ink::to("asked", "what is asked of you"),
        text(", each by its own initials."),
    ])]
}
