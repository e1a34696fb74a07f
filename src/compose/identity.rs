//! Takes the assembly and the record; gives what stands on every page, and the table of what the dossier is about.

use super::desk::Desk;
use super::ink::{self, cell, text};
use crate::model::bundle::inputs_and_record;
use crate::model::document::{Block, record_bytes};
use crate::model::site::Site;

/// The digest of inputs and record.
pub fn digest(site: &Site, record: &serde_json::Value) -> String {
    let inputs = site.inputs().map(|(_, f)| (f.path.as_str(), f.sha256.clone()));
    inputs_and_record(inputs, &record_bytes(record))
}

/// DRAFT, or WHAT-IF when values were replaced; none on what is frozen for approval.
pub fn mark(desk: &Desk) -> Option<&'static str> {
    if desk.assessment.what_if || !desk.site.overrides.is_empty() {
        return Some("WHAT-IF");
    }
    (!desk.issued).then_some("DRAFT")
}

/// Where the dossier stands, in a word: draft, what-if or candidate, as it was when its bytes were written. Approvals stand beside it and change no byte of it.
pub fn status(desk: &Desk) -> String {
    mark(desk).map_or_else(|| "candidate".to_string(), str::to_lowercase)
}

/// Label and value of what every page says of itself, to every reader. `digest` is added by the caller.
pub fn entries(desk: &Desk) -> Vec<(String, String)> {
    let a = &desk.a.assembly;
    let mut sets: Vec<&str> = desk.criteria().into_iter().map(|c| c.set.text.as_str()).collect();
    sets.sort_unstable();
    sets.dedup();
    [
        ("Document", format!("{} revision {}", a.document, a.document_rev)),
        ("Status", status(desk)),
        ("As of", desk.assessment.as_of.to_string()),
        ("Assembly", format!("{} revision {}", a.id, a.rev)),
        ("Manufacturer", desk.site.facts.name.text.clone()),
        ("Criteria", if sets.is_empty() { "none on file".into() } else { sets.join(", ") }),
        ("Tool", format!("galipot {}", env!("CARGO_PKG_VERSION"))),
    ]
    .into_iter()
    .map(|(k, v)| (k.to_string(), v))
    .collect()
}

/// What the dossier is about: the product, its process and its use are not for a laboratory, nor is the answer.
pub fn table(desk: &Desk) -> Vec<Block> {
    let a = &desk.a.assembly;
    let process = desk.process().map_or_else(|| a.process.text.clone(), |p| format!("{} revision {}", p.id, p.rev));
    let environment =
        desk.environment().map_or_else(|| a.environment.text.clone(), |e| format!("{}, {}", e.id, e.title));
    let customer = desk.site.customers.iter().find(|c| c.id.text == a.customer.text);
    let rows = [
        ("Assembly", format!("{} revision {}, {}", a.id, a.rev, a.product)),
        ("Drawing, parts list, layout", format!("{}, {}, {}", a.drawing, a.bom_rev, a.layout_rev)),
        ("Process", process),
        ("Environment", environment),
        ("Life", a.life.written.clone()),
        ("Customer", customer.map_or(a.customer.text.as_str(), |c| c.name.text.as_str()).to_string()),
        ("Kept for", format!("{}, because of {}", desk.site.facts.retention, desk.site.facts.retention_basis)),
    ];
    let rows = rows.into_iter().map(|(k, v)| vec![cell(k), cell(v)]).collect();
    vec![ink::table("What this dossier is about", &["What", "Which"], &[], rows)]
}

/// How to check the digest without galipot.
pub fn how_to_check(_: &Desk) -> Vec<Block> {
    vec![
        ink::says(
            "A file cannot carry its own digest. The digest on every page is that of the inputs and of the record, not of this \
             file: it is the SHA-256 of a text with one line per input file, in order of path, and one last line for record.json. \
             Each line is the SHA-256 of the file, two spaces, its path, and a line feed. A copy for one reader names parts of \
             the record by their digests only; whoever has the whole record can check the digest.",
        ),
        Block::Paragraph(vec![text(
            "To check it, put the folder of the site beside record.json, copy the first and last column of the table below into lines of that form, and use stock tools:",
        )]),
        Block::Code(
            "# in the folder of the site: one line per input file of the table, in order of path\n\
             sha256sum FILE ...  > lines\n\
             # then the record of this dossier, under its bare name\n\
             ( cd DOSSIER && sha256sum record.json ) >> lines\n\
             sha256sum lines"
                .into(),
        ),
    ]
}

/// A place that is filled when all else is written.
pub fn nothing(_: &Desk) -> Vec<Block> {
    Vec::new()
}
