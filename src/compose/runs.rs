//! Takes runs and their standings; gives the register of runs, the failed ones first, and the reconciled count.

use super::desk::{Desk, run_anchor};
use super::ink::{self, Cell, cell, count, here, strong, table_or, text};
use super::words;
use crate::model::assessment::{Defeater, DefeaterStatus, GateEffect, Verdict};
use crate::model::document::{Block, Inline};
use crate::model::site::RunFolder;

/// Order of the register: what speaks against comes first.
fn rank(desk: &Desk, run: &str) -> u8 {
    match desk.standing(run) {
        None => 5,
        Some(s) => match (desk.verdict(run), s.role) {
            (Verdict::Fail, _) => 0,
            (_, "excluded") => 1,
            (_, "inadmissible") => 2,
            (_, "exploratory" | "expired") => 3,
            (Verdict::NotShown | Verdict::Marginal, _) => 4,
            (_, "pending") => 6,
            (_, "used") => 7,
            _ => 8,
        },
    }
}

fn in_order<'a>(desk: &Desk<'a>) -> Vec<&'a RunFolder> {
    let mut runs = desk.runs();
    runs.sort_by(|a, b| {
        let key = |r: &RunFolder| rank(desk, &r.run.id);
        key(a).cmp(&key(b)).then_with(|| a.run.id.text.cmp(&b.run.id.text))
    });
    runs
}

/// Verdict on this assembly, and the role when it says more.
fn result(desk: &Desk, run: &str) -> Cell {
    let (verdict, role) = (words::verdict(desk.verdict(run)), desk.role(run));
    let mut out = vec![strong(verdict)];
    if role != verdict {
        out.push(text(format!(", {role}")));
    }
    out
}

/// Why a run counts as it does.
fn why(desk: &Desk, r: &RunFolder) -> Cell {
    let mut out: Vec<Cell> = Vec::new();
    if r.run.excluded == Some(true) {
        let by = r.run.excluded_by.as_ref().map_or("nobody named".into(), |p| desk.person(p));
        let reason = r.run.excluded_reason.as_ref().map_or("no reason given", |t| t.text.as_str());
        out.push(cell(format!("excluded by {by}: {reason}")));
    }
    if let Some(s) = desk.standing(&r.run.id) {
        for g in s.gates.iter().filter(|g| g.effect != GateEffect::Passed) {
            out.push(vec![
                strong(format!("{} {}", g.gate, words::gate(g.gate))),
                text(format!(": {}: {} ", words::effect(g.effect), g.text)),
                desk.place(g.at),
            ]);
        }
    }
    for c in &desk.r.claims {
        for v in c.voices.iter().filter(|v| v.run == r.run.id.text) {
            if matches!(v.verdict, Verdict::Fail | Verdict::NotShown | Verdict::Marginal) {
                let at = [v.cell.as_str(), v.pattern.as_str()];
                let at: Vec<&str> = at.into_iter().filter(|s| !s.is_empty()).collect();
                let reason = if v.reason.is_empty() { v.counts_as } else { v.reason.as_str() };
                let line = vec![
                    text(format!("{}: {}: {reason} ", at.join(" · "), words::verdict(v.verdict))),
                    desk.place(v.at),
                ];
                if !out.contains(&line) {
                    out.push(line);
                }
            }
        }
    }
    for o in desk.w.outcomes.iter().filter(|o| o.run == r.run.id.text) {
        for e in o.hard_events.iter().chain(&o.open_events) {
            out.push(vec![text(format!("{} ", e.text)), desk.place(e.at)]);
        }
    }
    out.dedup();
    let more = out.len().saturating_sub(4);
    out.truncate(4);
    if more > 0 {
        out.push(cell(format!("and {more} more")));
    }
    ink::joined(out, "; ")
}

/// What became of what a run raised: doubts that name it, and conditions that answer it.
fn became(desk: &Desk, run: &str) -> Cell {
    let mut out: Vec<Cell> = Vec::new();
    for c in
        desk.site.conditions.iter().filter(|c| c.assembly.text == desk.r.id && c.answers.iter().any(|a| a.text == run))
    {
        out.push(vec![text("answered by "), desk.condition_link(&c.id)]);
    }
    let notes = |d: &&Defeater| d.status != DefeaterStatus::Noted && d.id.split(':').any(|p| p == run);
    for d in desk.r.defeaters.iter().filter(notes) {
        if desk.argued_by(d).is_some() {
            continue;
        }
        let mut one = vec![text(format!("doubt {} is {}", d.id, d.status.word()))];
        if d.status != DefeaterStatus::Open && !d.answer.is_empty() {
            one.push(text(format!(": {}", d.answer.trim_end_matches('.'))));
        }
        out.push(one);
    }
    if !out.is_empty() {
        return ink::joined(out, "; ");
    }
    let carried: Vec<&str> =
        desk.r.claims.iter().filter(|c| c.runs.iter().any(|r| r == run)).map(|c| c.id.as_str()).collect();
    if carried.is_empty() {
        return cell("no claim rests on it");
    }
    let mut line = cell("weighed in ");
    line.extend(desk.claim_links(carried));
    line
}

/// Runs that failed, were excluded, do not count or show too little.
pub fn failed(desk: &Desk) -> Vec<Block> {
    let rows = in_order(desk)
        .into_iter()
        .filter(|r| rank(desk, &r.run.id) <= 4)
        .map(|r| {
            vec![
                vec![ink::to(run_anchor(&r.run.id), r.run.id.text.clone())],
                cell(r.run.title.text.clone()),
                result(desk, &r.run.id),
                why(desk, r),
                became(desk, &r.run.id),
            ]
        })
        .collect();
    let none = "No registered run failed, was excluded, was inadmissible or showed too little. For a first issue that is unusual: ask for the register.";
    table_or(
        "Runs that speak against, the failed first",
        &["Run", "What was done", "Result", "Why", "What became of it"],
        &[],
        rows,
        none,
    )
}

/// What failed, one line per run, for the verdict page.
pub fn failed_short(desk: &Desk) -> Vec<Block> {
    let items: Vec<Cell> = in_order(desk)
        .into_iter()
        .filter(|r| rank(desk, &r.run.id) == 0)
        .map(|r| {
            let mut line = vec![desk.run_link(&r.run.id), text(format!(" {}", r.run.title.text.trim_end_matches('.')))];
            if desk.role(&r.run.id) != "used" {
                line.push(text(format!(" ({})", desk.role(&r.run.id))));
            }
            let heard: Vec<&str> = desk
                .r
                .claims
                .iter()
                .filter(|c| c.voices.iter().any(|v| v.run == r.run.id.text && v.verdict == Verdict::Fail))
                .map(|c| c.id.as_str())
                .collect();
            if !heard.is_empty() {
                line.push(text(", against "));
                line.extend(desk.claim_links(heard));
            }
            line.push(text(": "));
            line.extend(became(desk, &r.run.id));
            line
        })
        .collect();
    ink::list_or(items, "No registered run that speaks to this assembly failed.")
}

/// planned = reported + pending, and registered = the sum of its roles.
pub fn count_line(desk: &Desk) -> Vec<Block> {
    let c = &desk.r.runs;
    let reported = c.planned.saturating_sub(c.unreported.len());
    let line = vec![
        strong("Planned "),
        count(c.planned),
        text(" = reported "),
        count(reported),
        text(" + pending "),
        count(c.unreported.len()),
        text(". "),
        strong("Registered "),
        count(c.registered),
        text(" = used "),
        count(c.used),
        text(" + informative "),
        count(c.informative),
        text(" + inadmissible "),
        count(c.inadmissible),
        text(" + excluded "),
        count(c.excluded),
        text(" + exploratory or expired "),
        count(c.exploratory),
        text(" + pending "),
        count(c.pending),
        text("."),
    ];
    let mut out = vec![Block::Paragraph(line)];
    if !c.unreported.is_empty() {
        out.push(ink::says(format!("Planned and not reported: {}.", c.unreported.join(", "))));
    }
    let sum = c.used + c.informative + c.inadmissible + c.excluded + c.exploratory + c.pending;
    if sum != c.registered {
        out.push(Block::Caution(vec![
            text("The count does not close: "),
            count(c.registered),
            text(" registered, "),
            count(sum),
            text(" accounted for."),
        ]));
    }
    out
}

/// Every registered run with its role, verdict and gates.
pub fn register(desk: &Desk) -> Vec<Block> {
    let rows = in_order(desk)
        .into_iter()
        .map(|r| {
            let s = desk.standing(&r.run.id);
            let gates = s.map_or_else(String::new, |s| {
                let bad: Vec<&str> =
                    s.gates.iter().filter(|g| g.effect != GateEffect::Passed).map(|g| g.gate).collect();
                let ok = s.gates.len() - bad.len();
                if bad.is_empty() { format!("{ok} passed") } else { format!("{ok} passed, not {}", bad.join(" ")) }
            });
            vec![
                vec![here(run_anchor(&r.run.id)), desk.at(r.run.id.text.clone(), r.run.at)],
                cell(r.run.title.text.clone()),
                cell(format!("{}, {} {}", r.run.kind, r.run.method, r.run.method_edition)),
                cell(r.run.lab.text.clone()),
                cell(format!("{} to {}", r.run.start.day, r.run.end.day)),
                cell(desk.role(&r.run.id)),
                cell(words::verdict(desk.verdict(&r.run.id))),
                cell(gates),
                cell(s.and_then(|s| s.expires).map_or("no date".into(), |d| d.to_string())),
            ]
        })
        .collect();
    let head = [
        "Run",
        "What was done",
        "Kind and method",
        "Laboratory",
        "From, to",
        "Role",
        "Verdict",
        "Gates",
        "Counts until",
    ];
    table_or(
        "Every registered run that speaks to this assembly",
        &head,
        &[],
        rows,
        "No run is registered for this assembly.",
    )
}

/// Every gate of every run that did not pass, and where it was looked up.
pub fn gates(desk: &Desk) -> Vec<Block> {
    let mut rows = Vec::new();
    for r in in_order(desk) {
        let Some(s) = desk.standing(&r.run.id) else { continue };
        for g in s.gates.iter().filter(|g| g.effect != GateEffect::Passed) {
            rows.push(vec![
                vec![desk.run_link(&r.run.id)],
                cell(format!("{} {}", g.gate, words::gate(g.gate))),
                cell(words::effect(g.effect)),
                cell(g.text.clone()),
                vec![desk.place(g.at)],
            ]);
        }
    }
    table_or(
        "Gates that were not passed",
        &["Run", "Gate", "Effect", "What was compared", "File"],
        &[],
        rows,
        "Every registered run passed every gate.",
    )
}

/// Departures from method or plan.
pub fn deviations(desk: &Desk) -> Vec<Block> {
    let mut rows = Vec::new();
    for r in desk.runs() {
        for d in &r.run.deviation {
            rows.push(vec![
                vec![desk.run_link(&r.run.id)],
                vec![desk.at(d.id.text.clone(), d.at)],
                cell(d.text.text.clone()),
                cell(d.impact.as_ref().map_or("not assessed", |t| t.text.as_str())),
                cell(d.approved_by.as_ref().map_or("nobody".into(), |p| desk.person(p))),
            ]);
        }
    }
    table_or(
        "Departures from method or plan",
        &["Run", "Id", "What departed", "What it means", "Approved by"],
        &[],
        rows,
        "No run that speaks to this assembly reports a departure.",
    )
}

/// Altered files: the digest found is not the one registered.
pub fn altered(desk: &Desk) -> Vec<Block> {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for r in desk.runs() {
        for (path, found) in &r.altered {
            rows.push(vec![
                vec![desk.run_link(&r.run.id)],
                vec![Inline::Code(path.clone())],
                vec![Inline::Code(found.clone())],
            ]);
        }
    }
    table_or(
        "Files that are not the ones registered",
        &["Run", "File", "SHA-256 found"],
        &[],
        rows,
        "Every file of every run is the one that was registered.",
    )
}
