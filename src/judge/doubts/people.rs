//! Doubts that people wrote down.

use super::Raised;
use crate::judge::court::Case;
use crate::model::assessment::ClaimResult;

/// Doubts on this assembly.
pub fn doubts(case: &Case, _: &[ClaimResult], out: &mut Vec<Raised>) {
    for d in case.site().doubts.iter().filter(|d| d.assembly.text == case.id() && d.raised_on <= case.court.as_of()) {
        let mut r = Raised::new("", &d.claim, &d.id, d.severity, d.text.text.clone(), Some(d.at));
        r.kind = d.kind;
        r.own_id = Some(d.id.text.clone());
        out.push(r);
    }
}
