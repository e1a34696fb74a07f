//! `galipot issue`: freezes a revision of a dossier in a bag that is never changed again.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;
use std::process::Command;

use super::args::Args;
use super::disk::{self, Existing};
use super::site::unknown;
use super::{Outcome, bags, site, terminal, turn, typst};
use crate::model::Day;
use crate::model::bundle::Bundle;
use crate::pipeline::{self, Issue};
use crate::seal::{self, Pdf, Previous};

/// Checks, builds and writes the bag.
///
/// # Errors
/// In words, when the site cannot be read or the folder cannot be written.
pub fn run(
    args: &Args,
    assembly: &str,
    revision: &str,
    (allow_uncommitted, first): (bool, bool),
) -> Result<Outcome, String> {
    let (folder, a) = site::assess(args)?;
    let Some(file) = a.site.assembly(assembly) else {
        let known: Vec<&str> = a.assessment.assemblies.iter().map(|x| x.id.as_str()).collect();
        return Err(unknown("assembly", assembly, known.into_iter()));
    };
    let document = file.assembly.document.text.clone();
    let home = bags::home(&folder, &document)
        .ok_or_else(|| format!("the document number \"{}\" cannot name a folder", document.escape_debug()))?;
    let mut against: Vec<String> = Vec::new();
    let turn = turn::take(&folder);
    let earlier = bags::revisions(&home);
    if earlier.iter().any(|e| e.0 == revision) {
        against.push(there(&document, revision));
    }
    let (mut previous_record, mut previous_standing) = (None, None);
    let previous = match earlier.last() {
        Some((label, path)) if label != revision => {
            let bag = bags::read(path)?;
            let report = bag.report();
            previous_record = bag.files.get("data/record.json").cloned();
            previous_standing = Some(seal::standing_file(&report));
            if !report.intact() {
                against.push(format!(
                    "revision {label} is not intact, so nothing can be chained to it: galipot verify {}",
                    path.display()
                ));
            }
            Some(Previous { revision: label.clone(), digest: report.digest })
        }
        _ => None,
    };
    if earlier.is_empty() && !first && !["1", "A"].contains(&revision) && seal::checked(revision).is_ok() {
        against.push(format!(
            "no earlier revision lies in {}, and {revision} is no first one: bring the earlier ones back (from the commit or \
             backup that holds `issued/`), or say --first when the chain begins here",
            home.display()
        ));
    }
    if first && !earlier.is_empty() {
        against.push(format!("--first begins a chain, and {document} has one: {}", home.display()));
    }
    let (commit, uncommitted) = version_control(&folder)?;
    if !uncommitted.is_empty() && !allow_uncommitted {
        against.push(format!(
            "{} of the site {} from the commit: {}; commit first, or say --allow-uncommitted",
            if uncommitted.len() == 1 { "one file".into() } else { format!("{} files", uncommitted.len()) },
            if uncommitted.len() == 1 { "differs" } else { "differ" },
            shown(&uncommitted)
        ));
    }
    terminal::progress("composing and sealing");
    let issue = Issue { revision: revision.into(), previous, previous_record, previous_standing, commit, uncommitted };
    let done = pipeline::contents(&a, assembly, &issue);
    terminal::progress_end();
    let mut contents = match done {
        Ok(contents) if against.is_empty() => contents,
        other => {
            against.extend(other.err().unwrap_or_default());
            return Ok(refused(args, assembly, revision, &against));
        }
    };
    contents.pdf = pdf(&contents.bundle, a.assessment.as_of)?;
    let bag = match pipeline::sealed(&contents) {
        Ok(bag) => bag,
        Err(why) => return Ok(refused(args, assembly, revision, &why)),
    };
    let target = home.join(revision);
    turn.clear(&home);
    let files: Vec<(String, Vec<u8>)> = bag.files.into_iter().collect();
    match disk::write_folder(&target, &files, Existing::Refuse) {
        Err(e) if matches!(e.kind(), ErrorKind::AlreadyExists | ErrorKind::DirectoryNotEmpty) && target.exists() => {
            return Ok(refused(args, assembly, revision, &[there(&document, revision)]));
        }
        done => done.map_err(|e| e.to_string())?,
    }
    if args.json {
        let by = if let Pdf::Made { by, .. } = &contents.pdf { Some(by) } else { None };
        let doc = serde_json::json!({"schema": "galipot.issue/1", "issued": true, "path": target.to_string_lossy(),
            "document": document, "revision": revision, "digest": bag.digest, "pdf": by, "reasons": []});
        terminal::json(&doc);
    } else {
        terminal::out(&format!(
            "{}  {} files\n{}\ncontent digest {}\ncandidate, awaiting approval: galipot sign {} --role ROLE --key KEY --as-of DATE\nkeep \
             `issued/`: commit it, or back it up; the next revision is chained to it\n",
            target.display(),
            files.len(),
            match &contents.pdf {
                Pdf::Made { by, .. } => format!("PDF by {by}"),
                Pdf::None(why) => format!("no PDF: {why}; {}", typst::ADVICE),
            },
            bag.digest,
            target.display()
        ));
    }
    Ok(Outcome::Holds)
}

/// The PDF of a dossier where this machine can make one.
fn pdf(bundle: &Bundle, day: Day) -> Result<Pdf, String> {
    let Some(typst) = typst::find()? else { return Ok(Pdf::None("typst not found".into())) };
    terminal::progress("making the PDF");
    let made = typst.pdf(&bundle.files, day);
    terminal::progress_end();
    Ok(Pdf::Made { bytes: made?, by: typst.version })
}

fn there(document: &str, revision: &str) -> String {
    format!("revision {revision} of {document} is issued already, and is never changed")
}

fn refused(args: &Args, assembly: &str, revision: &str, against: &[String]) -> Outcome {
    if args.json {
        let doc = serde_json::json!({"schema": "galipot.issue/1", "issued": false, "assembly": assembly,
            "revision": revision, "reasons": against});
        terminal::json(&doc);
    } else {
        let mut text = format!("revision {revision} of {assembly} is not issued:\n");
        against.iter().for_each(|r| text.push_str(&format!("  - {r}\n")));
        terminal::out(&text);
    }
    Outcome::DoesNotHold
}

/// The first of the files, and how many more.
fn shown(files: &[String]) -> String {
    let more = if files.len() > 5 { format!(" and {} more", files.len() - 5) } else { String::new() };
    format!("{}{more}", files.iter().take(5).cloned().collect::<Vec<_>>().join(", "))
}

/// Commit of the site and files that differ from it; none when the site is not under git.
fn version_control(folder: &Path) -> Result<(Option<String>, Vec<String>), String> {
    let whole = fs::canonicalize(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    if !whole.ancestors().any(|p| p.join(".git").exists()) {
        return Ok((None, Vec::new()));
    }
    let git = |words: &[&str]| {
        let out = Command::new("git").arg("-C").arg(&whole).args(words).output();
        let out = out.map_err(|e| format!("the site is under git, and git cannot be run: {e}"))?;
        if out.status.success() {
            Ok(String::from_utf8_lossy(&out.stdout).into_owned())
        } else {
            Err(format!("git {}: {}", words.join(" "), String::from_utf8_lossy(&out.stderr).trim()))
        }
    };
    let status = git(&["status", "--porcelain=v1", "-z", "--untracked-files=all", "--no-renames", "--", "."])?;
    let prefix = git(&["rev-parse", "--show-prefix"])?.trim_end_matches('\n').to_string();
    let inside = |p: &str| p.strip_prefix(&prefix).unwrap_or(p).to_string();
    let differs: Vec<String> = status
        .split('\0')
        .filter(|l| l.len() > 3)
        .map(|l| inside(&l[3..]))
        .filter(|p| !p.starts_with("issued/") && !p.starts_with("drafts/") && !p.starts_with('.'))
        .collect();
    let commit = git(&["rev-parse", "HEAD"]).map_or_else(|_| "no commit yet".to_string(), |c| c.trim().to_string());
    Ok((Some(commit), differs))
}
