//! Takes what was heard at a place; gives its state: fails first, then what carries it, then its limits.

use super::explain::explain_absence;
use super::listen::{Heard, Weight};
use super::outside::{Outside, outside_cause};
use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::coverage::{self, Found, TOGETHER};
use crate::judge::finding::{Write, lower};
use crate::judge::places::Place;
use crate::model::assessment::{ClaimResult, Code, CoverCell, State};
use crate::model::governance::{ClaimSpec, Criterion};

/// The algorithm of the leaf at one place under one criterion.
pub(super) fn weigh(
    case: &Case,
    spec: &ClaimSpec,
    place: &Place,
    criterion: &Criterion,
    heard: &[Heard],
    out: &mut ClaimResult,
) -> State {
    let claim = spec.id.text.as_str();
    let mut state = State::Supported;
    // Fails first: nothing outweighs them.
    for h in heard.iter().filter(|h| h.weight == Weight::Fail) {
        match outside_cause(case, claim, &h.voice.run) {
            Outside::Argued(condition) => {
                out.rests_on(case, &condition);
                state = lower(state, State::WithConditions);
            }
            Outside::Incomplete(lacks) => {
                out.reason(
                    Code::OpenDefeater,
                    h.voice.run.clone(),
                    format!("{} failed; its outside cause lacks {}", h.voice.run, lacks.join(", ")),
                    Some(h.voice.at),
                );
                state = lower(state, State::NotYet);
            }
            Outside::None => {
                out.reason(
                    Code::Conflict,
                    h.voice.run.clone(),
                    format!("{} fails at {}: {}", h.voice.run, place.name, h.voice.reason),
                    Some(h.voice.at),
                );
                return State::Contradicted;
            }
        }
    }
    for h in heard.iter().filter(|h| h.weight == Weight::HarsherFail) {
        if let Some(c) = case.answering(claim, &h.voice.run)
            && case.is_complete(c)
        {
            out.rests_on(case, &c.id.text);
            state = lower(state, State::WithConditions);
        }
        // Otherwise the doubt DF5 is raised for it and holds the claim down until it is answered.
    }
    let carrying: Vec<&Heard> =
        heard.iter().filter(|h| matches!(h.weight, Weight::Pass | Weight::Bridged | Weight::Marginal)).collect();
    if carrying.is_empty() {
        explain_absence(case, place, heard, out);
        return lower(state, State::NotYet);
    }
    // Dimensions that several cells cover together.
    let mut lacking = Vec::new();
    for k in spec.covers.iter().filter(|k| TOGETHER.contains(&k.text.as_str())) {
        let of: Vec<(&CoverCell, &Found)> = carrying
            .iter()
            .flat_map(|h| h.founds.iter())
            .filter(|(c, _)| c.dimension == k.text)
            .map(|(c, f)| (c, f))
            .collect();
        let founds: Vec<&Found> = of.iter().map(|x| x.1).collect();
        let missing = coverage::lacking(&k.text, &founds);
        if missing.is_empty() {
            continue;
        }
        match coverage::carried(&k.text, &missing, &of) {
            Some(bridges) => {
                for b in &bridges {
                    use_bridge(case, b, out);
                }
                state = lower(state, State::WithConditions);
            }
            None => lacking.push((k.text.clone(), missing)),
        }
    }
    for (k, missing) in &lacking {
        out.reason(
            Code::NotCovered,
            k.clone(),
            format!("{}: {k} is not covered: {}", place.name, missing.join("; ")),
            Some(criterion.at),
        );
        state = lower(state, State::NotYet);
    }
    if !lacking.is_empty() {
        explain_absence(case, place, heard, out);
    }
    for h in &carrying {
        let (until, run) = (h.expires, h.voice.run.clone());
        earlier(&mut out.valid_until, &mut out.valid_until_from, until, || format!("age of {run}"));
        for b in &h.bridges {
            use_bridge(case, b, out);
        }
        if h.weight == Weight::Marginal {
            match case.answering(claim, &h.voice.run) {
                Some(c) if case.is_complete(c) => {
                    out.rests_on(case, &c.id.text);
                    state = lower(state, State::WithConditions);
                }
                Some(c) => {
                    out.reason(
                        Code::ConditionIncomplete,
                        c.id.text.clone(),
                        format!("{} lacks {}", c.id, case.lacks(c).join(", ")),
                        Some(c.at),
                    );
                    state = lower(state, State::NotYet);
                }
                None => {
                    out.reason(
                        Code::Marginal,
                        h.voice.run.clone(),
                        format!("{}: {} and no condition answers it", h.voice.run, h.voice.reason),
                        Some(h.voice.at),
                    );
                    state = lower(state, State::NotYet);
                }
            }
        }
        if h.weight == Weight::Bridged {
            state = lower(state, State::WithConditions);
        }
        if h.capped {
            out.reason(
                Code::Inadmissible,
                case.court.standing(&h.voice.run).first_failed,
                format!("{} counts for a claim with conditions at best", h.voice.run),
                None,
            );
            state = lower(state, State::WithConditions);
        }
        for id in &h.conditions {
            // A condition of another assembly is not this one's to keep.
            let complete =
                case.site().condition(id).is_some_and(|c| c.assembly.text == case.id() && case.is_complete(c));
            if complete {
                out.rests_on(case, id);
                state = lower(state, State::WithConditions);
            } else {
                out.reason(
                    Code::ConditionIncomplete,
                    id.clone(),
                    format!("{} holds only under {id}, which is not complete", h.voice.run),
                    None,
                );
                state = lower(state, State::NotYet);
            }
        }
    }
    let set_valid = case.site().criteria_sets.iter().find(|s| s.id.text == criterion.set.text).and_then(|s| s.valid_to);
    earlier(&mut out.valid_until, &mut out.valid_until_from, set_valid, || format!("criteria set {}", criterion.set));
    state
}

/// Notes that a bridge carries the claim, and until when.
fn use_bridge(case: &Case, id: &str, out: &mut ClaimResult) {
    if !out.bridges.iter().any(|b| b == id) {
        out.bridges.push(id.to_string());
    }
    let expires = case.site().bridges.iter().find(|x| x.id.text == id).and_then(|x| x.expires);
    earlier(&mut out.valid_until, &mut out.valid_until_from, expires, || format!("bridge {id}"));
}
