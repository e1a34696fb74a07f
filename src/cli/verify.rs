//! `galipot verify`: whether bags are as they were sealed, chained and approved.

use std::path::{Path, PathBuf};

use super::args::Args;
use super::signatures::json;
use super::{Outcome, bags, terminal};
use crate::model::Day;
use crate::pipeline::{self, Issue, Options};
use crate::seal::{self, Chain, Files, Problem, Report, Standing};

/// Checks every bag; earlier revisions that lie beside it complete the chain.
///
/// # Errors
/// In words, when a folder cannot be read.
pub fn run(args: &Args, folders: &[PathBuf], rebuild: bool) -> Result<Outcome, String> {
    let mut all: Vec<(PathBuf, Report, Files)> = Vec::new();
    for f in folders {
        let bag = bags::read(f)?;
        let mut report = bag.report();
        misplaced(f, &mut report);
        all.push((f.clone(), report, bag.files));
    }
    let mut known: Vec<Report> = all.iter().map(|a| a.1.clone()).collect();
    let mut read: Vec<PathBuf> = folders.iter().filter_map(|f| f.canonicalize().ok()).collect();
    let beside: Vec<PathBuf> = read.iter().filter_map(|p| p.parent().map(Path::to_path_buf)).collect();
    for (_, path) in beside.iter().flat_map(|b| bags::revisions(b)) {
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
    for (path, report, files) in &all {
        let chain = seal::chain(report, &known);
        let rebuilt = rebuild.then(|| rebuilt(report, files));
        let good = report.intact() && chain != Chain::Broken && rebuilt.as_ref().is_none_or(Result::is_ok);
        holds &= good;
        list.push(serde_json::json!({
            "path": path.to_string_lossy(), "document": report.document, "revision": report.revision,
            "digest": report.digest, "copy_for": report.copy_for, "intact": report.intact(),
            "problems": report.problems.iter().map(|p| serde_json::json!({"code": p.code, "file": p.file, "text": p.text})).collect::<Vec<_>>(),
            "chain": chain.word(),
            "standing": seal::standing(report, &known).word(), "replaced_by": seal::replaced_by(report, &known),
            "withheld": report.withheld.iter().map(|w| serde_json::json!({"file": w.0, "sha256": w.1})).collect::<Vec<_>>(),
            "signatures": report.approvals.iter().map(json).collect::<Vec<_>>(),
            "rebuilt": rebuilt.as_ref().map(|r| match r { Ok(t) => serde_json::json!({"equal": true, "tool": t}),
                Err(e) => serde_json::json!({"equal": false, "why": e}) }),
        }));
        text.push_str(&human(
            path,
            report,
            (chain, seal::standing(report, &known), seal::stands(report, &known)),
            rebuilt.as_ref(),
        ));
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
    (chain, standing, stands): (Chain, Standing, String),
    rebuilt: Option<&Result<String, Vec<String>>>,
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
    t.push_str(&format!("  chain {}{before}\n", chain.word()));
    if !r.withheld.is_empty() {
        let n = r.withheld.len();
        t.push_str(&format!("  {n} {} withheld, each named by its digest\n", if n == 1 { "file" } else { "files" }));
    }
    let count = r.approvals.iter().filter(|a| a.binds()).count();
    t.push_str(&match standing {
        Standing::NotShown => "  approvals are not shown to this reader, and so not where the revision stands\n".into(),
        _ => format!("  {count} of {} approvals count; the revision is {stands}\n", r.approvals.len()),
    });
    match rebuilt {
        Some(Ok(tool)) => t.push_str(&format!("  rebuilt by {tool}: equal byte by byte\n")),
        Some(Err(why)) => why.iter().for_each(|w| t.push_str(&format!("  not rebuilt: {w}\n"))),
        None => {}
    }
    t
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

/// The version of the program when the payload gives the same forms again, else every difference.
fn rebuilt(report: &Report, files: &Files) -> Result<String, Vec<String>> {
    if report.copy_for.is_some() {
        return Err(vec!["a copy does not hold all inputs; rebuild the whole bag".into()]);
    }
    let tool = format!("galipot {}", env!("CARGO_PKG_VERSION"));
    let inputs: Vec<(String, Vec<u8>)> =
        files.iter().filter_map(|(p, b)| p.strip_prefix("data/inputs/").map(|p| (p.to_string(), b.clone()))).collect();
    let options = Options { as_of: Day::parse(&report.as_of), set: Vec::new() };
    let assessed = pipeline::assess(inputs, &options)
        .map_err(|r| vec![format!("the inputs cannot be read: {} problems", r.problems.len())])?;
    let assembly =
        serde_json::from_slice::<serde_json::Value>(files.get("data/record.json").map_or(&[], Vec::as_slice))
            .ok()
            .and_then(|v| v["assembly"]["id"].as_str().map(str::to_string))
            .unwrap_or_default();
    let issue = Issue {
        revision: report.revision.clone(),
        previous: report.previous.clone(),
        previous_record: files.get("data/previous/record.json").cloned(),
        previous_standing: files.get("data/previous/standing.json").cloned(),
        ..Issue::default()
    };
    let bag = pipeline::issue(&assessed, &assembly, &issue)?;
    let differs: Vec<String> = ["data/dossier.html", "data/dossier.md", "data/dossier.typ", "data/record.json"]
        .into_iter()
        // Bags of the first format hold no Typst source.
        .filter(|f| *f != "data/dossier.typ" || files.contains_key(*f))
        .filter(|f| bag.files.get(*f) != files.get(*f))
        .map(|f| format!("{f} differs; it was written by {}, and this is {tool}", report.tool))
        .collect();
    if differs.is_empty() { Ok(tool) } else { Err(differs) }
}
