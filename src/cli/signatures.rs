//! `galipot signatures`: the approvals of a bag, and what each is worth.

use std::path::Path;

use super::args::Args;
use super::{Outcome, bags, terminal};
use crate::seal::Approval;

/// Lists the approvals.
///
/// # Errors
/// In words, when the folder cannot be read.
pub fn run(args: &Args, bag: &Path) -> Result<Outcome, String> {
    let report = bags::read(bag)?.report();
    let all = &report.approvals;
    if args.json {
        let doc = serde_json::json!({"schema": "galipot.signatures/1", "document": report.document,
            "revision": report.revision, "digest": report.digest, "intact": report.intact(),
            "withheld": report.approvals_withheld,
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
            text.push_str(&format!("{:<10}  {:<24}  {:<14}  {worth}\n", a.date, a.meaning, a.identity));
            a.why.iter().for_each(|w| text.push_str(&format!("            {w}\n")));
        }
        terminal::out(&text);
    }
    let holds = report.intact() && all.iter().all(Approval::binds);
    Ok(if holds { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// One approval for machines.
pub fn json(a: &Approval) -> serde_json::Value {
    serde_json::json!({"identity": a.identity, "role": a.role, "valid": a.valid, "authorised": a.authorised,
        "meaning": a.meaning, "date": a.date, "file": a.file, "why": a.why})
}
