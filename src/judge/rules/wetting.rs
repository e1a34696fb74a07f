//! The rule of wet and dirty use: a product test with condensation, salt, gas or dust; else proof that it stays dry.

use super::{evidence, threshold};
use crate::judge::court::Case;
use crate::judge::finding::{Write, blank};
use crate::model::assembly::SourceKind;
use crate::model::assessment::{ClaimResult, Code, CoverRow, PlaceResult, State};
use crate::model::governance::ClaimSpec;
use crate::quantity::significant;

/// Judges by test where it gets wet or dirty; by the dew-point margin where it is said to stay dry.
pub fn judge(case: &Case, spec: &ClaimSpec, rows: &mut Vec<CoverRow>) -> ClaimResult {
    let env = case.environment();
    let Some(condensing) = &env.condensing else {
        let mut out = blank(spec);
        out.reason(Code::Missing, "condensing", "condensing hours are not known", Some(env.at));
        return out;
    };
    let dirty = env.salt || env.gas || env.dust;
    if condensing.si > 0.0 || dirty {
        // Only criteria on the product's behaviour count here; the dew margin can't argue a wet product dry.
        let mut out = evidence::judge(case, spec, rows);
        out.saw(
            format!("{} condensing a year; salt {}, gas {}, dust {}", condensing, env.salt, env.gas, env.dust),
            env.at,
        );
        if out.state < State::WithConditions && case.runs(&spec.id).is_empty() {
            out.reason(
                Code::Missing,
                "K15",
                "it gets wet or dirty in use, and no product test with that is reported: insulation tests alone do not speak to it",
                Some(env.at),
            );
        }
        return out;
    }
    let mut out = blank(spec);
    out.state = State::Supported;
    let Some(limit) = threshold(case, spec, "dew_margin", &mut out) else { return out };
    let wanted = limit.value.si;
    let margins: Vec<_> =
        case.court.workings.facts.iter().filter(|f| f.assembly == case.id() && f.name == "dew_margin").collect();
    if margins.is_empty() {
        out.reason(Code::Missing, "", "no dew-point margin could be computed", Some(env.at));
        out.cap(State::NotYet);
        return out;
    }
    if !matches!(env.source, SourceKind::Measured | SourceKind::Contract) {
        out.reason(
            Code::InputEstimated,
            "bins",
            format!("dryness is argued from bins of source {}, neither measured nor agreed", env.source),
            Some(env.at),
        );
        out.cap(State::NotYet);
    }
    let dry: Vec<_> = margins.iter().filter(|f| !f.place.is_empty()).collect();
    let all = if dry.is_empty() { margins.iter().collect() } else { dry };
    for f in all {
        let state = if f.value >= wanted { State::Supported } else { State::NotYet };
        if state == State::NotYet {
            out.reason(
                Code::NotShown,
                f.place.clone(),
                format!(
                    "{}: dew-point margin {} K, agreed {} K",
                    f.place,
                    significant(f.value, 2),
                    significant(wanted, 2)
                ),
                Some(env.at),
            );
        }
        out.cap(state);
        if !out.workings.contains(&f.working) {
            out.workings.push(f.working);
        }
        out.places.push(PlaceResult {
            place: f.place.clone(),
            state,
            text: format!("dew-point margin {} K", significant(f.value, 2)),
            value: f.value,
            limit: wanted,
            margin: f.value - wanted,
            unit: "K".into(),
            run: String::new(),
            working: Some(f.working),
            tested: None,
            aside: None,
        });
    }
    for id in case.unreported(&spec.id) {
        out.reason(Code::Planned, id, format!("{id} is planned for this claim and not reported"), None);
        out.cap(State::NotYet);
    }
    out.unit = "K".into();
    if let Some(w) = out.places.iter().min_by(|a, b| a.margin.total_cmp(&b.margin)).cloned() {
        out.place = w.place;
        out.value = w.value;
        out.limit = w.limit;
        out.margin = w.margin;
    }
    out
}
