//! Takes runs with their tables; reports boards and patterns in readings that no build and no vehicle has.

use crate::diag::{At, Diagnostic, Log, codes, nearest};
use crate::model::Text;
use crate::model::site::{RunFolder, Site};
use crate::model::tables::{Column, DataTable};
use std::collections::{BTreeMap, BTreeSet};

/// Kinds of table whose rows are channels of built patterns.
const CHANNELS: &[&str] = &["sir", "ecm"];

/// Checks the runs whose builds are all known. A swapped board or channel would else be judged as another one, or
/// not at all.
pub fn check(site: &Site, log: &mut Log) {
    for r in &site.runs {
        let builds: Vec<_> = site.builds_of(&r.run).collect();
        if builds.is_empty() || builds.len() != r.run.builds.len() {
            continue;
        }
        let tables = || r.tables.iter().filter(|t| CHANNELS.contains(&t.spec.kind));
        if tables().next().is_none() {
            continue;
        }
        let mut owner: BTreeMap<&str, &str> = BTreeMap::new();
        for (_, build) in &builds {
            for board in &build.boards {
                if let Some(first) = owner.insert(board, &build.id) {
                    log.push(
                        Diagnostic::error(
                            codes::DUPLICATE_ID,
                            format!(
                                "the run {} has the board {board} from two builds, {first} and {}",
                                r.run.id, build.id
                            ),
                            "list each board in one build, or split the run",
                        )
                        .at(board.at, "in a second build of this run"),
                    );
                }
            }
        }
        let controls = || r.run.controls.iter().chain(&r.run.positive_controls);
        let boards: BTreeSet<&str> = owner.keys().copied().chain(controls().map(|c| c.text.as_str())).collect();
        let patterns: BTreeSet<&str> =
            builds.iter().flat_map(|(v, _)| &v.pattern).map(|p| p.id.text.as_str()).collect();
        for t in tables() {
            names(site, r, t, "board", &boards, "no build of this run has it, and it is no control", log);
            names(site, r, t, "pattern", &patterns, "no vehicle of this run has it", log);
        }
        let read: BTreeSet<&str> = tables().flat_map(|t| distinct(t, "board")).map(|d| d.0).collect();
        for c in controls().filter(|c| !read.contains(c.text.as_str())) {
            log.push(stray(c, "control board", "has no readings in this run", &read));
        }
        let channels: BTreeSet<&str> = tables().flat_map(|t| distinct(t, "pattern")).map(|d| d.0).collect();
        for e in &r.run.event {
            if !read.contains(e.board.text.as_str()) {
                log.push(stray(&e.board, "board of the event", "has no readings in this run", &read));
            }
            if !channels.contains(e.pattern.text.as_str()) {
                log.push(stray(&e.pattern, "pattern of the event", "has no readings in this run", &channels));
            }
        }
    }
}

fn stray(t: &Text, what: &str, why: &str, known: &BTreeSet<&str>) -> Diagnostic {
    Diagnostic::error(codes::DANGLING_REFERENCE, format!("the {what} `{}` {why}", t.escape_debug()), hint(t, known))
        .at(t.at, "no such readings")
}

fn hint(name: &str, known: &BTreeSet<&str>) -> String {
    match nearest(name, known.iter().copied()) {
        Some(n) => format!("did you mean `{n}`?"),
        None if known.len() <= 12 => {
            format!("known are: {}", known.iter().copied().collect::<Vec<_>>().join(", "))
        }
        None => "correct the name here, or where it is declared".to_string(),
    }
}

/// Names of one column that are not known, each at the first row that has it.
fn names(site: &Site, r: &RunFolder, t: &DataTable, column: &str, known: &BTreeSet<&str>, why: &str, log: &mut Log) {
    for (name, row) in distinct(t, column).into_iter().filter(|d| !known.contains(d.0)) {
        log.push(
            Diagnostic::error(
                codes::DANGLING_REFERENCE,
                format!(
                    "{column} `{}` does not exist: run {} -> {} -> {column}; {why}",
                    name.escape_debug(),
                    r.run.id,
                    t.spec.kind
                ),
                hint(name, known),
            )
            .at(cell(site, t, row, name), format!("unknown {column}")),
        );
    }
}

/// Every text of a column, with the first row that has it.
fn distinct<'a>(t: &'a DataTable, column: &str) -> Vec<(&'a str, usize)> {
    let at = t.spec.columns.iter().position(|c| c.name == column);
    let Some(Some(Column::Text(cells))) = at.map(|i| &t.columns[i]) else { return Vec::new() };
    let mut seen = vec![false; t.dictionary.len()];
    let mut out = Vec::new();
    for (row, &word) in cells.iter().enumerate() {
        if !std::mem::replace(&mut seen[word as usize], true) {
            out.push((t.dictionary[word as usize].as_str(), row));
        }
    }
    out
}

/// The first bytes of a row that read as `name`; the row itself in a spreadsheet.
fn cell(site: &Site, t: &DataTable, row: usize, name: &str) -> At {
    let at = t.at(row);
    let Ok(text) = std::str::from_utf8(&site.sources.get(t.file).bytes) else { return at };
    let Some(line) = text.split('\n').nth(at.line as usize - 1) else { return at };
    let start = line.as_ptr() as usize - text.as_ptr() as usize;
    match line.find(name).filter(|_| !name.is_empty()) {
        Some(i) => site.sources.at(t.file, start + i, start + i + name.len()),
        None => site.sources.at(t.file, start, start + line.len()),
    }
}
