//! Waivers and assumptions: what a customer accepted for a time, and what was accepted without a test.

use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::model::Text;
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::AssumptionStatus;

/// Whether a waiver of this assembly for a claim is in force, given by a customer with the authority.
pub fn in_force(case: &Case, id: &Text, claim: &str) -> bool {
    let as_of = case.court.as_of();
    case.site()
        .waivers
        .iter()
        .filter(|w| w.id.text == id.text && w.assembly.text == case.id())
        .filter(|w| w.claims.iter().any(|c| c.text == claim))
        .any(|w| case.customer_signs(&w.customer_authority, w.from, &["waive"]) && w.from <= as_of && as_of <= w.to)
}

/// A waiver lifts a claim from not-yet to with-conditions, for a time; it never touches a contradiction.
pub fn apply_waivers(case: &Case, c: &mut ClaimResult) {
    let claim = c.id.clone();
    for w in &case.site().waivers {
        if c.state != State::NotYet || !in_force(case, &w.id, &claim) {
            continue;
        }
        c.state = State::WithConditions;
        // What ran out before is what was waived.
        c.valid_until = c.valid_until.filter(|d| *d >= case.court.as_of());
        c.waivers.push(w.id.text.clone());
        c.reason(
            Code::AcceptedRisk,
            w.id.text.clone(),
            format!("{} accepts: {} (within: {})", w.customer_authority, w.scope, w.limit_of_use),
            Some(w.at),
        );
        earlier(&mut c.valid_until, &mut c.valid_until_from, Some(w.to), || format!("waiver {}", w.id));
    }
}

/// Assumptions that a claim rests on.
pub fn apply_assumptions(case: &Case, c: &mut ClaimResult) {
    let claim = c.id.clone();
    let as_of = case.court.as_of();
    for a in case
        .site()
        .assumptions
        .iter()
        .filter(|a| a.assemblies.iter().any(|x| x.text == case.id()) && a.claims.iter().any(|x| x.text == claim))
    {
        let sound = matches!(a.status, AssumptionStatus::Accepted | AssumptionStatus::AcceptedWithLimit);
        if c.state == State::NotApplicable {
            // That a claim does not apply rests on its assumptions too.
            if !sound || a.review_on < as_of {
                c.reason(
                    Code::Assumption,
                    a.id.text.clone(),
                    format!("{} does not hold: {}", a.id, a.text),
                    Some(a.at),
                );
                c.cap(State::NotYet);
            }
            continue;
        }
        c.assumptions.push(a.id.text.clone());
        earlier(&mut c.valid_until, &mut c.valid_until_from, Some(a.review_on), || format!("assumption {}", a.id));
        match a.status {
            AssumptionStatus::Accepted if a.review_on >= as_of => {}
            AssumptionStatus::AcceptedWithLimit if a.review_on >= as_of => c.cap(State::WithConditions),
            AssumptionStatus::Falsified => {
                c.reason(Code::Conflict, a.id.text.clone(), format!("falsified: {}", a.text), Some(a.at));
                c.cap(State::Contradicted);
            }
            status => {
                let why = if status == AssumptionStatus::Open { "is open" } else { "was to be reviewed" };
                c.reason(Code::Assumption, a.id.text.clone(), format!("{} {why}: {}", a.id, a.text), Some(a.at));
                c.cap(State::NotYet);
            }
        }
    }
}

/// Conditions that name the claim attach to it, complete or not.
pub fn attach_conditions(case: &Case, c: &mut ClaimResult) {
    if matches!(c.state, State::NotApplicable | State::Contradicted) {
        return;
    }
    let claim = c.id.clone();
    for k in case.conditions().filter(|k| k.claims.iter().any(|x| x.text == claim)) {
        let lacks = case.lacks(k);
        if lacks.is_empty() {
            c.rests_on(case, &k.id.text);
            c.cap(State::WithConditions);
        } else {
            c.reason(
                Code::ConditionIncomplete,
                k.id.text.clone(),
                format!("{} lacks {}", k.id, lacks.join(", ")),
                Some(k.at),
            );
            c.cap(State::NotYet);
        }
    }
}
