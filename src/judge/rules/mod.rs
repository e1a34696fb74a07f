//! The kinds of rule that a leaf may have: one file each.

pub mod acceptance;
pub mod audit;
pub mod comparison;
pub mod evidence;
pub mod field;
pub mod leakage;
pub mod wetting;

use crate::judge::court::Case;
use crate::judge::finding::{Write, blank};
use crate::judge::{inspections, statements};
use crate::model::assessment::{ClaimResult, Code, CoverRow, State};
use crate::model::governance::{ClaimSpec, Criterion};

/// Judges one leaf by its kind of rule.
pub fn leaf(case: &Case, spec: &ClaimSpec, rows: &mut Vec<CoverRow>) -> ClaimResult {
    let mut out = match spec.rule.as_ref().map(|r| r.text.as_str()) {
        Some("evidence") => evidence::judge(case, spec, rows),
        Some("inspection") => inspections::judge(case, spec),
        Some("audit") => audit::judge(case, spec),
        Some("field") => field::judge(case, spec),
        Some("leakage") => leakage::judge(case, spec),
        Some("wetting") => wetting::judge(case, spec, rows),
        Some("acceptance") => acceptance::judge(case, spec),
        Some("comparison") => blank(spec),
        other => {
            let mut out = blank(spec);
            out.reason(
                Code::CriterionMissing,
                "",
                format!("the kind of rule \"{}\" is not known", other.unwrap_or("")),
                Some(spec.at),
            );
            out
        }
    };
    if let Some((s, why)) = statements::put_aside(case, spec) {
        let text = format!("the statement of {} that it does not apply is put aside: {why}", s.by);
        out.reason(Code::Conflict, "", text, Some(s.at));
        out.cap(State::NotYet);
    }
    if out.next_action.is_empty()
        && out.state < State::Supported
        && let Some(l) = &spec.lever
    {
        out.next_action = l.text.clone();
    }
    out
}

/// The one agreed criterion of a quantity for a claim; without it the claim is not supported.
pub fn threshold<'a>(
    case: &Case<'a>,
    spec: &ClaimSpec,
    quantity: &str,
    out: &mut ClaimResult,
) -> Option<&'a Criterion> {
    let found = case.criteria(&spec.id).into_iter().find(|c| c.quantity.text == quantity);
    match found {
        None => {
            out.reason(Code::CriterionMissing, quantity, format!("no limit is agreed for {quantity}"), Some(spec.at));
            out.cap(State::NotYet);
        }
        Some(c) => {
            out.criterion = c.id.text.clone();
            let valid = case.site().criteria_sets.iter().find(|s| s.id.text == c.set.text).and_then(|s| s.valid_to);
            super::conditions::earlier(&mut out.valid_until, &mut out.valid_until_from, valid, || {
                format!("criteria set {}", c.set)
            });
        }
    }
    found
}
