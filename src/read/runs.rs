//! Takes the files that runs list; gives their tables, read side by side in a fixed order, and what is amiss with them.

use super::layout::{Purpose, purpose};
use super::names::tables;
use super::route::Placed;
use super::{sheet, table};
use crate::diag::{Diagnostic, FileId, Log, Sources, codes, nearest};
use crate::model::evidence::{Dialect, FileRole, RunFile};
use crate::model::raw::{Node, Raw};
use crate::model::tables::{DataTable, TABLES, TableSpec};
use crate::model::{Reader, Record, Text};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Tables and altered files of one run.
#[derive(Debug, Default)]
pub struct RunData {
    pub tables: Vec<DataTable>,
    pub altered: Vec<(String, String)>,
}

struct Job {
    run: FileId,
    file: FileId,
    spec: &'static TableSpec,
    dialect: Dialect,
    sheet: Option<String>,
}

/// Reads all files of all runs; the result is by the file of the run's record.
pub fn read(placed: &[Placed], sources: &Sources, log: &mut Log) -> BTreeMap<FileId, RunData> {
    let mut data: BTreeMap<FileId, RunData> = BTreeMap::new();
    let mut jobs = Vec::new();
    let mut listed: BTreeSet<String> = BTreeSet::new();
    let mut broken: BTreeSet<&str> = BTreeSet::new();
    let mut known_runs: BTreeSet<&str> = BTreeSet::new();
    for p in placed.iter().filter(|p| p.rule.kind == "run") {
        let record = &sources.get(p.file).path;
        let Some(folder) = record.strip_suffix("/run.toml").and_then(|f| f.strip_prefix("runs/")) else { continue };
        known_runs.insert(folder);
        if !p.whole {
            broken.insert(folder);
        }
        if let Some((id, at)) = p.id()
            && id != folder
        {
            log.push(
                Diagnostic::error(
                    codes::CONTRADICTION,
                    format!("the run {} lies in the folder of {}", id.escape_debug(), folder.escape_debug()),
                    format!("write id = \"{folder}\", or rename the folder"),
                )
                .at(at, "not the name of the folder"),
            );
        }
        let own: BTreeSet<String> = tables(&p.table, "file")
            .filter_map(|t| match t.get("path") {
                Some(Node { raw: Raw::Text(path), .. }) => Some(format!("runs/{folder}/{path}")),
                _ => None,
            })
            .collect();
        for t in tables(&p.table, "file") {
            // The record itself reports what is wrong with these fields.
            let Some(f) = RunFile::take(t, &mut Reader::default()) else {
                if let Some(Node { raw: Raw::Text(path), .. }) = t.get("path") {
                    listed.insert(format!("runs/{folder}/{path}"));
                }
                continue;
            };
            let Some(path) = safe_path(folder, &f.path, log) else { continue };
            if !listed.insert(path.clone()) {
                log.push(
                    Diagnostic::error(
                        codes::DUPLICATE_ID,
                        format!("the file {} is listed twice", f.path.escape_debug()),
                        "keep one entry for each file",
                    )
                    .at(f.path.at, "again"),
                );
            }
            check_digest(&f.sha256, log);
            let Some(file) = sources.find(&path) else {
                let same = |s: &str| s.to_lowercase() == path.to_lowercase();
                if let Some((_, s)) = sources.iter().find(|(_, s)| same(&s.path)) {
                    listed.insert(s.path.clone());
                }
                log.push(missing(&path, &f.path, &own, sources));
                let _ = spec_of(&f, log);
                continue;
            };
            let found = &sources.get(file).sha256;
            if *found != f.sha256.text.to_lowercase() {
                data.entry(p.file).or_default().altered.push((path, found.clone()));
            }
            if let Some(spec) = spec_of(&f, log) {
                let ending = if f.path.text.ends_with(".xlsx") { Dialect::Sheet } else { Dialect::Plain };
                let dialect = f.dialect.unwrap_or(ending);
                jobs.push(Job { run: p.file, file, spec, dialect, sheet: f.sheet.map(|s| s.text) });
            }
        }
    }
    let results: Vec<_> = jobs
        .par_iter()
        .map(|j| {
            let bytes = &sources.get(j.file).bytes;
            match j.dialect {
                Dialect::Sheet => sheet::read(j.file, bytes, j.spec, j.sheet.as_deref()),
                other => table::read(j.file, bytes, j.spec, other),
            }
        })
        .collect();
    for (j, result) in jobs.iter().zip(results) {
        match result {
            Ok(t) => data.entry(j.run).or_default().tables.push(t),
            Err(problems) => log.items.extend(problems),
        }
    }
    strays(sources, &listed, &broken, &known_runs, log);
    data
}

/// Files in the folder of a run that the run does not list.
fn strays(sources: &Sources, listed: &BTreeSet<String>, broken: &BTreeSet<&str>, runs: &BTreeSet<&str>, log: &mut Log) {
    for (file, source) in sources.iter().filter(|(_, s)| !s.built_in) {
        let Purpose::RunData(run) = purpose(&source.path) else { continue };
        if listed.contains(&source.path) || broken.contains(run) {
            continue;
        }
        let hint = if runs.contains(run) {
            let name = source.path.rsplit_once(&format!("{run}/")).map_or(source.path.as_str(), |x| x.1);
            format!("list it in runs/{run}/run.toml as a [[run.file]] with path = \"{name}\", or remove it")
        } else {
            format!("write runs/{run}/run.toml and list it there, or remove it")
        };
        log.push(
            Diagnostic::error(codes::UNPLACED_FILE, format!("no run lists the file {}", source.path), hint)
                .at(sources.at(file, 0, 0), "nothing reads this file"),
        );
    }
}

/// The path inside the site, when it is written in the one form that every system reads alike.
fn safe_path(folder: &str, path: &Text, log: &mut Log) -> Option<String> {
    let p = path.text.as_str();
    let why = if p.contains('\\') {
        "it has a backslash"
    } else if p.starts_with('/') {
        "it is absolute"
    } else if p.contains(':') {
        "it has a colon, as a drive letter has"
    } else if p.split('/').any(|s| s == ".." || s == ".") {
        "it leaves the folder, or says `.`"
    } else if p.split('/').any(str::is_empty) || p.chars().any(char::is_control) {
        "it has an empty part or a control character"
    } else {
        return Some(format!("runs/{folder}/{p}"));
    };
    log.push(
        Diagnostic::error(
            codes::BAD_PATH,
            format!("the path \"{}\" cannot be used: {why}", p.escape_debug()),
            "write the path from the folder of the run, with forward slashes",
        )
        .at(path.at, "not a path inside the folder of the run"),
    );
    None
}

fn check_digest(sha256: &Text, log: &mut Log) {
    if sha256.len() != 64 || !sha256.bytes().all(|b| b.is_ascii_hexdigit()) {
        log.push(
            Diagnostic::error(
                codes::BAD_ID,
                format!("\"{}\" is not a SHA-256 digest", sha256.escape_debug()),
                "write the 64 hexadecimal digits that `sha256sum` prints for the file as received",
            )
            .at(sha256.at, "not 64 hexadecimal digits"),
        );
    }
}

/// A listed file that is not there; `own` are all files that the run lists, none of which was meant by this entry.
fn missing(path: &str, written: &Text, own: &BTreeSet<String>, sources: &Sources) -> Diagnostic {
    let same = |s: &str| s.to_lowercase() == path.to_lowercase();
    let hint = match sources.iter().find(|(_, s)| same(&s.path)) {
        Some((_, s)) => format!("the file is spelt {}; upper and lower case count", s.path),
        None => {
            let folder = path.rsplit_once('/').map_or("", |p| p.0);
            let near = sources
                .iter()
                .map(|(_, s)| s.path.as_str())
                .filter(|s| s.starts_with(folder) && !own.contains(*s) && !s.ends_with("/run.toml"));
            match nearest(path, near) {
                Some(n) => format!("did you mean {}?", n.strip_prefix(folder).unwrap_or(n).trim_start_matches('/')),
                None => format!("put the file at {path}, or remove the entry"),
            }
        }
    };
    Diagnostic::error(codes::MISSING_FILE, format!("the file {} is not in the site", path.escape_debug()), hint)
        .at(written.at, "no such file")
}

/// The kind of table of a file; none for a file without one.
fn spec_of(f: &RunFile, log: &mut Log) -> Option<&'static TableSpec> {
    let Some(kind) = &f.table else {
        if matches!(f.role, FileRole::Readings | FileRole::Chamber) {
            log.push(
                Diagnostic::error(
                    codes::MISSING_FIELD,
                    format!("a file of {} lacks `table`", f.role),
                    "write the kind of table in it, for example table = \"sir\"",
                )
                .at(f.path.at, "this file"),
            );
        }
        return None;
    };
    let spec = TABLES.iter().find(|t| t.kind == kind.text);
    if spec.is_none() {
        let hint = match nearest(kind, TABLES.iter().map(|t| t.kind)) {
            Some(n) => format!("did you mean \"{n}\"?"),
            None => format!("use one of: {}", TABLES.iter().map(|t| t.kind).collect::<Vec<_>>().join(", ")),
        };
        log.push(
            Diagnostic::error(
                codes::UNKNOWN_WORD,
                format!("`table` does not know the kind \"{}\"", kind.escape_debug()),
                hint,
            )
            .at(kind.at, "unknown kind of table"),
        );
    }
    spec
}
