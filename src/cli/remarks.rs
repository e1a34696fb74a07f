//! Takes the file that a reviewer saved from a dossier; gives the remarks in it, or every mistake of it at once.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::bags;
use super::site::unknown;
use crate::compose::Audience;
use crate::model::Day;
use crate::pipeline::{self, Assessed};

/// The section of a remark on the dossier as a whole.
const WHOLE: &str = "dossier";

/// A remark as the page saved it.
pub struct Remark {
    pub section: String,
    pub decision: String,
    pub text: String,
}

/// What somebody remarked on one dossier.
pub struct Remarks {
    pub assembly: String,
    pub digest: String,
    pub by: String,
    /// The day on which the reviewer wrote.
    pub on: Day,
    /// What the digest belongs to, in words.
    pub about: String,
    pub remarks: Vec<Remark>,
}

/// The dossier that the remarks are about.
struct About {
    words: String,
    /// Label of the revision; none when remarks that were entered since changed the draft.
    revision: Option<String>,
    sections: Vec<String>,
}

/// Reads and checks the file. `given` is the day that the command line states, for files that have none.
///
/// # Errors
/// Every mistake, in words.
pub fn read(bytes: &[u8], site: &Path, a: &Assessed, given: Option<Day>) -> Result<Remarks, Vec<String>> {
    // Some editors write a mark in front.
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let v: Value = serde_json::from_slice(bytes).map_err(|e| vec![format!("it is not JSON: {e}")])?;
    let schema = v["schema"].as_str().unwrap_or_default();
    if !["galipot.remarks/1", "galipot.remarks/2"].contains(&schema) {
        return Err(vec!["it holds no remarks that a dossier saved (schema galipot.remarks/2)".into()]);
    }
    let mut wrong = Vec::new();
    let mut text = |k: &str| {
        let found = v[k].as_str().map(str::to_string);
        found.unwrap_or_else(|| {
            wrong.push(format!("it has no text {k}"));
            String::new()
        })
    };
    let [assembly, document, revision, digest, by] =
        ["assembly", "document", "revision", "digest", "by"].map(&mut text);
    let on = day(&v, schema, given, &mut wrong);
    let about = match a.site.assembly(&assembly) {
        Some(_) => about(site, a, &assembly, &digest).map_err(|e| wrong.push(e)).ok(),
        None => {
            wrong.push(unknown("assembly", &assembly, a.assessment.assemblies.iter().map(|x| x.id.as_str())));
            None
        }
    };
    person(a, &by, on, &mut wrong);
    if let Some(about) = &about {
        let number = a.site.assembly(&assembly).map_or("", |f| f.assembly.document.text.as_str());
        if document != number {
            wrong.push(format!("it names document \"{}\", and {} is {number}", document.escape_debug(), about.words));
        }
        if about.revision.as_ref().is_some_and(|r| *r != revision) {
            let label = about.revision.as_deref().unwrap_or_default();
            wrong.push(format!("it names revision \"{}\", and {} is {label}", revision.escape_debug(), about.words));
        }
    }
    let list = v["remarks"].as_array().cloned().unwrap_or_else(|| {
        wrong.push("it has no list of remarks".into());
        Vec::new()
    });
    let known = about.as_ref().map(|x| x.sections.as_slice()).unwrap_or_default();
    let remarks: Vec<Remark> =
        list.iter().enumerate().filter_map(|(i, r)| remark(i + 1, r, known, &mut wrong)).collect();
    match (on, about) {
        (Some(on), Some(about)) if wrong.is_empty() => {
            Ok(Remarks { assembly, digest, by, on, about: about.words, remarks })
        }
        _ => Err(wrong),
    }
}

/// The day on which the reviewer wrote.
fn day(v: &Value, schema: &str, given: Option<Day>, wrong: &mut Vec<String>) -> Option<Day> {
    let (day, why) = match v["date"].as_str() {
        Some(t) => (Day::parse(t), format!("its date \"{}\" is none of the form 2026-03-31", t.escape_debug())),
        None if schema == "galipot.remarks/1" => (
            given,
            "an earlier galipot saved it without a date: say --as-of DATE, the day on which it was written".into(),
        ),
        None => (None, "it has no date".into()),
    };
    if day.is_none() {
        wrong.push(why);
    }
    day
}

fn person(a: &Assessed, by: &str, on: Option<Day>, wrong: &mut Vec<String>) {
    match (a.site.person(by), on) {
        (None, _) => wrong.push(unknown("person", by, a.site.people.iter().map(|p| p.id.text.as_str()))),
        (Some(p), Some(on)) if on < p.valid_from || p.valid_to < on => {
            wrong.push(format!("{by} is on file from {} to {}, and remarked on {on}", p.valid_from, p.valid_to))
        }
        _ => {}
    }
}

fn remark(number: usize, v: &Value, sections: &[String], wrong: &mut Vec<String>) -> Option<Remark> {
    let before = wrong.len();
    let mut text = |k: &str| {
        let found = v[k].as_str().map(str::to_string);
        found.unwrap_or_else(|| {
            wrong.push(format!("remark {number} has no text {k}"));
            String::new()
        })
    };
    let [section, decision, words] = ["section", "decision", "text"].map(&mut text);
    if wrong.len() > before {
        return None;
    }
    if !["agree", "question", "object"].contains(&decision.as_str()) {
        let shown = decision.escape_debug();
        wrong.push(format!("remark {number}: \"{shown}\" is no decision; it is one of agree, question, object"));
    }
    // Where the dossier itself is not known, its sections are not either.
    if section != WHOLE && !sections.is_empty() && !sections.contains(&section) {
        let known = sections.iter().map(String::as_str);
        wrong.push(format!("remark {number}: {}", unknown("section", &section.escape_debug().to_string(), known)));
    }
    if decision != "agree" && words.trim().is_empty() {
        wrong.push(format!("remark {number}: to {decision} without a word says nothing that could be answered"));
    }
    (wrong.len() == before).then(|| Remark { section, decision, text: words.trim().to_string() })
}

/// What the digest belongs to: the draft as it stands, or an issued revision.
fn about(folder: &Path, a: &Assessed, assembly: &str, digest: &str) -> Result<About, String> {
    let (document, now) = a.site.assembly(assembly).map_or((String::new(), String::new()), |f| {
        (f.assembly.document.text.clone(), f.assembly.document_rev.text.clone())
    });
    let drafted = || {
        let bundle = pipeline::draft(a, assembly, Audience::All).ok();
        bundle.map_or_else(Vec::new, |b| b.sections.into_iter().map(|s| s.name).collect())
    };
    if pipeline::draft_digest(a, assembly).is_some_and(|d| d == digest) {
        return Ok(About { words: "the draft as it stands".into(), revision: Some(now), sections: drafted() });
    }
    for (label, path) in bags::home(folder, &document).map(|h| bags::revisions(&h)).unwrap_or_default() {
        let info = fs::read_to_string(path.join("bag-info.txt")).unwrap_or_default();
        if info.lines().any(|l| l.strip_prefix("Galipot-Inputs-And-Record: ") == Some(digest)) {
            let words = format!("{document} revision {label}");
            return Ok(About { words, revision: Some(label), sections: sections(&path) });
        }
    }
    // Entering remarks changes the inputs, and with them the digest of the draft.
    let earlier = |c: &&crate::model::governance::Comment| {
        c.assembly.text == assembly && c.digest.as_ref().is_some_and(|d| d.text == digest)
    };
    if a.site.comments.iter().find(earlier).is_some() {
        let words = "the draft that earlier remarks are about".into();
        return Ok(About { words, revision: None, sections: drafted() });
    }
    Err(format!(
        "the remarks are about digest {}, which is neither that of the draft of {assembly} as it stands nor of an issued \
         revision of {document}; they are about another dossier, or about a draft before its inputs changed: check out the \
         commit whose draft has that digest on its pages, or ask the reviewer which file was read and for remarks on the \
         dossier of today",
        digest.chars().take(64).collect::<String>().escape_debug()
    ))
}

/// Names of the sections of an issued revision.
fn sections(bag: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(bag.join("data/sections")) else { return Vec::new() };
    let names = entries.flatten().map(|e| e.file_name().to_string_lossy().into_owned());
    let mut out: Vec<String> =
        names.filter_map(|n| Some(n.strip_suffix(".md")?.split_once('-')?.1.to_string())).collect();
    out.sort();
    out
}
