//! `galipot intake`: takes back what a reviewer wrote into a dossier, and enters it as open comments.

use std::path::Path;

use super::args::{Args, Intake};
use super::remarks::{self, Remark, Remarks};
use super::{Outcome, disk, site, terminal};

/// Largest file of remarks, in bytes.
const MOST: u64 = 1 << 20;

/// Checks that the remarks are about a dossier of this site, and enters them.
///
/// # Errors
/// In words, with every mistake of the file at once.
pub fn run(args: &Args, file: &Path, kind: Intake) -> Result<Outcome, String> {
    let Intake::Remarks = kind;
    let (folder, a) = site::assess(args)?;
    let read = remarks::read(&disk::read_file(file, MOST)?, &folder, &a, args.as_of);
    let Remarks { assembly, digest, by, on, about, remarks } = read.map_err(|wrong| match wrong.as_slice() {
        [one] => format!("{}: {one}", file.display()),
        all => format!("{}: nothing was entered:\n  - {}", file.display(), all.join("\n  - ")),
    })?;
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
            "# Remarks of reviewers on the dossier of {assembly}. A comment is closed by disposition, closed_by and\n# closed_on: by who raised it, or may review or approve. To agree without a word leaves nothing to close.\n"
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
        out.push_str(&format!("raised_on = {on}\nsection = {}\ndecision = \"{}\"\n", quoted(&r.section), r.decision));
        if !r.text.is_empty() {
            out.push_str(&format!("text = {}\n", quoted(&r.text)));
        }
        out.push_str(&format!("digest = \"{digest}\"\n"));
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
