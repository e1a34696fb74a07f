//! Takes a claim and the statements that claims do not apply; gives the statement that may be heard, or why it is put aside.

use crate::judge::court::Case;
use crate::model::assembly::NotApplicable;
use crate::model::governance::{ClaimSpec, Per, TreeKind};

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
    let own = case.a.not_applicable.iter().find(|n| n.claim.text == spec.id.text);
    own.or_else(|| case.a.not_applicable.iter().find(|n| same_places(case, spec, &n.claim.text)))
}

/// Whether a claim of leaving speaks of the same kind of place as a claim of another tree: that there is no such place
/// is as true of a washed board.
fn same_places(case: &Case, spec: &ClaimSpec, stated: &str) -> bool {
    let of_places = |s: &ClaimSpec| s.per.filter(|p| *p != Per::Assembly);
    spec.tree != TreeKind::Leave
        && of_places(spec).is_some()
        && case
            .site()
            .claims
            .iter()
            .any(|s| s.tree == TreeKind::Leave && s.id.text == stated && of_places(s) == spec.per && s.rule.is_some())
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
