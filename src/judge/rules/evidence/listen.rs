//! Takes a claim at a place under a criterion; gives what every outcome of its runs counts as there.

use crate::judge::court::{Case, Speakers};
use crate::judge::coverage::{self, Cell, Found, TOGETHER};
use crate::judge::places::Place;
use crate::judge::verdict::verdict;
use crate::model::assessment::{Cover, CoverCell, CoverRow, GateEffect, Verdict, Voice};
use crate::model::evidence::{PatternKind, RunKind};
use crate::model::governance::{ClaimSpec, Criterion, Per, WashState};
use crate::model::workings::{Outcome, SampleSet};

/// What one outcome counts as at one place.
pub(super) struct Heard {
    pub voice: Voice,
    pub founds: Vec<(CoverCell, Found)>,
    /// P, Pb, M, Hs, H or none.
    pub weight: Weight,
    pub conditions: Vec<String>,
    pub bridges: Vec<String>,
    pub capped: bool,
    pub expires: Option<crate::model::Day>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Pass,
    Bridged,
    Marginal,
    /// Failed on a vehicle no more severe.
    Fail,
    /// Failed on a vehicle more severe, or not comparable.
    HarsherFail,
    None,
}

/// Everything that any run says of this criterion at this place.
pub(super) fn listen(
    case: &Case,
    spec: &ClaimSpec,
    place: &Place,
    criterion: &Criterion,
    rows: &mut Vec<CoverRow>,
) -> Vec<Heard> {
    let claim = spec.id.text.as_str();
    let washed = spec.washed.unwrap_or(WashState::Any);
    let mut heard = Vec::new();
    for r in case.runs(claim) {
        let run = &r.run;
        let mine = |o: &&Outcome| o.run == run.id.text && o.criterion == criterion.id.text;
        for o in case.court.workings.outcomes.iter().filter(mine) {
            let set = case.court.set(o);
            if !set_matches(case, place, set) {
                continue;
            }
            let builds = match case.speakers(run, set, washed) {
                Speakers::Builds(builds) => builds,
                Speakers::NoBuild | Speakers::UnknownBoards => Vec::new(),
                Speakers::OtherProduct => continue,
                Speakers::OtherWash => {
                    heard.push(silent(o, set, "G8: another wash history"));
                    continue;
                }
            };
            let cells: Vec<Cell> = builds
                .iter()
                .map(|&(vehicle, build)| Cell {
                    claim,
                    run,
                    vehicle,
                    build,
                    pattern: case.site().pattern(&vehicle.id, &set.place),
                    criterion,
                })
                .collect();
            if !cells.iter().all(|c| stack_matches(place, c)) {
                heard.push(silent(o, set, "another stack of fluxes"));
                continue;
            }
            let founds =
                coverage::merge(cells.iter().map(|c| coverage::cells(case, claim, &spec.covers, place, c)).collect());
            if !founds.is_empty() {
                let row = CoverRow {
                    claim: claim.to_string(),
                    place: place.name.clone(),
                    run: run.id.text.clone(),
                    cell: set.cell.clone(),
                    pattern: set.place.clone(),
                    cells: founds.iter().map(|f| f.0.clone()).collect(),
                };
                // Criteria on one set compare the same boards; one row says it.
                let of_place = |r: &&CoverRow| r.claim == row.claim && r.place == row.place;
                if !rows.iter().rev().take_while(of_place).any(|r| *r == row) {
                    rows.push(row);
                }
            }
            // Without a build nothing is known of flux, board and wash.
            let no_cell = cells.is_empty() && (!spec.covers.is_empty() || washed != WashState::Any);
            heard.push(weight_of(case, o, set, founds, criterion, no_cell));
        }
    }
    heard
}

/// Whether a sample set speaks of a place.
fn set_matches(case: &Case, place: &Place, set: &SampleSet) -> bool {
    let all = set.place == "all" || set.place == "board" || set.place.is_empty();
    match place.per {
        Per::Assembly => true,
        Per::Open | Per::Overlap => matches!(set.pattern, Some(PatternKind::Comb | PatternKind::Mixed)),
        Per::LiquidZone => {
            matches!(set.pattern, Some(PatternKind::Comb | PatternKind::Mixed)) || set.place == place.name || all
        }
        Per::Body => match set.pattern {
            Some(PatternKind::Body) => same_class(case, place, set),
            None => set.place == place.name,
            Some(_) => false,
        },
        Per::LowGap => match set.pattern {
            Some(PatternKind::Body) => same_class(case, place, set),
            None => set.place == place.name || all,
            Some(_) => false,
        },
        _ => set.place == place.name || all,
    }
}

fn same_class(case: &Case, place: &Place, set: &SampleSet) -> bool {
    let Some(c) = place.component else { return false };
    case.site()
        .vehicles
        .iter()
        .filter(|v| v.build.iter().any(|b| b.id.text == set.build))
        .flat_map(|v| v.pattern.iter())
        .any(|p| p.id.text == set.place && p.body_class == Some(c.body_class))
}

/// A cell with other fluxes than the place sees is about another surface.
fn stack_matches(place: &Place, cell: &Cell) -> bool {
    if cell.vehicle.assembly.is_some() {
        return true;
    }
    let theirs = &cell.build.flux;
    match place.per {
        Per::Open | Per::Body | Per::LowGap | Per::HighVoltage | Per::Pair => theirs.len() <= place.fluxes.len().max(1),
        Per::Overlap | Per::LiquidZone => theirs.iter().any(|b| {
            place.fluxes.iter().skip(usize::from(place.fluxes.len() > 1)).any(|f| f.flux.text == b.material.text)
        }),
        _ => true,
    }
}

fn voice_of(o: &Outcome, set: &SampleSet, verdict: Verdict, counts_as: &'static str, reason: String) -> Voice {
    let sign = if o.margin.is_nan() { f64::NAN } else { o.margin };
    // Printed value is the statistic after the guard band, on the side of caution.
    let lower_is_worse = (o.value - o.limit - o.guard - o.margin).abs() <= 1e-6 * (1.0 + o.value.abs());
    let value = if lower_is_worse { o.value - o.guard } else { o.value + o.guard };
    Voice {
        run: o.run.clone(),
        cell: set.cell.clone(),
        pattern: set.place.clone(),
        criterion: o.criterion.clone(),
        verdict,
        counts_as,
        value,
        guard: o.guard,
        limit: o.limit,
        margin: sign,
        unit: o.unit.clone(),
        n: o.n,
        n_eff: o.n_eff,
        reason,
        working: o.working,
        at: o.worst_at,
    }
}

fn silent(o: &Outcome, set: &SampleSet, why: &'static str) -> Heard {
    Heard {
        voice: voice_of(o, set, verdict(o).0, why, String::new()),
        founds: Vec::new(),
        weight: Weight::None,
        conditions: Vec::new(),
        bridges: Vec::new(),
        capped: false,
        expires: None,
    }
}

/// What an outcome counts as, by the standing of its run and its coverage.
fn weight_of(
    case: &Case,
    o: &Outcome,
    set: &SampleSet,
    founds: Vec<(CoverCell, Found)>,
    criterion: &Criterion,
    no_cell: bool,
) -> Heard {
    let standing = case.court.standing(&o.run);
    let run = &case.site().run(&o.run).expect("outcomes come from runs").run;
    let (v, why) = verdict(o);
    let agreed = case.site().criteria_sets.iter().find(|s| s.id.text == criterion.set.text).map(|s| s.agreed_on);
    let after_data = agreed.is_none_or(|d| d >= run.start.day);
    let not = founds.iter().any(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension));
    let bridges: Vec<String> = founds
        .iter()
        .filter(|(c, _)| c.cover == Cover::Bridged && !TOGETHER.contains(&c.dimension))
        .filter_map(|(c, _)| c.bridge.clone())
        .collect();
    let severe = founds.iter().any(|(c, _)| !c.no_more_severe);
    let missed_drops = o.run_kind == RunKind::Sir
        && set.quantity == "drops"
        && standing.gates.iter().any(|g| g.gate == "G9" && g.effect != GateEffect::Passed);
    let (weight, counts_as): (Weight, &'static str) = match standing.role {
        "informative" => (Weight::None, "informative only"),
        "excluded" => (Weight::None, "excluded"),
        "pending" => (Weight::None, "not yet ended"),
        "inadmissible" => (Weight::None, "inadmissible"),
        "exploratory" => (Weight::None, "exploratory"),
        _ if after_data => (Weight::None, "criterion agreed after the data"),
        // A fail does not age, and readings far apart hide drops but invent none.
        _ if v == Verdict::Fail && !severe && !no_cell => (Weight::Fail, "H"),
        _ if v == Verdict::Fail => (Weight::HarsherFail, "Hs"),
        _ if missed_drops => (Weight::None, "inadmissible: readings too far apart"),
        "expired" => (Weight::None, "expired"),
        _ if v == Verdict::NotShown => (Weight::None, "not shown"),
        _ if no_cell => (Weight::None, "no build is named"),
        _ if not => (Weight::None, "not covered"),
        _ if v == Verdict::Marginal => (Weight::Marginal, "M"),
        _ if !bridges.is_empty() => (Weight::Bridged, "Pb"),
        _ => (Weight::Pass, "P"),
    };
    Heard {
        voice: voice_of(o, set, v, counts_as, why),
        founds,
        weight,
        conditions: run.under.iter().map(|c| c.text.clone()).collect(),
        bridges,
        capped: standing.effect == GateEffect::CapConditional,
        expires: standing.expires,
    }
}
