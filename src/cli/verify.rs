//! `galipot verify`: whether bags are as they were sealed, chained and approved.

use std::path::{Path, PathBuf};

use super::args::Args;
use super::rebuild::{self, Rebuilt};
use super::signatures::json;
use super::{Outcome, bags, terminal};
use crate::seal::{self, Chain, Files, Problem, Report, Standing};

/// A bag that was asked about.
struct Asked {
    path: PathBuf,
    report: Report,
    files: Files,
    /// Folders without a file.
    empty: Vec<String>,
}

/// Checks every bag; earlier revisions that lie beside it complete the chain, whatever their folders are called.
///
/// # Errors
/// In words, when a folder cannot be read or is no bag, or a copy is to be rebuilt.
pub fn run(args: &Args, folders: &[PathBuf], rebuild: bool) -> Result<Outcome, String> {
    let mut all: Vec<Asked> = Vec::new();
    for f in folders {
        let bag = bags::read(f)?;
        let mut report = bag.report();
        misplaced(f, &mut report);
        if rebuild && report.copy_for.is_some() {
            return Err(format!("{} is a copy and does not hold all inputs; rebuild the whole bag", f.display()));
        }
        all.push(Asked { path: f.clone(), report, files: bag.files, empty: bag.empty });
    }
    let mut known: Vec<Report> = all.iter().map(|a| a.report.clone()).collect();
    let documents: Vec<&str> = all.iter().map(|a| a.report.document.as_str()).collect();
    let mut read: Vec<PathBuf> = folders.iter().filter_map(|f| f.canonicalize().ok()).collect();
    let mut parents: Vec<PathBuf> = read.iter().filter_map(|p| p.parent().map(Path::to_path_buf)).collect();
    parents.sort();
    parents.dedup();
    for path in parents.iter().flat_map(|b| bags::siblings(b, &documents)) {
        if !read.contains(&path)
            && let Ok(bag) = bags::read(&path)
        {
            known.push(bag.report());
            read.push(path);
        }
    }
    let mut holds = true;
    let mut text = String::new();
    let mut list = Vec::new();
    for Asked { path, report, files, empty } in &all {
        let chain = seal::chain(report, &known);
        let rebuilt = rebuild.then(|| rebuild::rebuilt(report, files));
        let broken = matches!(chain, Chain::Broken(_));
        let good = report.intact() && !broken && rebuilt.as_ref().is_none_or(|r| r.differs.is_empty());
        holds &= good;
        list.push(serde_json::json!({
            "path": path.to_string_lossy(), "document": report.document, "revision": report.revision,
            "digest": report.digest, "copy_for": report.copy_for, "intact": report.intact(),
            "problems": report.problems.iter().map(|p| serde_json::json!({"code": p.code, "file": p.file, "text": p.text})).collect::<Vec<_>>(),
            "chain": chain.word(), "chain_why": why(&chain), "empty_folders": empty,
            "standing": seal::standing(report, &known).word(), "replaced_by": seal::replaced_by(report, &known),
            "withheld": report.withheld.iter().map(|w| serde_json::json!({"file": w.0, "sha256": w.1})).collect::<Vec<_>>(),
            "signatures": report.approvals.iter().map(json).collect::<Vec<_>>(),
            "rebuilt": rebuilt.as_ref().map(|r| match r.differs.as_slice() {
                [] => serde_json::json!({"equal": true, "tool": r.tool, "left_out": r.left_out}),
                why => serde_json::json!({"equal": false, "why": why, "left_out": r.left_out}) }),
        }));
        text.push_str(&human(
            path,
            report,
            (&chain, seal::standing(report, &known), seal::stands(report, &known)),
            rebuilt.as_ref(),
        ));
        for e in empty {
            text.push_str(&format!("  note: {e} is an empty folder; it changes nothing, and may be removed\n"));
        }
    }
    if args.json {
        terminal::json(&serde_json::json!({"schema": "galipot.verify/1", "bags": list}));
    } else {
        terminal::out(&text);
    }
    Ok(if holds { Outcome::Holds } else { Outcome::DoesNotHold })
}

fn human(
    path: &Path,
    r: &Report,
    (chain, standing, stands): (&Chain, Standing, String),
    rebuilt: Option<&Rebuilt>,
) -> String {
    let what = r.copy_for.as_ref().map_or(String::new(), |c| format!(", copy for the reader {c}"));
    let mut t = format!(
        "{}  {}\n  {} revision {}{what}\n  content digest {}\n",
        path.display(),
        if r.intact() { "INTACT" } else { "NOT INTACT" },
        r.document,
        r.revision,
        r.digest
    );
    for p in r.problems.iter().take(20) {
        t.push_str(&format!("  {:<12} {}: {}\n", p.code, if p.file.is_empty() { "the bag" } else { &p.file }, p.text));
    }
    if r.problems.len() > 20 {
        t.push_str(&format!("  and {} more; --json lists all of them\n", r.problems.len() - 20));
    }
    let before = r.previous.as_ref().map_or(String::new(), |p| format!(" (before it revision {})", p.revision));
    t.push_str(&format!("  chain {}{}\n", chain.word(), why(chain).map_or(before, |w| format!(": {w}"))));
    t.push_str(match chain {
        Chain::Broken(_) => "  name the right bag of that revision as another argument, or ask whoever issued it\n",
        Chain::MissingPrevious(_) => "  it is not beside this bag: name it as another argument\n",
        Chain::First | Chain::Intact => "",
    });
    if !r.withheld.is_empty() {
        let n = r.withheld.len();
        t.push_str(&format!("  {n} {} withheld, each named by its digest\n", if n == 1 { "file" } else { "files" }));
    }
    let count = r.approvals.iter().filter(|a| a.binds()).count();
    t.push_str(&match standing {
        Standing::NotShown => "  approvals are not shown to this reader, and so not where the revision stands\n".into(),
        _ if matches!(chain, Chain::Broken(_)) => format!(
            "  {count} of {} approvals count; by them alone the revision would be {stands}, but its chain is broken\n",
            r.approvals.len()
        ),
        _ => format!("  {count} of {} approvals count; the revision is {stands}\n", r.approvals.len()),
    });
    if let Some(b) = rebuilt {
        match b.differs.as_slice() {
            [] => t.push_str(&format!("  rebuilt by {}: equal byte by byte\n", b.tool)),
            why => why.iter().for_each(|w| t.push_str(&format!("  not rebuilt: {w}\n"))),
        }
        b.left_out.iter().for_each(|w| t.push_str(&format!("  not compared: {w}\n")));
    }
    t
}

/// At which step a chain ends, and why.
fn why(chain: &Chain) -> Option<&str> {
    match chain {
        Chain::Broken(why) | Chain::MissingPrevious(why) => Some(why),
        Chain::First | Chain::Intact => None,
    }
}

/// A bag that lies under the name of another document or revision.
fn misplaced(folder: &Path, report: &mut Report) {
    let whole = folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
    let name = |p: Option<&Path>| p.and_then(Path::file_name).map(|n| n.to_string_lossy().into_owned());
    let (revision, document) = (name(Some(&whole)), name(whole.parent()));
    let in_place = whole.parent().and_then(Path::parent).is_some_and(|p| p.file_name().is_some_and(|n| n == "issued"));
    if in_place && (revision.as_deref() != Some(&report.revision) || document.as_deref() != Some(&report.document)) {
        let text = format!(
            "it lies under the name of {} revision {}",
            document.unwrap_or_default(),
            revision.unwrap_or_default()
        );
        report.problems.push(Problem { code: "information", file: "bag-info.txt".into(), text });
    }
}
