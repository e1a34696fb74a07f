//! The rule of acceptance: a record that somebody with a name accepted; signatures come after issue.

use crate::judge::court::Case;
use crate::judge::finding::{Write, blank};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::{AcceptanceStatus, ClaimSpec};

/// Judges a leaf by the acceptance records. The claim on signatures always awaits them in a draft.
pub fn judge(case: &Case, spec: &ClaimSpec) -> ClaimResult {
    let mut out = blank(spec);
    if spec.id.text == "C9.1" {
        out.reason(Code::AwaitingSignature, "", "awaiting signature", None);
        return out;
    }
    let record = case.site().acceptances.iter().find(|a| a.assembly.text == case.id() && a.claim.text == spec.id.text);
    match record {
        None => out.reason(Code::Missing, "", "no record of acceptance", Some(spec.at)),
        Some(a) => {
            out.saw(format!("{}: {}", a.status, a.document), a.at);
            let dated = a.on.is_some_and(|d| d <= case.court.as_of()) && a.by.is_some();
            if a.status == AcceptanceStatus::Open {
                out.reason(Code::Missing, "", format!("still open: {}", a.document), Some(a.at));
            } else if !dated {
                out.reason(Code::Missing, "", "the record names no person or day", Some(a.at));
            } else {
                out.state = State::Supported;
            }
        }
    }
    out
}
