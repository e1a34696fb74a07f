//! The rule of acceptance: a record that somebody with a name accepted; signatures come after issue.

use crate::judge::court::Case;
use crate::judge::finding::{Write, blank};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::{Acceptance, AcceptanceStatus, ClaimSpec};

/// Judges a leaf by the acceptance records. The claim on signatures always awaits them in a draft.
pub fn judge(case: &Case, spec: &ClaimSpec) -> ClaimResult {
    let mut out = blank(spec);
    if spec.id.text == "C9.1" {
        out.reason(Code::AwaitingSignature, "", "awaiting signature", None);
        return out;
    }
    let of = |a: &&Acceptance| a.assembly.text == case.id() && a.claim.text == spec.id.text;
    let records: Vec<&Acceptance> = case.site().acceptances.iter().filter(of).collect();
    if records.is_empty() {
        out.reason(Code::Missing, "", "no record of acceptance", Some(spec.at));
        return out;
    }
    out.state = State::Supported;
    for a in records {
        out.saw(format!("{}: {}", a.status, a.document), a.at);
        let text = match (&a.by, a.on) {
            _ if a.status == AcceptanceStatus::Open => format!("still open: {}", a.document),
            (None, _) | (_, None) => "the record names no person or day".to_string(),
            (Some(_), Some(on)) if on > case.court.as_of() => format!("{} is dated {on}", a.document),
            (Some(by), Some(on)) if !case.in_office(by, on) => format!("{by} was not in office on {on}"),
            _ => continue,
        };
        out.reason(Code::Missing, "", text, Some(a.at));
        out.cap(State::NotYet);
    }
    out
}
