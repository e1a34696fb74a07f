//! Takes a claim at a place under a criterion; gives what every outcome of its runs counts as there.

use crate::judge::court::{Case, wash_matches};
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
        for o in
            case.court.workings.outcomes.iter().filter(|o| o.run == run.id.text && o.criterion == criterion.id.text)
        {
            let set = case.court.set(o);
            if !set_matches(case, place, set) {
                continue;
            }
            let builds = case.builds(run, set, washed);
            let any_build = !run.builds.is_empty();
            if any_build && builds.is_empty() {
                // Another product, or another wash history: it does not speak of this claim.
                if case
                    .site()
                    .builds_of(run)
                    .any(|(v, b)| v.assembly.as_ref().is_none_or(|x| x.text == case.id()) && !wash_matches(washed, b))
                {
                    heard.push(silent(o, set, "G8: another wash history"));
                }
                continue;
            }
            let mut cells: Vec<Cell> = builds
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
            cells.retain(|c| stack_matches(place, c));
            if any_build && cells.is_empty() {
                continue;
            }
            let founds = match cells.first() {
                Some(cell) => coverage::cells(case, claim, &spec.covers, place, cell),
                None => Vec::new(),
            };
            if !founds.is_empty() {
                rows.push(CoverRow {
                    claim: claim.to_string(),
                    place: place.name.clone(),
                    run: run.id.text.clone(),
                    cell: set.cell.clone(),
                    pattern: set.place.clone(),
                    cells: founds.iter().map(|f| f.0.clone()).collect(),
                });
            }
            heard.push(weight_of(case, o, set, founds, criterion, !spec.covers.is_empty() && cells.is_empty()));
        }
    }
    rows.dedup();
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
    let not: Vec<&str> = founds
        .iter()
        .filter(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension))
        .map(|(c, _)| c.dimension)
        .collect();
    let bridges: Vec<String> = founds.iter().filter_map(|(c, _)| c.bridge.clone()).collect();
    let severe = founds.iter().any(|(c, _)| !c.no_more_severe);
    let missed_drops = o.run_kind == RunKind::Sir
        && set.quantity == "drops"
        && standing.gates.iter().any(|g| g.gate == "G9" && g.effect != GateEffect::Passed);
    let (weight, counts_as): (Weight, &'static str) = if standing.role == "informative" {
        (Weight::None, "informative only")
    } else if standing.role == "excluded" {
        (Weight::None, "excluded")
    } else if standing.effect == GateEffect::Inadmissible {
        (Weight::None, "inadmissible")
    } else if standing.effect == GateEffect::Exploratory {
        (Weight::None, "exploratory")
    } else if missed_drops {
        (Weight::None, "inadmissible: readings too far apart")
    } else if after_data {
        (Weight::None, "criterion agreed after the data")
    } else if v == Verdict::Fail {
        if !severe && !no_cell { (Weight::Fail, "H") } else { (Weight::HarsherFail, "Hs") }
    } else if standing.effect == GateEffect::Expired {
        (Weight::None, "expired")
    } else if v == Verdict::NotShown {
        (Weight::None, "not shown")
    } else if no_cell {
        (Weight::None, "no build is named")
    } else if !not.is_empty() {
        (Weight::None, "not covered")
    } else if v == Verdict::Marginal {
        (Weight::Marginal, "M")
    } else if !bridges.is_empty() {
        (Weight::Bridged, "Pb")
    } else {
        (Weight::Pass, "P")
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
