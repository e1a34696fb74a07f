//! Takes a checked bag and the later ones of its document; gives where the revision stands: forward only.

use super::approval::Approval;
use super::verify::Report;

/// Where a revision stands. It follows from the approvals and from later revisions; no byte of a bag says it, so none has
/// to change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Not as it was sealed.
    Damaged,
    /// Frozen; approval or acceptance is missing.
    Candidate,
    /// The last word of somebody who may approve or accept is no.
    Rejected,
    /// Approved by the manufacturer and accepted by the customer.
    Issued,
    /// A later revision is issued.
    Superseded,
    /// A copy whose reader may not see the approvals.
    NotShown,
}

impl Standing {
    pub fn word(self) -> &'static str {
        match self {
            Self::Damaged => "damaged",
            Self::Candidate => "candidate",
            Self::Rejected => "rejected",
            Self::Issued => "issued",
            Self::Superseded => "superseded",
            Self::NotShown => "not-shown",
        }
    }
}

/// Where a revision stands among the revisions that are at hand.
pub fn standing(report: &Report, others: &[Report]) -> Standing {
    let later = others
        .iter()
        .filter(|o| o.document == report.document && super::revision::rises(&report.revision, &o.revision) == Ok(true));
    match own(report) {
        Standing::Damaged => Standing::Damaged,
        _ if later.into_iter().any(|o| own(o) == Standing::Issued) => Standing::Superseded,
        s => s,
    }
}

fn own(report: &Report) -> Standing {
    if !report.intact() {
        return Standing::Damaged;
    }
    if report.approvals_withheld {
        return Standing::NotShown;
    }
    // The last word of each role counts.
    let last = |role: &str| report.approvals.iter().rfind(|a| a.role == role && a.binds());
    let (approve, accept) = (last("approve"), last("accept"));
    let no = |a: Option<&Approval>| a.is_some_and(|a| a.meaning == "rejected");
    match (approve, accept) {
        (a, c) if no(a) || no(c) => Standing::Rejected,
        (Some(_), Some(_)) => Standing::Issued,
        _ => Standing::Candidate,
    }
}
