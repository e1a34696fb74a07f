//! Checks of washing (W6, W7): time from solder to wash, parts that bear the wash.

use super::lacks;
use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::model::assembly::YesNoUnknown;
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::{ClaimSpec, TreeKind};
use crate::model::processes::Process;

/// The process that a tree speaks of.
fn process<'a>(case: &Case<'a>, spec: &ClaimSpec) -> Option<&'a Process> {
    let id = match spec.tree {
        TreeKind::Wash => case.a.assembly.wash_process.as_ref()?,
        _ => &case.a.assembly.present_process,
    };
    case.site().process(id)
}

/// The time from solder to wash is bounded, and the bound is kept by a condition or shown by a run.
pub fn time_to_wash(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let Some(p) = process(case, spec) else {
        return lacks(out, Code::Missing, "", "no wash process is planned", Some(case.a.assembly.at));
    };
    let Some(limit) = &p.wash_within else {
        return lacks(
            out,
            Code::Missing,
            "wash_within",
            "the longest time from solder to wash is not stated",
            Some(p.at),
        );
    };
    out.saw(format!("wash within {limit}"), limit.at);
    let shown = case.runs(&spec.id).into_iter().find(|r| {
        let s = case.court.standing(&r.run.id);
        s.role == "used" && s.verdict == crate::model::assessment::Verdict::Pass
    });
    // Without a run, a complete condition may keep the line within a time that is known to be harmless.
    let kept = case.conditions().find(|c| c.claims.iter().any(|x| x.text == spec.id.text) && case.is_complete(c));
    match (shown, kept) {
        (Some(r), _) => {
            let s = case.court.standing(&r.run.id);
            let id = r.run.id.text.clone();
            earlier(&mut out.valid_until, &mut out.valid_until_from, s.expires, || format!("age of {id}"));
            out.runs.push(r.run.id.text.clone());
        }
        (None, Some(c)) => {
            out.rests_on(case, &c.id.text);
            out.cap(State::WithConditions);
        }
        (None, None) => {
            lacks(out, Code::Missing, "", format!("no run shows that boards come clean after {limit}"), Some(limit.at));
        }
    }
}

/// Every part of the assembly is stated to bear the wash.
pub fn parts_bear_wash(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    if process(case, spec).is_none() {
        return lacks(out, Code::Missing, "", "no wash process is planned", Some(case.a.assembly.at));
    }
    if case.a.components.is_empty() {
        return lacks(out, Code::Missing, "", "no part is listed", Some(case.a.assembly.at));
    }
    out.n = case.a.components.len();
    for c in &case.a.components {
        match c.wash_ok {
            Some(YesNoUnknown::Yes) => out.saw(format!("{}: stated to bear the wash", c.refdes), c.at),
            Some(YesNoUnknown::No) => {
                out.reason(
                    Code::Conflict,
                    c.refdes.text.clone(),
                    format!("{} does not bear the wash", c.refdes),
                    Some(c.at),
                );
                out.cap(State::Contradicted);
            }
            _ => lacks(
                out,
                Code::Missing,
                &c.refdes,
                format!("nobody states whether {} bears the wash", c.refdes),
                Some(c.at),
            ),
        }
    }
}
