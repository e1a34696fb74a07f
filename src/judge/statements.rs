//! Takes a claim and the statements that claims do not apply; gives the statement that may be heard, or why it is put aside.

use crate::judge::court::Case;
use crate::model::assembly::NotApplicable;
use crate::model::governance::{ClaimSpec, Per};

/// The statement on a claim, when it may be heard at all. Whether the site contradicts it is judged by the rule.
pub fn holding<'a>(case: &Case<'a>, spec: &ClaimSpec) -> Option<&'a NotApplicable> {
    find(case, spec).filter(|s| objection(case, spec, s).is_none())
}

/// The statement on a claim that may not be heard, and why.
pub fn put_aside<'a>(case: &Case<'a>, spec: &ClaimSpec) -> Option<(&'a NotApplicable, String)> {
    let s = find(case, spec)?;
    objection(case, spec, s).map(|why| (s, why))
}

fn find<'a>(case: &Case<'a>, spec: &ClaimSpec) -> Option<&'a NotApplicable> {
    case.a.not_applicable.iter().find(|n| n.claim.text == spec.id.text)
}

/// A claim that speaks of every assembly cannot be stated away; nor can anybody without authority, or tomorrow.
fn objection(case: &Case, spec: &ClaimSpec, s: &NotApplicable) -> Option<String> {
    let of_places = match spec.rule.as_ref().map(|r| r.text.as_str()) {
        Some("evidence") => spec.per.is_some_and(|p| p != Per::Assembly),
        Some("leakage") => true,
        _ => false,
    };
    if !of_places && spec.may_not_apply != Some(true) {
        return Some("this claim always applies".into());
    }
    if s.on > case.court.as_of() {
        return Some(format!("it is dated {}", s.on));
    }
    let may = case.site().person(&s.by).is_some_and(|p| {
        p.valid_from <= s.on
            && s.on <= p.valid_to
            && p.authority.iter().any(|a| matches!(a.text.as_str(), "review" | "approve" | "accept"))
    });
    (!may).then(|| format!("{} had no authority to review, approve or accept on {}", s.by, s.on))
}
