//! The rule of field cover: every pair of conductors tested at its field, in its regime, in its geometry.

use crate::judge::conditions::earlier;
use crate::judge::court::{Case, wash_matches};
use crate::judge::coverage::{self, Cell};
use crate::judge::finding::{Write, blank};
use crate::judge::places::Place;
use crate::judge::verdict::verdict;
use crate::model::assembly::{Geometry, NetPair, PairSource};
use crate::model::assessment::{ClaimResult, Code, Cover, GateEffect, PlaceResult, State, Verdict};
use crate::model::evidence::PatternKind;
use crate::model::governance::{ClaimSpec, Per, WashState};
use crate::quantity::significant;

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
    let worst = out.places.iter().min_by(|a, b| a.state.cmp(&b.state).then(a.margin.total_cmp(&b.margin))).cloned();
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
    let component = case.a.components.iter().find(|c| c.refdes.text == pair.place.text);
    let zone_fluxes = match &pair.zone {
        Some(z) => case.fluxes_of(z),
        None => case.places(Per::Assembly).remove(0).fluxes,
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
    let mut covered: Option<(f64, String)> = None;
    for r in case.runs(&spec.id) {
        let run = &r.run;
        let standing = case.court.standing(&run.id);
        if standing.role != "used" || standing.effect >= GateEffect::Exploratory {
            continue;
        }
        for o in case.court.workings.outcomes.iter().filter(|o| o.run == run.id.text) {
            let set = case.court.set(o);
            let right_kind = match set.pattern {
                Some(PatternKind::Body) => under,
                Some(PatternKind::Comb | PatternKind::Mixed) => true,
                _ => false,
            };
            let v = verdict(o).0;
            if !right_kind || v != Verdict::Pass {
                continue;
            }
            let Some(criterion) = case.site().criterion(&o.criterion) else { continue };
            for (vehicle, build) in case.builds(run, set, spec.washed.unwrap_or(WashState::Any)) {
                let Some(pattern) = case.site().pattern(&vehicle.id, &set.place) else { continue };
                if !wash_matches(WashState::Unwashed, build) || build.flux.len() > place.fluxes.len().max(1) {
                    continue;
                }
                let cell = Cell { claim: &spec.id, run, vehicle, build, pattern: Some(pattern), criterion };
                let found = coverage::cells(case, &spec.id, &spec.covers, &place, &cell);
                let lacks: Vec<&coverage::Found> =
                    found.iter().filter(|(c, _)| c.cover == Cover::Not).map(|(_, f)| f).collect();
                let tested = pattern.v_bias.si / pattern.space.si;
                let bridged = found.iter().find_map(|(c, _)| c.bridge.clone());
                if lacks.is_empty() {
                    if covered.as_ref().is_none_or(|(t, _)| tested > *t) {
                        covered = Some((tested, run.id.text.clone()));
                    }
                    earlier(&mut out.valid_until, &mut out.valid_until_from, standing.expires, || {
                        format!("age of {}", run.id)
                    });
                    if let Some(b) = bridged {
                        out.cap(State::WithConditions);
                        if !out.bridges.contains(&b) {
                            out.bridges.push(b);
                        }
                    }
                } else if near.as_ref().is_none_or(|n| (lacks.len(), -tested) < (n.dims.len(), -n.tested)) {
                    near = Some(Near {
                        text: found
                            .iter()
                            .filter(|(c, _)| c.cover == Cover::Not)
                            .map(|(c, _)| format!("{} tested {}; needed {}", c.dimension, c.tested, c.needed))
                            .collect::<Vec<_>>()
                            .join(", "),
                        dims: found.iter().filter(|(c, _)| c.cover == Cover::Not).map(|(c, _)| c.dimension).collect(),
                        tested,
                        run: run.id.text.clone(),
                    });
                }
            }
        }
    }
    let v_mm = e / 1000.0;
    let (state, text, value, run) = match (&covered, &near) {
        (Some((t, run)), _) => (
            State::Supported,
            format!("{} V/mm, tested at {} V/mm in {run}", significant(v_mm, 3), significant(t / 1000.0, 3)),
            t / 1000.0,
            run.clone(),
        ),
        (None, Some(n)) => (State::NotYet, format!("nearest {}: {}", n.run, n.text), n.tested / 1000.0, n.run.clone()),
        (None, None) => (State::NotYet, "no admissible run passes at any field".to_string(), 0.0, String::new()),
    };
    if state == State::NotYet {
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
    if !run.is_empty() && state == State::Supported && !out.runs.contains(&run) {
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
    });
}
