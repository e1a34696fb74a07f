//! Takes site and workings; gives state, reasons and margin of every claim, coverage and route.

mod combine;
mod conditions;
mod counts;
mod court;
mod coverage;
mod doubts;
mod finding;
mod gates;
mod inspections;
mod places;
mod route;
mod rules;
mod statements;
mod triad;
mod verdict;
mod waivers;

pub use verdict::verdict;

use rayon::prelude::*;

use crate::model::assessment::{AssemblyResult, Assessment, ClaimResult, Code, ConditionResult, State};
use crate::model::governance::{ClaimSpec, TreeKind};
use crate::model::site::{AssemblyFile, Site};
use crate::model::workings::Workings;
use court::{Case, Court};
use finding::Write;

/// Judges every assembly of the site in all three trees.
pub fn judge(site: &Site, workings: &Workings) -> Assessment {
    let court =
        Court { site, workings, standings: gates::standings(site, workings), known_answers: workings.known_answers };
    let assemblies = site.assemblies.par_iter().map(|a| assembly(&court, a)).collect();
    Assessment {
        as_of: site.as_of,
        assemblies,
        standings: court.standings.into_values().collect(),
        what_if: !site.overrides.is_empty(),
    }
}

/// Leaves first, then doubts, assumptions, conditions and waivers, then the claims above, then the route.
fn assembly(court: &Court, a: &AssemblyFile) -> AssemblyResult {
    let case = Case { court, a };
    let specs: Vec<&ClaimSpec> = court.site.claims.iter().collect();
    let mut coverage = Vec::new();
    let mut leaves: Vec<ClaimResult> =
        specs.iter().filter(|s| s.rule.is_some()).map(|s| rules::leaf(&case, s, &mut coverage)).collect();
    if a.assembly.wash_process.is_none() {
        no_wash_planned(&mut leaves);
    }
    let held = doubts::hold(&case, &mut leaves);
    for leaf in &mut leaves {
        not_beyond_its_day(&case, leaf);
        waivers::apply_waivers(&case, leaf);
    }
    // What names a claim above the leaves lowers it there; only waivers must name a leaf.
    let lower = |c: &mut ClaimResult| {
        held.apply(&case, c);
        waivers::apply_assumptions(&case, c);
        waivers::attach_conditions(&case, c);
        not_beyond_its_day(&case, c);
    };
    let mut claims: Vec<ClaimResult> = [TreeKind::Leave, TreeKind::Wash, TreeKind::Present]
        .iter()
        .flat_map(|t| combine::combine(&specs, *t, &leaves, &lower))
        .collect();
    // What contradicts a claim is said first, whatever else was found before it.
    for c in claims.iter_mut().filter(|c| c.state == State::Contradicted) {
        c.reasons.sort_by_key(|r| r.code != Code::Conflict);
    }
    let root =
        |claims: &[ClaimResult], tree: TreeKind| claims.iter().position(|c| c.tree == tree && c.parent.is_none());
    for tree in [TreeKind::Leave, TreeKind::Wash, TreeKind::Present] {
        if let Some(i) = root(&claims, tree) {
            limit_conditions(&case, &mut claims[i]);
        }
    }
    let state = |tree: TreeKind| root(&claims, tree).map_or(State::NotYet, |i| claims[i].state);
    let (leave, wash, present) = (state(TreeKind::Leave), state(TreeKind::Wash), state(TreeKind::Present));
    if let Some(i) = claims.iter().position(|c| c.rule == "comparison") {
        let mut c = claims[i].clone();
        rules::comparison::judge(&claims, &mut c, leave);
        claims[i] = c;
    }
    let (route, interim) = route::route(leave, wash, present);
    let carrying = match route {
        crate::model::assessment::Route::WashSaponified => TreeKind::Wash,
        crate::model::assessment::Route::KeepPresent => TreeKind::Present,
        _ => TreeKind::Leave,
    };
    // What is not supported cannot lapse.
    let top = root(&claims, carrying).map(|i| claims[i].clone()).filter(|t| t.state >= State::WithConditions);
    let triads = triad::triads(&case, &claims, carrying);
    let conditions = case
        .conditions()
        .map(|c| ConditionResult {
            id: c.id.text.clone(),
            claims: c.claims.iter().map(|x| x.text.clone()).collect(),
            lacks: case.lacks(c),
            due: c.due,
        })
        .collect();
    let stop_ship = claims
        .iter()
        .filter(|c| c.tree == TreeKind::Leave && c.leaf)
        .flat_map(|c| c.reasons.iter().map(move |r| (c, r)))
        .filter(|(_, r)| r.text.contains("STOP-SHIP"))
        .map(|(c, r)| format!("{}: {}", c.id, r.text))
        .collect();
    AssemblyResult {
        id: a.assembly.id.text.clone(),
        rev: a.assembly.rev.text.clone(),
        route,
        state: leave,
        wash_state: wash,
        present_state: present,
        interim,
        valid_until: top.as_ref().and_then(|t| t.valid_until),
        valid_until_from: top.map(|t| t.valid_until_from).unwrap_or_default(),
        runs: counts::runs(&case),
        unused: counts::unused(&case, &claims),
        claims,
        conditions,
        defeaters: held.into_defeaters(),
        coverage,
        triads,
        stop_ship,
    }
}

/// Without a planned wash process the wash tree has nothing to speak of.
fn no_wash_planned(leaves: &mut [ClaimResult]) {
    for l in leaves.iter_mut().filter(|l| l.tree == TreeKind::Wash && l.state != State::NotApplicable) {
        l.reason(Code::Missing, "", "no wash with a saponifier is planned for this assembly", None);
        l.cap(State::NotYet);
    }
}

/// More conditions than agreed, or two that cannot both hold, leave nothing that a line could keep. Of two that ask
/// for the same in one sense the tighter one counts.
fn limit_conditions(case: &Case, top: &mut ClaimResult) {
    let most = case.site().facts.max_conditions.si as usize;
    let count = top.conditions.len() - case.looser(&top.conditions).len();
    if count > most {
        top.reason(
            Code::TooManyConditions,
            "",
            format!("{count} conditions, agreed at most {most}"),
            Some(case.site().facts.at),
        );
        top.cap(State::NotYet);
    }
    for (a, b) in case.conflicts(&top.conditions.clone()) {
        top.reason(
            Code::ConditionConflict,
            format!("{},{}", a.id, b.id),
            format!("{} and {} cannot both hold: {}", a.id, b.id, a.parameter),
            Some(b.at),
        );
        top.cap(State::NotYet);
    }
}

/// Nothing counts beyond the day until which it is valid, whatever that day comes from.
fn not_beyond_its_day(case: &Case, c: &mut ClaimResult) {
    let supported = matches!(c.state, State::Supported | State::WithConditions);
    if let Some(day) = c.valid_until.filter(|d| supported && *d < case.court.as_of()) {
        let text = format!("it was valid until {day} ({})", c.valid_until_from);
        c.reason(Code::ExpiredAge, c.valid_until_from.clone(), text, None);
        c.cap(State::NotYet);
    }
}
