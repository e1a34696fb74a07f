//! `galipot signatures`: the approvals of a bag, and what each is worth.

use std::path::Path;

use super::args::Args;
use super::{Outcome, bags, terminal};
use crate::seal::{self, Approval};

/// Lists the approvals.
///
/// # Errors
/// In words, when the folder cannot be read.
pub fn run(args: &Args, bag: &Path) -> Result<Outcome, String> {
    let report = bags::read(bag)?.report();
    let all = &report.approvals;
    let stands = seal::stands(&report, &bags::beside(bag));
    if args.json {
        let doc = serde_json::json!({"schema": "galipot.signatures/1", "document": report.document,
            "revision": report.revision, "digest": report.digest, "intact": report.intact(),
            "withheld": report.approvals_withheld, "stands": stands,
            "signatures": all.iter().map(json).collect::<Vec<_>>()});
        terminal::json(&doc);
    } else {
        let mut text = format!("{} revision {}, content digest {}\n", report.document, report.revision, report.digest);
        if !report.intact() {
            text.push_str("NOT INTACT: galipot verify says what is wrong\n");
        }
        if report.approvals_withheld {
            text.push_str("approvals are not shown to the reader of this copy\n");
        } else if all.is_empty() {
            text.push_str("no approval yet\n");
        }
        for a in all {
            let worth = match (a.valid, a.authorised) {
                (true, true) => "counts",
                (true, false) => "valid, not authorised",
                _ => "NOT VALID",
            };
            let office = if a.office.is_empty() { String::new() } else { format!(", {}", a.office) };
            let conditions =
                if a.conditions == 1 { "1 condition".into() } else { format!("{} conditions", a.conditions) };
            text.push_str(&format!("{}  {} by {}{office}, role {}: {worth}\n", a.date, a.meaning, a.named(), a.role));
            text.push_str(&format!("    verdict {}, {conditions}; {}\n    digest {}\n", a.verdict, a.file, a.digest));
            if let Some(r) = &a.reason {
                text.push_str(&format!("    reason: {r}\n"));
            }
            a.why.iter().for_each(|w| text.push_str(&format!("    {}: {}\n", w.code, w.text)));
        }
        text.push_str(&format!("the revision is {stands}\n"));
        terminal::out(&text);
    }
    let holds = report.intact() && all.iter().all(Approval::binds);
    Ok(if holds { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// One approval for machines.
pub fn json(a: &Approval) -> serde_json::Value {
    serde_json::json!({"identity": a.identity, "role": a.role, "valid": a.valid, "authorised": a.authorised,
        "meaning": a.meaning, "date": a.date, "file": a.file, "name": a.name, "verdict": a.verdict,
        "conditions": a.conditions, "digest": a.digest, "reason": a.reason,
        "why": a.why.iter().map(|w| &w.text).collect::<Vec<_>>(), "codes": a.why.iter().map(|w| w.code).collect::<Vec<_>>()})
}
