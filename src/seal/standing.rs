//! Takes a checked bag and the later ones of its document; gives where the revision stands, in a word and in words.

use serde_json::{Value, json};

use super::approval::Approval;
use super::verify::Report;
use crate::model::changes::{Rejection, Stood};

/// Schema of the file that tells where the revision before stood.
pub const SCHEMA: &str = "galipot.standing/1";

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
    /// It was issued, and a later revision is.
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

/// Where a revision stands among the revisions that are at hand. Only what was issued is superseded.
pub fn standing(report: &Report, others: &[Report]) -> Standing {
    match own(report) {
        Standing::Issued if replaced_by(report, others).is_some() => Standing::Superseded,
        s => s,
    }
}

/// The first later revision that is issued.
pub fn replaced_by<'a>(report: &Report, others: &'a [Report]) -> Option<&'a str> {
    let rises = |a: &str, b: &str| super::revision::rises(a, b) == Ok(true);
    let mut later: Vec<&Report> = others
        .iter()
        .filter(|o| o.document == report.document && rises(&report.revision, &o.revision))
        .filter(|o| own(o) == Standing::Issued)
        .collect();
    later.sort_by(
        |a, b| if rises(&a.revision, &b.revision) { std::cmp::Ordering::Less } else { std::cmp::Ordering::Greater },
    );
    later.first().map(|o| o.revision.as_str())
}

/// Where a revision stands, in words: what rejected it, and what came after it.
pub fn stands(report: &Report, others: &[Report]) -> String {
    let standing = standing(report, others);
    let mut out = match rejected(report).filter(|_| standing == Standing::Rejected) {
        Some(a) => {
            format!("rejected by {} on {}: {}", a.named(), a.date, a.reason.as_deref().unwrap_or("no reason given"))
        }
        None => standing.word().to_string(),
    };
    if let Some(r) = replaced_by(report, others) {
        let sign = if out.contains(": ") { ";" } else { "," };
        out.push_str(&match standing {
            Standing::Superseded => format!(" by revision {r}"),
            _ => format!("{sign} and replaced by revision {r}"),
        });
    }
    out
}

/// The rejection that holds: the last word of a role that may stop a revision.
fn rejected(report: &Report) -> Option<&Approval> {
    ["approve", "accept"]
        .into_iter()
        .filter_map(|role| report.approvals.iter().rfind(|a| a.role == role && a.binds()))
        .find(|a| a.meaning == "rejected")
}

fn own(report: &Report) -> Standing {
    if !report.intact() {
        return Standing::Damaged;
    }
    if report.approvals_withheld {
        return Standing::NotShown;
    }
    // The last word of each role counts.
    let spoke = |role: &str| report.approvals.iter().any(|a| a.role == role && a.binds());
    if rejected(report).is_some() {
        Standing::Rejected
    } else if spoke("approve") && spoke("accept") {
        Standing::Issued
    } else {
        Standing::Candidate
    }
}

/// Where a revision stands by its own approvals, as the revision after it remembers it.
pub fn stood(report: &Report) -> Stood {
    Stood {
        standing: own(report).word().to_string(),
        rejection: rejected(report).map(|a| Rejection {
            person: a.identity.clone(),
            name: a.name.clone(),
            role: a.role.clone(),
            on: a.date.clone(),
            reason: a.reason.clone().unwrap_or_default(),
        }),
    }
}

/// `data/previous/standing.json` of the revision that follows this one.
pub fn standing_file(report: &Report) -> Vec<u8> {
    let s = stood(report);
    let rejection = s
        .rejection
        .map(|r| json!({"person": r.person, "name": r.name, "role": r.role, "date": r.on, "reason": r.reason}));
    let v = json!({"schema": SCHEMA, "document": report.document, "revision": report.revision, "digest": report.digest,
        "standing": s.standing, "rejection": rejection});
    format!("{v:#}\n").into_bytes()
}

/// Reads [`standing_file`] back, with the content digest of the bag that it speaks of.
///
/// # Errors
/// In words, when it is none.
pub fn read_standing(bytes: &[u8]) -> Result<(Stood, String), String> {
    let v: Value = serde_json::from_slice(bytes).map_err(|e| e.to_string())?;
    if v["schema"] != SCHEMA {
        return Err(format!("its schema is not {SCHEMA}"));
    }
    let text = |v: &Value, k: &str| v[k].as_str().map(str::to_string).ok_or_else(|| format!("it has no {k}"));
    let r = &v["rejection"];
    let rejection = (!r.is_null()).then(|| {
        Ok::<_, String>(Rejection {
            person: text(r, "person")?,
            name: text(r, "name")?,
            role: text(r, "role")?,
            on: text(r, "date")?,
            reason: text(r, "reason")?,
        })
    });
    Ok((Stood { standing: text(&v, "standing")?, rejection: rejection.transpose()? }, text(&v, "digest")?))
}
