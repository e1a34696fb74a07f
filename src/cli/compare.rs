//! `galipot compare OLD NEW`: what moved between two revisions, states first, and what did not.

use std::fs;
use std::path::Path;

use super::args::Args;
use super::disk::{self, Existing, LARGEST};
use super::{Outcome, bags, terminal};
use crate::compose::since;
use crate::pipeline::{self, Before};

/// Compares two bags, draft folders or records.
///
/// # Errors
/// In words, when one of them is no record, or the folder cannot be written.
pub fn run(args: &Args, old: &Path, new: &Path, out: Option<&Path>) -> Result<Outcome, String> {
    let (was, is) = (record(old)?, record(new)?);
    let changes = pipeline::compare(&was, &is).map_err(|all| {
        let files = format!("old {}, new {}", old.display(), new.display());
        format!("these cannot be compared ({files}):\n  - {}", all.join("\n  - "))
    })?;
    if let Some(folder) = out {
        let files = pipeline::changes(&changes);
        disk::write_folder(folder, &files, Existing::Replace(&ours)).map_err(|e| e.to_string())?;
    }
    if args.json {
        terminal::json(&since::json(&changes));
    } else {
        terminal::out(&since::human(&changes));
        if let Some(folder) = out {
            terminal::out(&format!("written: {0}/changes.md, {0}/changes.html\n", folder.display()));
        }
    }
    Ok(if changes.states_moved() { Outcome::DoesNotHold } else { Outcome::Holds })
}

fn ours(path: &str) -> bool {
    matches!(path, "changes.md" | "changes.html")
}

/// The record of a bag, of a draft folder, or of a file.
fn record(path: &Path) -> Result<Before, String> {
    let about = fs::metadata(path).map_err(|e| format!("{}: {e}", path.display()))?;
    if !about.is_dir() {
        return Ok(Before { record: disk::read_file(path, LARGEST)?, digest: None, stood: None });
    }
    if path.join("bagit.txt").exists() {
        return bags::record(path);
    }
    let inside = path.join("record.json");
    if !inside.exists() {
        let hint = if path.join("galipot.toml").exists() {
            "it is a site: galipot draft writes its records below drafts/"
        } else {
            "name a bag, the folder of one draft, or a record.json"
        };
        return Err(format!("{} holds no record.json; {hint}", path.display()));
    }
    Ok(Before { record: disk::read_file(&inside, LARGEST)?, digest: None, stood: None })
}
