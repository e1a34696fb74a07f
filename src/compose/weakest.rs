//! Takes the judged claims; gives the places of the board in order of weakness, the worst first.

use super::desk::Desk;
use super::ink::{self, Cell, cell, text};
use crate::model::assessment::{AssemblyResult, ClaimResult, PlaceResult, State, Voice};
use crate::model::document::{Block, Inline};
use crate::model::governance::{Per, TreeKind};
use crate::model::site::Site;
use crate::model::workings::WorkingId;

/// A place with the claim that it is weakest in.
pub struct Weak<'a> {
    pub claim: &'a ClaimResult,
    pub place: &'a PlaceResult,
    /// Powers of ten to the limit; NaN when the place has no number.
    pub decades: f64,
}

impl Weak<'_> {
    /// The working behind the number of the place: the voice that gave it, else the first working of the claim.
    pub fn working(&self) -> Option<WorkingId> {
        let p = self.place;
        let same = |v: &&Voice| v.run == p.run && (v.margin - p.margin).abs() <= 1e-9 * (1.0 + p.margin.abs());
        let claim = self.claim;
        if p.working.is_some() {
            return p.working;
        }
        claim.voices.iter().find(same).map(|v| v.working).or_else(|| claim.workings.first().copied())
    }
}

/// The one rule by which places are ranked, as it is printed under the tables.
const RULE: &str = "Ranked by state: contradicted, then not supported, then all others together, because a condition is \
    no weakness of a place. Within that by how far, as a factor, the number lies from its limit. Grades and counts stand \
    first when they are at their limit or beyond it, and last when they have room, which compares with nothing. A number \
    that does not count is printed and does not rank. A place stands once, at its weakest claim, and again where \
    another claim has no margin left there.";

/// Places in order: contradicted, then not supported, then by margin; one row per place.
pub fn places<'a>(desk: &Desk<'a>, tree: TreeKind) -> Vec<Weak<'a>> {
    ranked(desk.site, desk.r, tree)
}

/// Whether the places of a claim are places on the board, not the assembly as a whole.
fn speaks_of_places(site: &Site, r: &AssemblyResult, c: &ClaimResult) -> bool {
    if c.rule == "comparison" || c.after_issue {
        return false;
    }
    let spec = site.claims.iter().find(|s| s.tree == c.tree && s.id.text == c.id);
    if spec.is_some_and(|s| s.of_process == Some(true)) {
        return false;
    }
    match spec.and_then(|s| s.per) {
        Some(per) => per != Per::Assembly,
        None => c.places.iter().any(|p| p.place != r.id && !p.place.is_empty()),
    }
}

/// As [`places`], for an assembly without its workings.
pub fn ranked<'a>(site: &Site, r: &'a AssemblyResult, tree: TreeKind) -> Vec<Weak<'a>> {
    let mut all: Vec<Weak> = Vec::new();
    for claim in r.claims.iter().filter(|c| c.tree == tree && c.leaf && speaks_of_places(site, r, c)) {
        for place in claim.places.iter().filter(|p| p.state != State::NotApplicable && !p.place.is_empty()) {
            all.push(Weak { claim, place, decades: place.distance() });
        }
    }
    all.sort_by(|a, b| {
        // Supported and conditional places are ranked by margin together: a condition is no weakness of the place.
        let rank = |w: &Weak| w.place.state.min(State::WithConditions);
        let number = |w: &Weak| if w.decades.is_nan() { f64::INFINITY } else { w.decades };
        rank(a).cmp(&rank(b)).then_with(|| number(a).total_cmp(&number(b)))
    });
    let mut kept: Vec<Weak> = Vec::new();
    for w in all {
        let of_place = || kept.iter().filter(|k| k.place.place == w.place.place);
        // A second line for a place whose margin is nothing or less, as ranked or as tested: it is never left out.
        let tight = w.decades <= 0.0 || w.place.tested.as_ref().is_some_and(|t| t.margin <= 0.0);
        let same = |k: &Weak| k.place.run == w.place.run && k.place.margin == w.place.margin;
        if of_place().next().is_none() || (tight && !of_place().any(same)) {
            kept.push(w);
        }
    }
    kept
}

/// Margin of a place, with what stands behind it: as tested too where a condition keeps the place below the test, and
/// why it does not count where it does not.
pub fn margin(w: &Weak) -> Cell {
    let p = w.place;
    if p.value == 0.0 && p.limit == 0.0 {
        return cell("nothing found, nothing allowed");
    }
    let number = |x: f64| match w.working() {
        Some(id) if x.is_finite() => ink::worked_margin(x, &p.unit, id),
        _ => text("no number"),
    };
    let mut out = match &p.tested {
        Some(_) => kept(p),
        None => vec![number(p.margin)],
    };
    if let Some(why) = p.aside.as_ref().filter(|_| p.margin.is_finite()) {
        out.push(text(format!(" ({why})")));
    }
    out
}

/// Both numbers of a place that a condition keeps below the test; nothing for any other place.
pub fn kept(p: &PlaceResult) -> Cell {
    let Some(t) = &p.tested else { return Vec::new() };
    let mut out = vec![ink::worked_margin(t.margin, &p.unit, t.working), text(format!(" as tested at {}; ", t.at))];
    out.push(match p.working {
        Some(id) => ink::worked_margin(p.margin, &p.unit, id),
        None => text(ink::margin_text(p.margin, &p.unit)),
    });
    out.push(text(format!(" at {}, kept by {}", t.kept, t.condition)));
    out
}

fn row(desk: &Desk, w: &Weak) -> Vec<Cell> {
    let worked = |x: f64| match w.working() {
        Some(id) if x.is_finite() => vec![ink::worked(x, &w.place.unit, id)],
        _ => cell("none"),
    };
    let mut why = cell(w.place.text.clone());
    if !w.place.run.is_empty() {
        why.push(text(" "));
        why.push(desk.run_link(&w.place.run));
    }
    vec![
        cell(w.place.place.clone()),
        vec![desk.claim_link(&w.claim.id), text(format!(" {}", w.claim.title))],
        vec![Inline::State(w.place.state)],
        worked(w.place.value),
        worked(w.place.limit),
        margin(w),
        why,
    ]
}

/// A table of places with the rule of its order.
fn table(desk: &Desk, caption: &str, weak: &[Weak]) -> Vec<Block> {
    let rows: Vec<Vec<Cell>> = weak.iter().map(|w| row(desk, w)).collect();
    let none = "No claim of this tree speaks of single places, so no place can be ranked.";
    let mut out = ink::table_or(caption, &HEAD, &[3, 4], rows, none);
    if !weak.is_empty() {
        out.push(ink::says(RULE));
    }
    out
}

const HEAD: [&str; 7] = ["Place", "Weakest in", "State", "Value after guard", "Limit", "Margin", "Why"];

/// The weakest five places, as the verdict page shows them.
pub fn five(desk: &Desk) -> Vec<Block> {
    let mut weak = places(desk, desk.tree());
    weak.truncate(5);
    table(desk, "Weakest five places, the worst first", &weak)
}

/// Every place by margin.
pub fn ranking(desk: &Desk) -> Vec<Block> {
    table(desk, "All places, the weakest first", &places(desk, desk.tree()))
}
