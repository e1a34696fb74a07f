//! Takes a rendered dossier, its record and all that was read; gives the bag that holds them.

use super::bagit::{Bag, Files, write};
use super::paths::{folded, stays};
use super::people::{Person, allowed_signers, table};
use crate::model::bundle::Bundle;
use crate::model::parts;

/// The format of the bags that are written; raised when their layout or what a copy holds changes.
pub const FORMAT: &str = "galipot.bag/4";
/// Formats of earlier bags: the first without Typst source, the first two without parts of the record, the third with the
/// table of people for every reader.
pub const FIRST_FORMAT: &str = "galipot.bag/1";
pub const SECOND_FORMAT: &str = "galipot.bag/2";
pub const THIRD_FORMAT: &str = "galipot.bag/3";
/// Where the revision before stood when this one was made.
pub const PREVIOUS_STANDING: &str = "data/previous/standing.json";
/// The label that names the program of the PDF, and what it begins with when there is no PDF.
pub const PDF: &str = "Galipot-Pdf";
pub const NO_PDF: &str = "none";
pub const AUDIENCES: &str = "audiences.txt";
pub const README: &str = "README.txt";

/// Whether approvals of a bag of this format must follow each other in order of days, roles and people.
pub fn ordered(format: &str) -> bool {
    !["galipot.bag/1", "galipot.bag/2", "galipot.bag/3"].contains(&format)
}

/// What a bag is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identity {
    pub organisation: String,
    pub document: String,
    pub revision: String,
    pub assembly: String,
    pub assembly_revision: String,
    /// Day of judgement, also the day that the bag is dated with.
    pub as_of: String,
    /// Digest of inputs and record, as it stands on every page.
    pub record_digest: String,
    pub previous: Option<Previous>,
    /// Commit of the site, when it is under version control.
    pub commit: Option<String>,
    /// Files of the site that differ from that commit.
    pub uncommitted: Vec<String>,
    pub tool: String,
}

/// The revision before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Previous {
    pub revision: String,
    /// Content digest of its bag.
    pub digest: String,
}

/// An input file, and who may read it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    /// Path inside the site.
    pub path: String,
    pub bytes: Vec<u8>,
    /// all, customer, internal or lab.
    pub audience: String,
}

/// The PDF of the dossier, a rendition that another program makes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pdf {
    Made {
        bytes: Vec<u8>,
        /// Program and version.
        by: String,
    },
    /// And why there is none.
    None(String),
}

/// Everything that a bag holds.
#[derive(Debug, Clone)]
pub struct Contents {
    pub identity: Identity,
    pub bundle: Bundle,
    /// Every input file that was read.
    pub inputs: Vec<Input>,
    /// Profiles and templates of the program that were used.
    pub built_in: Vec<(String, Vec<u8>)>,
    pub people: Vec<Person>,
    /// The record of the revision before: what the chapter of changes rests on.
    pub previous_record: Option<Vec<u8>>,
    /// Where the revision before stood: what the chapter of changes says of it.
    pub previous_standing: Option<Vec<u8>>,
    pub pdf: Pdf,
}

/// The bag.
///
/// # Errors
/// In words, when two files would be one on some system, or a path cannot stand in a bag.
pub fn bag(c: &Contents) -> Result<Bag, String> {
    let mut payload = Files::new();
    let mut audiences: Vec<(String, String)> = Vec::new();
    let mut add = |path: String, audience: &str, bytes: Vec<u8>| {
        audiences.push((path.clone(), audience.to_string()));
        payload.insert(path, bytes)
    };
    for (path, bytes) in &c.bundle.files {
        let audience = match path.strip_prefix("figures/").and_then(|f| f.strip_suffix(".svg")) {
            Some(name) => c.bundle.sections.iter().find(|s| s.figures.iter().any(|f| f == name)).map(|s| &*s.audience),
            // The whole dossier and its record are for those who may read all of it.
            None => Some("customer"),
        };
        add(path.clone(), audience.unwrap_or("customer"), bytes.clone());
    }
    for (i, s) in c.bundle.sections.iter().enumerate() {
        for (form, text) in [("html", &s.html), ("md", &s.markdown), ("typ", &s.typst)] {
            add(format!("sections/{i:03}-{}.{form}", s.name), &s.audience, text.clone().into_bytes());
        }
    }
    if let Pdf::Made { bytes, .. } = &c.pdf {
        // It shows every section and cannot be taken apart, so a copy leaves it out.
        add("dossier.pdf".into(), "internal", bytes.clone());
    }
    for i in &c.inputs {
        add(format!("inputs/{}", i.path), &i.audience, i.bytes.clone());
    }
    for (path, bytes) in &c.built_in {
        add(format!("built-in/{path}"), "all", bytes.clone());
    }
    if let Some(record) = &c.previous_record {
        add("previous/record.json".into(), "customer", record.clone());
    }
    if let Some(standing) = &c.previous_standing {
        add("previous/standing.json".into(), "customer", standing.clone());
    }
    let record = c.bundle.files.iter().find(|f| f.0 == "record.json").map(|f| &f.1);
    for (folder, record) in [("record", record), ("previous/record", c.previous_record.as_ref())] {
        let text = record.map_or("", |r| std::str::from_utf8(r).unwrap_or_default());
        for (i, part) in parts::parts(text).into_iter().enumerate() {
            add(format!("{folder}/{}.part", parts::file_name(i, &part.name)), part.audience, part.text.into_bytes());
        }
    }
    // A laboratory sees no approvals, so it needs nobody's name and key.
    add("people.json".into(), "customer", table(&c.people));
    add("allowed_signers".into(), "customer", allowed_signers(&c.people));
    checked(&payload)?;
    audiences.sort();
    let listed: String = audiences.iter().map(|(p, a)| format!("{a}  data/{p}\n")).collect();
    let tags = Files::from([
        (AUDIENCES.to_string(), listed.into_bytes()),
        (README.to_string(), super::labels::of_bag(&c.people).into_bytes()),
    ]);
    Ok(write(&payload, &information(&c.identity, &c.pdf), tags))
}

fn checked(payload: &Files) -> Result<(), String> {
    let mut seen = std::collections::BTreeMap::new();
    for path in payload.keys() {
        if !stays(path) {
            return Err(format!("{} cannot stand in a bag: rename it with plain letters", path.escape_debug()));
        }
        if let Some(other) = seen.insert(folded(path), path) {
            return Err(format!("{other} and {path} are one file on some systems: rename one of them"));
        }
    }
    Ok(())
}

/// The lines of `bag-info.txt`, without the size of the payload.
fn information(i: &Identity, pdf: &Pdf) -> Vec<(&'static str, String)> {
    let mut out = vec![
        ("Source-Organization", i.organisation.clone()),
        ("External-Identifier", i.document.clone()),
        ("Bagging-Date", i.as_of.clone()),
        ("Bag-Software-Agent", i.tool.clone()),
        ("Galipot-Format", FORMAT.to_string()),
        ("Galipot-Revision", i.revision.clone()),
        ("Galipot-Assembly", i.assembly.clone()),
        ("Galipot-Assembly-Revision", i.assembly_revision.clone()),
        ("Galipot-Inputs-And-Record", i.record_digest.clone()),
        ("Galipot-Previous-Revision", i.previous.as_ref().map_or("none".into(), |p| p.revision.clone())),
        ("Galipot-Previous-Digest", i.previous.as_ref().map_or("none".into(), |p| p.digest.clone())),
        ("Galipot-Commit", i.commit.clone().unwrap_or_else(|| "not under version control".into())),
    ];
    let pdf = match pdf {
        Pdf::Made { by, .. } => by.clone(),
        Pdf::None(why) => format!("{NO_PDF}, {why}"),
    };
    out.push((PDF, pdf));
    if !i.uncommitted.is_empty() {
        out.push(("Galipot-Uncommitted", i.uncommitted.join(", ")));
    }
    out
}
