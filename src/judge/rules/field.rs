//! The rule of field cover: every pair of conductors tested at its field, in its regime, in its geometry.

use crate::judge::conditions::earlier;
use crate::judge::court::{Case, wash_matches};
use crate::judge::coverage::{self, Cell};
use crate::judge::finding::{Write, blank, weaker};
use crate::judge::places::Place;
use crate::judge::verdict::verdict;
use crate::model::assembly::{Geometry, NetPair, PairSource};
use crate::model::assessment::{ClaimResult, Code, Cover, GateEffect, PlaceResult, State, Verdict};
use crate::model::evidence::{Build, Pattern, PatternKind, Run, Vehicle};
use crate::model::governance::{ClaimSpec, Criterion, Per, WashState};
use crate::model::workings::Outcome;
use crate::quantity::significant;

/// A cell that covers a pair: its field in V/m, and what the cover is worth.
struct Covering {
    field: f64,
    run: String,
    state: State,
    bridges: Vec<String>,
    under: Vec<String>,
}

/// The nearest test of a pair that failed to cover it: words, and tested field in V/m.
struct Near {
    text: String,
    dims: Vec<&'static str>,
    tested: f64,
    run: String,
}

/// Judges every pair up to the high-voltage threshold; pairs above it are judged by the claim on high voltage.
pub fn judge(case: &Case, spec: &ClaimSpec) -> ClaimResult {
    let mut out = blank(spec);
    let pairs: Vec<&NetPair> = case.a.pairs.iter().filter(|p| p.v_peak.si <= case.hv_threshold()).collect();
    if pairs.is_empty() {
        out.reason(Code::Missing, "", "no pair of conductors is listed", Some(case.a.assembly.at));
        return out;
    }
    out.state = State::Supported;
    out.unit = "V/mm".into();
    for pair in &pairs {
        if pair.source != PairSource::Layout {
            out.reason(
                Code::InputEstimated,
                pair.id.text.clone(),
                format!("{} was taken from the {}, not from the layout", pair.id, pair.source),
                Some(pair.at),
            );
            out.cap(State::NotYet);
        }
        judge_pair(case, spec, pair, &mut out);
    }
    for id in case.unreported(&spec.id) {
        out.reason(Code::Planned, id, format!("{id} is planned for this claim and not reported"), None);
        out.cap(State::NotYet);
    }
    let worst = out.places.iter().min_by(|a, b| weaker(a, b)).cloned();
    if let Some(w) = worst {
        out.place = w.place;
        out.value = w.value;
        out.limit = w.limit;
        out.margin = w.margin;
    }
    out
}

fn judge_pair(case: &Case, spec: &ClaimSpec, pair: &NetPair, out: &mut ClaimResult) {
    let e = case.field(pair);
    let under = pair.geometry == Geometry::BodyUnder;
    let component = case
        .a
        .components
        .iter()
        .find(|c| c.refdes.text == pair.place.text || c.like.iter().any(|l| l.text == pair.place.text));
    let zone_fluxes = match &pair.zone {
        Some(z) => case.fluxes_of(z),
        None => case.first_fluxes(None),
    };
    let place = Place {
        name: pair.id.text.clone(),
        per: Per::Pair,
        component: if under { component } else { None },
        pairs: vec![pair],
        fluxes: zone_fluxes.into_iter().take(1).collect(),
        coated: pair.coated,
    };
    if let Some(w) = case.court.workings.fact(case.id(), "field", &pair.id)
        && !out.workings.contains(&w.working)
    {
        out.workings.push(w.working);
    }
    let mut near: Option<Near> = None;
    let mut best: Option<Covering> = None;
    for t in tested(case, spec, under, &place) {
        let cell = Cell {
            claim: &spec.id,
            run: t.run,
            vehicle: t.vehicle,
            build: t.build,
            pattern: Some(t.pattern),
            criterion: t.criterion,
        };
        let found = coverage::cells(case, &spec.id, &spec.covers, &place, &cell);
        let lacks: Vec<_> = found.iter().filter(|(c, _)| c.cover == Cover::Not).map(|(c, _)| c).collect();
        let field = t.pattern.v_bias.si / t.pattern.space.si;
        if lacks.is_empty() {
            let bridges: Vec<String> = found.iter().filter_map(|(c, _)| c.bridge.clone()).collect();
            let mut c =
                Covering { field, run: t.run.id.text.clone(), state: State::Supported, bridges, under: Vec::new() };
            c.under = t.run.under.iter().map(|x| x.text.clone()).collect();
            if case.court.standing(&t.run.id).effect == GateEffect::CapConditional || !c.bridges.is_empty() {
                c.state = State::WithConditions;
            }
            for id in &c.under {
                let held =
                    case.site().condition(id).is_some_and(|k| k.assembly.text == case.id() && case.is_complete(k));
                c.state = c.state.min(if held { State::WithConditions } else { State::NotYet });
            }
            if best.as_ref().is_none_or(|b| (c.state, c.field) > (b.state, b.field)) {
                best = Some(c);
            }
        } else if near.as_ref().is_none_or(|n| (lacks.len(), -field) < (n.dims.len(), -n.tested)) {
            near = Some(Near {
                text: lacks
                    .iter()
                    .map(|c| format!("{} tested {}; needed {}", c.dimension, c.tested, c.needed))
                    .collect::<Vec<_>>()
                    .join(", "),
                dims: lacks.iter().map(|c| c.dimension).collect(),
                tested: field,
                run: t.run.id.text.clone(),
            });
        }
    }
    if let Some(c) = &best {
        earlier(&mut out.valid_until, &mut out.valid_until_from, case.court.standing(&c.run).expires, || {
            format!("age of {}", c.run)
        });
        for b in &c.bridges {
            if !out.bridges.contains(b) {
                out.bridges.push(b.clone());
            }
            let expires = case.site().bridges.iter().find(|x| x.id.text == *b).and_then(|x| x.expires);
            earlier(&mut out.valid_until, &mut out.valid_until_from, expires, || format!("bridge {b}"));
        }
        for id in &c.under {
            if c.state == State::NotYet {
                let text = format!("{} holds only under {id}, which is not complete", c.run);
                out.reason(Code::ConditionIncomplete, id.clone(), text, Some(pair.at));
            } else {
                out.rests_on(case, id);
            }
        }
    }
    let covered = best.as_ref().map(|c| (c.field, c.run.clone(), c.state));
    let v_mm = e / 1000.0;
    let (state, text, value, run) = match (&covered, &near) {
        (Some((t, run, state)), _) => (
            *state,
            format!("{} V/mm, tested at {} V/mm in {run}", significant(v_mm, 3), significant(t / 1000.0, 3)),
            t / 1000.0,
            run.clone(),
        ),
        (None, Some(n)) => (State::NotYet, format!("nearest {}: {}", n.run, n.text), n.tested / 1000.0, n.run.clone()),
        (None, None) => (State::NotYet, "no admissible run passes at any field".to_string(), 0.0, String::new()),
    };
    if covered.is_none() {
        let detail = near.as_ref().map_or("K9".to_string(), |n| n.dims.join(","));
        out.reason(
            Code::NotCovered,
            detail,
            format!(
                "{} {}/{} at {}: {} V/mm; {text}",
                pair.id,
                pair.net_a,
                pair.net_b,
                pair.place,
                significant(v_mm, 3)
            ),
            Some(pair.at),
        );
    }
    if covered.is_some() && !out.runs.contains(&run) {
        out.runs.push(run.clone());
    }
    out.cap(state);
    out.places.push(PlaceResult {
        place: format!("{} @{}", pair.id, pair.place),
        state,
        text,
        value,
        limit: v_mm,
        margin: value - v_mm,
        unit: "V/mm".into(),
        run,
        working: case.court.workings.fact(case.id(), "field", &pair.id).map(|f| f.working),
        tested: None,
        aside: None,
    });
}

/// A cell that passed for insulation on boards of the process, and may therefore cover a field.
struct Tested<'a> {
    run: &'a Run,
    vehicle: &'a Vehicle,
    build: &'a Build,
    pattern: &'a Pattern,
    criterion: &'a Criterion,
}

/// Cells with a passing bound of insulation or migration on which nothing fails: a count of drops that passes says
/// nothing of the resistance, and a pass beside a fail on the same combs covers nothing.
fn tested<'a>(case: &'a Case<'a>, spec: &ClaimSpec, under: bool, place: &Place) -> Vec<Tested<'a>> {
    let mut out = Vec::new();
    for r in case.runs(&spec.id) {
        let run = &r.run;
        if case.court.standing(&run.id).role != "used" {
            continue;
        }
        let of = |o: &&Outcome| {
            o.run == run.id.text && case.site().criterion(&o.criterion).is_some_and(|c| matters(case, run, c))
        };
        let outcomes: Vec<&Outcome> = case.court.workings.outcomes.iter().filter(of).collect();
        for o in &outcomes {
            let set = case.court.set(o);
            let right_kind = match set.pattern {
                Some(PatternKind::Body) => under,
                Some(PatternKind::Comb | PatternKind::Mixed) => true,
                _ => false,
            };
            let insulation = set.quantity == "sir" || set.quantity.starts_with("ecm");
            let fails = outcomes.iter().any(|p| {
                let x = case.court.set(p);
                x.build == set.build && x.place == set.place && verdict(p).0 == Verdict::Fail
            });
            if !right_kind || !insulation || fails || verdict(o).0 != Verdict::Pass {
                continue;
            }
            let Some(criterion) = case.site().criterion(&o.criterion).filter(|c| agreed(case, c, run)) else {
                continue;
            };
            for (vehicle, build) in case.builds(run, set, spec.washed.unwrap_or(WashState::Any)) {
                let Some(pattern) = case.site().pattern(&vehicle.id, &set.place) else { continue };
                if wash_matches(WashState::Unwashed, build) && build.flux.len() <= place.fluxes.len().max(1) {
                    out.push(Tested { run, vehicle, build, pattern, criterion });
                }
            }
        }
    }
    out
}

/// Whether a criterion speaks to a claim that the run is to speak to, for this assembly.
fn matters(case: &Case, run: &Run, c: &Criterion) -> bool {
    let (claims, _) = case.site().targets(run);
    (c.assemblies.is_empty() || c.assemblies.iter().any(|a| a.text == case.id()))
        && c.applies_to.iter().any(|x| claims.iter().any(|t| t.text == x.text))
}

/// Whether the set of a criterion was agreed before the run and is still valid.
fn agreed(case: &Case, c: &Criterion, run: &Run) -> bool {
    let set = case.site().criteria_sets.iter().find(|s| s.id.text == c.set.text);
    set.is_some_and(|s| s.agreed_on < run.start.day && s.valid_to.is_none_or(|d| case.court.as_of() <= d))
}
