//! `galipot intake`: takes back what a reviewer wrote into a dossier, and enters it as open comments.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::args::{Args, Intake};
use super::site::unknown;
use super::{Outcome, bags, disk, site, terminal};
use crate::pipeline::{self, Assessed};

/// Largest file of remarks, in bytes.
const MOST: u64 = 1 << 20;

/// A remark as the page saved it.
struct Remark {
    section: String,
    decision: String,
    text: String,
}

/// Checks that the remarks are about a dossier of this site, and enters them.
///
/// # Errors
/// In words, when the file is none of remarks, belongs to another dossier, or names nobody that is known.
pub fn run(args: &Args, file: &Path, kind: Intake) -> Result<Outcome, String> {
    let Intake::Remarks = kind;
    let (folder, a) = site::assess(args)?;
    let say = |e: String| format!("{}: {e}", file.display());
    let v: Value =
        serde_json::from_slice(&disk::read_file(file, MOST)?).map_err(|e| say(format!("it is not JSON: {e}")))?;
    let text = |k: &str| v[k].as_str().map(str::to_string).ok_or_else(|| say(format!("it has no text {k}")));
    if v["schema"] != "galipot.remarks/1" {
        return Err(say("it holds no remarks that a dossier saved (schema galipot.remarks/1)".into()));
    }
    let (assembly, digest, by) = (text("assembly")?, text("digest")?, text("by")?);
    if a.site.assembly(&assembly).is_none() {
        return Err(say(unknown("assembly", &assembly, a.assessment.assemblies.iter().map(|x| x.id.as_str()))));
    }
    if a.site.person(&by).is_none() {
        return Err(say(unknown("person", &by, a.site.people.iter().map(|p| p.id.text.as_str()))));
    }
    let about = about(&folder, &a, &assembly, &digest).map_err(say)?;
    let list = v["remarks"].as_array().ok_or_else(|| say("it has no list of remarks".into()))?;
    let remarks: Vec<Remark> = list.iter().map(remark).collect::<Result<_, _>>().map_err(say)?;
    let day = a.assessment.as_of.to_string();
    let known = |r: &Remark| {
        a.site.comments.iter().any(|c| {
            c.by.text == by
                && c.section.text == r.section
                && c.decision.word() == r.decision
                && c.digest.as_ref().is_some_and(|d| d.text == digest)
                && c.text.as_ref().map_or("", |t| &t.text) == r.text
        })
    };
    let fresh: Vec<&Remark> = remarks.iter().filter(|r| !known(r)).collect();
    let mut number = a
        .site
        .comments
        .iter()
        .filter_map(|c| c.id.text.strip_prefix("CM-")?.parse::<u32>().ok())
        .max()
        .map_or(0, u64::from);
    let path = format!("comments/{assembly}.toml");
    let target = folder.join(&path);
    let mut out = match a.site.sources.find(&path) {
        Some(file) => String::from_utf8_lossy(&a.site.sources.get(file).bytes).into_owned(),
        None => format!(
            "# Remarks of reviewers on the dossier of {assembly}. A comment is closed by disposition, closed_by and closed_on.\n"
        ),
    };
    let mut entered = Vec::new();
    for r in &fresh {
        number += 1;
        out.push_str(&format!(
            "\n[[comment]]\nid = \"CM-{number}\"\nassembly = {}\nby = {}\n",
            quoted(&assembly),
            quoted(&by)
        ));
        out.push_str(&format!("raised_on = {day}\nsection = {}\ndecision = \"{}\"\n", quoted(&r.section), r.decision));
        if !r.text.is_empty() {
            out.push_str(&format!("text = {}\n", quoted(&r.text)));
        }
        out.push_str(&format!("digest = \"{digest}\"\n"));
        if r.decision == "agree" && r.text.is_empty() {
            out.push_str(&format!(
                "disposition = \"Agreed, nothing to do.\"\nclosed_by = {}\nclosed_on = {day}\n",
                quoted(&by)
            ));
        }
        entered.push(format!("CM-{number}  {}  {}", r.decision, r.section));
    }
    if !fresh.is_empty() {
        disk::write_file(&target, out.as_bytes()).map_err(|e| e.to_string())?;
    }
    let open = fresh.iter().filter(|r| r.decision != "agree" || !r.text.is_empty()).count();
    if args.json {
        let doc = serde_json::json!({"schema": "galipot.intake/1", "file": target.to_string_lossy(), "about": about,
            "entered": fresh.len(), "known": remarks.len() - fresh.len(), "open": open});
        terminal::json(&doc);
    } else {
        let mut text = format!("{}  {} entered about {about}, {open} of them open\n", target.display(), fresh.len());
        entered.iter().for_each(|e| text.push_str(&format!("  {e}\n")));
        if fresh.len() < remarks.len() {
            text.push_str(&format!("  {} on file already\n", remarks.len() - fresh.len()));
        }
        terminal::out(&text);
    }
    Ok(Outcome::Holds)
}

fn remark(v: &Value) -> Result<Remark, String> {
    let text = |k: &str| v[k].as_str().map(str::to_string).ok_or_else(|| format!("a remark has no text {k}"));
    let r = Remark { section: text("section")?, decision: text("decision")?, text: text("text")? };
    if !["agree", "question", "object"].contains(&r.decision.as_str()) {
        return Err(format!("\"{}\" is no decision", r.decision.escape_debug()));
    }
    if r.section.trim().is_empty() {
        return Err("a remark names no section".into());
    }
    Ok(r)
}

/// What the digest belongs to: the draft as it stands, or an issued revision.
fn about(folder: &Path, a: &Assessed, assembly: &str, digest: &str) -> Result<String, String> {
    if pipeline::draft_digest(a, assembly).is_some_and(|d| d == digest) {
        return Ok("the draft as it stands".into());
    }
    let document = a.site.assembly(assembly).map_or(String::new(), |f| f.assembly.document.text.clone());
    for (label, path) in bags::home(folder, &document).map(|h| bags::revisions(&h)).unwrap_or_default() {
        let info = fs::read_to_string(path.join("bag-info.txt")).unwrap_or_default();
        if info.lines().any(|l| l.strip_prefix("Galipot-Inputs-And-Record: ") == Some(digest)) {
            return Ok(format!("{document} revision {label}"));
        }
    }
    // Entering remarks changes the inputs, and with them the digest of the draft.
    if a.site
        .comments
        .iter()
        .any(|c| c.assembly.text == assembly && c.digest.as_ref().is_some_and(|d| d.text == digest))
    {
        return Ok("the draft that earlier remarks are about".into());
    }
    Err(format!(
        "the remarks are about digest {}, which is neither that of the draft of {assembly} as it stands nor of an issued \
         revision of {document}; they are about another dossier",
        digest.chars().take(64).collect::<String>().escape_debug()
    ))
}

/// A text as a basic string of TOML.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => {}
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
