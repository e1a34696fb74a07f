//! The rule of leakage need: the insulation that the circuit needs, from the combs, with the agreed margin.

use super::threshold;
use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::finding::{Write, blank, weaker};
use crate::judge::statements;
use crate::model::assembly::{NetPair, PairSource};
use crate::model::assessment::{ClaimResult, Code, GateEffect, PlaceResult, State};
use crate::model::governance::ClaimSpec;
use crate::model::workings::{Origin, WorkingId};
use crate::quantity::significant;

/// Judges every pair that states a leakage budget or a needed resistance.
pub fn judge(case: &Case, spec: &ClaimSpec) -> ClaimResult {
    let mut out = blank(spec);
    // A pair of a sensitive node has the need of its node.
    let needs = |p: &&NetPair| p.r_need.is_some() || p.i_leak_max.is_some() || p.node.is_some();
    let needing: Vec<&NetPair> = case.a.pairs.iter().filter(needs).collect();
    let statement = statements::holding(case, spec);
    match (needing.is_empty(), statement) {
        (true, Some(s)) => {
            out.state = State::NotApplicable;
            out.saw(format!("{} ({}; {} {})", s.reason, s.proof, s.by, s.on), s.at);
            return out;
        }
        (true, None) => {
            out.reason(
                Code::Missing,
                "",
                "no pair states the resistance that it needs, and nobody states that none needs any",
                Some(case.a.assembly.at),
            );
            return out;
        }
        (false, Some(s)) => {
            out.reason(Code::Conflict, "", "it is stated not to apply, and yet pairs state a need", Some(s.at));
            return out;
        }
        (false, None) => {}
    }
    out.state = State::Supported;
    let Some(margin) = threshold(case, spec, "leakage_margin", &mut out) else { return out };
    let wanted = margin.value.si;
    out.unit = "times the need".into();
    for pair in needing {
        if pair.source != PairSource::Layout {
            out.reason(
                Code::InputEstimated,
                pair.id.text.clone(),
                format!("{} is not from the layout", pair.id),
                Some(pair.at),
            );
            out.cap(State::NotYet);
        }
        let fact = |name| case.court.workings.fact(case.id(), name, &pair.id);
        let (Some(need), Some(low), Some(mean)) = (fact("leakage_need"), fact("leakage_ltb"), fact("leakage_mean"))
        else {
            out.reason(
                Code::Missing,
                pair.id.text.clone(),
                format!("{}: no admissible comb readings to predict its leakage from", pair.id),
                Some(pair.at),
            );
            out.cap(State::NotYet);
            out.place_state(&pair.id, State::NotYet, "nothing to predict from");
            continue;
        };
        for f in [need, low, mean] {
            if !out.workings.contains(&f.working) {
                out.workings.push(f.working);
            }
        }
        if !run_counts(case, low.working, &pair.id, &mut out) {
            out.cap(State::NotYet);
            out.place_state(&pair.id, State::NotYet, "predicted from a run that does not count");
            continue;
        }
        // A guard leaves a small voltage across the pair, which is as good as a higher resistance.
        let guard = if pair.guard == Some(true) { fact("leakage_guard") } else { None };
        let (ratio_low, ratio_mean) = match guard {
            Some(g) => (g.value / need.value, g.value / need.value),
            None => (low.value / need.value, mean.value / need.value),
        };
        if !ratio_low.is_finite() || !ratio_mean.is_finite() {
            out.reason(Code::Missing, pair.id.text.clone(), format!("{}: the model gives no number", pair.id), None);
            out.cap(State::NotYet);
            out.place_state(&pair.id, State::NotYet, "no number");
            continue;
        }
        let show = |x: f64| significant(x, 2);
        let (state, text) = if ratio_low >= wanted {
            (State::Supported, format!("{} times the need at the lower bound", show(ratio_low)))
        } else if ratio_low >= 1.0 {
            (State::NotYet, format!("{} times the need at the lower bound, agreed {}", show(ratio_low), show(wanted)))
        } else if ratio_mean >= 1.0 {
            (State::NotYet, format!("the mean meets the need, the lower bound reaches {} of it", show(ratio_low)))
        } else {
            (
                State::Contradicted,
                format!(
                    "by model, confirm by measurement: even the mean reaches only {} of the need",
                    show(ratio_mean)
                ),
            )
        };
        let mut state = state;
        if state == State::NotYet {
            match case.answering(&spec.id, &pair.id) {
                Some(c) if ratio_low >= 1.0 && case.is_complete(c) => {
                    out.rests_on(case, &c.id.text);
                    state = State::WithConditions;
                }
                _ => {
                    let code = if ratio_low >= 1.0 { Code::Marginal } else { Code::NotShown };
                    out.reason(code, pair.id.text.clone(), format!("{}: {text}", pair.id), Some(pair.at));
                }
            }
        } else if state == State::Contradicted {
            out.reason(Code::Conflict, pair.id.text.clone(), format!("{}: {text}", pair.id), Some(pair.at));
        }
        out.cap(state);
        out.places.push(PlaceResult {
            place: format!("{} @{}", pair.id, pair.place),
            state,
            text,
            value: ratio_low,
            limit: wanted,
            margin: ratio_low - wanted,
            unit: "times the need".into(),
            run: String::new(),
            working: case.court.workings.fact(case.id(), "leakage_need", &pair.id).map(|f| f.working),
            tested: None,
            aside: None,
        });
    }
    for id in case.unreported(&spec.id) {
        out.reason(Code::Planned, id, format!("{id} is planned for this claim and not reported"), None);
        out.cap(State::NotYet);
    }
    if let Some(w) = out.places.iter().min_by(|a, b| weaker(a, b)).cloned() {
        out.place = w.place;
        out.value = w.value;
        out.limit = w.limit;
        out.margin = w.margin;
    }
    out
}

/// Whether the run that a prediction stands on counts; the claim then rests on it and lapses with it.
fn run_counts(case: &Case, prediction: WorkingId, pair: &str, out: &mut ClaimResult) -> bool {
    let workings = case.court.workings;
    let bound = workings.get(prediction).inputs.first().map(|i| &i.origin);
    let outcome = workings.outcomes.iter().find(|o| matches!(bound, Some(Origin::Working(w)) if *w == o.working));
    let Some(o) = outcome else {
        out.reason(Code::Missing, pair, format!("{pair}: the prediction names no run"), None);
        return false;
    };
    let standing = case.court.standing(&o.run);
    let code = match standing.role {
        "used" => None,
        "expired" => Some(Code::ExpiredAge),
        "exploratory" => Some(Code::CriterionAfterData),
        _ => Some(Code::Inadmissible),
    };
    if let Some(code) = code {
        let text = format!("{pair}: predicted from {}, which is {}", o.run, standing.role);
        out.reason(code, o.run.clone(), text, Some(o.worst_at));
        return false;
    }
    if standing.effect == GateEffect::CapConditional {
        let text = format!("{} counts for a claim with conditions at best", o.run);
        out.reason(Code::Inadmissible, standing.first_failed, text, None);
        out.cap(State::WithConditions);
    }
    if !out.runs.contains(&o.run) {
        out.runs.push(o.run.clone());
    }
    let run = o.run.clone();
    earlier(&mut out.valid_until, &mut out.valid_until_from, standing.expires, || format!("age of {run}"));
    true
}
