//! Takes the judged claims; gives the places of the board in order of weakness, the worst first.

use super::desk::{Desk, decades};
use super::ink::{self, Cell, cell, text};
use crate::model::assessment::{AssemblyResult, Assessment, ClaimResult, GateEffect, PlaceResult, State, Voice};
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

/// Places in order: contradicted, then not supported, then by margin; one row per place.
pub fn places<'a>(desk: &Desk<'a>, tree: TreeKind) -> Vec<Weak<'a>> {
    ranked(desk.site, desk.assessment, desk.r, tree)
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
pub fn ranked<'a>(site: &Site, assessment: &Assessment, r: &'a AssemblyResult, tree: TreeKind) -> Vec<Weak<'a>> {
    let standing = |run: &str| assessment.standings.iter().find(|s| s.run == run);
    let mut all: Vec<Weak> = Vec::new();
    for claim in r.claims.iter().filter(|c| c.tree == tree && c.leaf && speaks_of_places(site, r, c)) {
        for place in claim.places.iter().filter(|p| p.state != State::NotApplicable && !p.place.is_empty()) {
            // A number of a run that does not count is no number of the place.
            let counts =
                place.run.is_empty() || standing(&place.run).is_none_or(|s| s.effect != GateEffect::Inadmissible);
            let decades = if counts { decades(place.value, place.limit, place.margin, &place.unit) } else { f64::NAN };
            all.push(Weak { claim, place, decades });
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
        if kept.iter().all(|k| k.place.place != w.place.place) {
            kept.push(w);
        }
    }
    kept
}

/// Margin of a place, with what stands behind it.
pub fn margin(w: &Weak) -> Inline {
    match w.working() {
        Some(id) if w.decades.is_finite() => ink::worked_margin(w.place.margin, &w.place.unit, id),
        _ if w.place.value == 0.0 && w.place.limit == 0.0 => text("none found"),
        _ => text("no number"),
    }
}

fn row(desk: &Desk, w: &Weak) -> Vec<Cell> {
    let worked = |x: f64| match w.working() {
        Some(id) if x.is_finite() && (w.decades.is_finite() || x == 0.0) => vec![ink::worked(x, &w.place.unit, id)],
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
        vec![margin(w)],
        why,
    ]
}

const HEAD: [&str; 7] = ["Place", "Weakest in", "State", "Value after guard", "Limit", "Margin", "Why"];

/// The weakest five places, as the verdict page shows them.
pub fn five(desk: &Desk) -> Vec<Block> {
    let weak = places(desk, desk.tree());
    let rows = weak.iter().take(5).map(|w| row(desk, w)).collect();
    let none = "No claim of this tree speaks of single places, so no place can be ranked.";
    ink::table_or("Weakest five places, the worst first", &HEAD, &[3, 4, 5], rows, none)
}

/// Every place by margin.
pub fn ranking(desk: &Desk) -> Vec<Block> {
    let weak = places(desk, desk.tree());
    let rows = weak.iter().map(|w| row(desk, w)).collect();
    let none = "No claim of this tree speaks of single places, so no place can be ranked.";
    ink::table_or("All places, ranked by state and margin", &HEAD, &[3, 4, 5], rows, none)
}
