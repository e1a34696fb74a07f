//! Takes conditions, doubts and assumptions; gives their registers, what is open first.

use super::desk::{Desk, condition_anchor};
use super::ink::{cell, here, strong, table_or, text};
use super::words;
use crate::model::assessment::{Defeater, DefeaterStatus};
use crate::model::document::{Block, Inline};
use crate::model::governance::Severity;

/// Every condition in force: number, limit, feed, owner, due, breach.
pub fn conditions(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .conditions
        .iter()
        .filter(|c| c.assembly.text == desk.r.id)
        .map(|c| {
            let result = desk.r.conditions.iter().find(|r| r.id == c.id.text);
            let standing = match result {
                None => cell("on file; no claim rests on it"),
                Some(r) if r.lacks.is_empty() => cell("complete"),
                Some(r) => vec![strong(format!("INCOMPLETE: lacks {}", r.lacks.join(", ")))],
            };
            let mut limit = vec![text(format!("{} {} ", c.parameter, words::sense(c.sense)))];
            limit.push(desk.written(&c.limit));
            let mut feed = cell(c.feed.as_ref().map_or("none", |f| f.text.as_str()));
            if let Some(f) = &c.frequency {
                feed.extend([text(", every "), desk.written(f)]);
            }
            if let Some(on) = c.feed_on {
                feed.push(text(format!(", newest {on}")));
            }
            vec![
                vec![here(condition_anchor(&c.id)), desk.at(c.id.text.clone(), c.at)],
                cell(c.text.text.clone()),
                limit,
                cell(c.verification.text.clone()),
                feed,
                cell(c.owner.as_ref().map_or("NOBODY".into(), |o| desk.person(o))),
                cell(c.due.map_or("no date".into(), |d| d.to_string())),
                cell(format!(
                    "{}{}",
                    c.breach_action.as_ref().map_or("not stated", |b| b.text.as_str()),
                    match c.stop_ship {
                        Some(true) => "; stops shipment",
                        Some(false) => "",
                        None => "; stop of shipment not stated",
                    }
                )),
                desk.claim_links(c.claims.iter().map(|x| x.text.as_str())),
                standing,
            ]
        })
        .collect();
    let head = ["Id", "Condition", "Limit", "How verified", "Feed", "Owner", "Due", "On breach", "Claims", "Standing"];
    table_or("Conditions", &head, &[], rows, "No condition is on file for this assembly.")
}

/// Whether two doubts have one cause: the same words and the same end, against different claims.
fn one_cause(a: &Defeater, b: &Defeater) -> bool {
    let subject = |d: &Defeater| d.id.rsplit(':').next().map(str::to_string);
    let words = |d: &Defeater| d.text.replace(&d.claim, "");
    !a.standard.is_empty()
        && (a.standard, a.severity, a.status) == (b.standard, b.severity, b.status)
        && (&a.answer, &a.answered_by) == (&b.answer, &b.answered_by)
        && subject(a) == subject(b)
        && words(a) == words(b)
}

/// Doubts, the open ones first, with what became of them.
pub fn doubts(desk: &Desk) -> Vec<Block> {
    let mut all: Vec<_> = desk.r.defeaters.iter().collect();
    all.sort_by_key(|d| {
        let status = match d.status {
            DefeaterStatus::Confirmed => 0,
            DefeaterStatus::Open => 1,
            DefeaterStatus::Accepted => 2,
            DefeaterStatus::Refuted => 3,
            DefeaterStatus::Noted => 4,
        };
        let weight = match d.severity {
            Severity::Major => 0,
            Severity::Minor => 1,
            Severity::Note => 2,
        };
        (status, weight)
    });
    // One cause that touches many claims is one row.
    let mut groups: Vec<Vec<&Defeater>> = Vec::new();
    for d in all {
        match groups
            .iter_mut()
            .find(|g| one_cause(g[0], d) && desk.argued_by(g[0]).map(|c| &c.id) == desk.argued_by(d).map(|c| &c.id))
        {
            Some(g) => g.push(d),
            None => groups.push(vec![d]),
        }
    }
    let rows = groups
        .into_iter()
        .map(|g| {
            let d = g[0];
            let mut answer = cell(if d.answer.is_empty() { "none" } else { &d.answer });
            if !d.answered_by.is_empty() {
                answer.push(text(format!(" ({})", desk.person(&d.answered_by))));
            }
            if let Some(c) = desk.argued_by(d) {
                answer = vec![text("argued by "), desk.condition_link(&c.id)];
            }
            let mut id = vec![Inline::Code(d.id.clone())];
            if let Some(at) = d.at {
                id.extend([text(" "), desk.place(at)]);
            }
            if g.len() > 1 {
                id.push(text(format!(" and {} more, one for each claim", g.len() - 1)));
            }
            vec![
                id,
                desk.claim_links(g.iter().map(|d| d.claim.as_str())),
                cell(d.severity.word()),
                cell(d.text.clone()),
                vec![strong(d.status.word())],
                answer,
                cell(if d.standard.is_empty() { "a person" } else { "galipot" }),
            ]
        })
        .collect();
    let head = ["Doubt", "Claim", "Weight", "What it says", "Status", "Answer", "Raised by"];
    table_or(
        "Doubts that were raised, the open ones first",
        &head,
        &[],
        rows,
        "No doubt was raised against this assembly, neither by galipot nor by a person. Read that as a warning.",
    )
}

/// Things accepted without a test.
pub fn assumptions(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .assumptions
        .iter()
        .filter(|a| a.assemblies.iter().any(|x| x.text == desk.r.id))
        .map(|a| {
            let overdue = a.review_on < desk.assessment.as_of;
            vec![
                vec![desk.at(a.id.text.clone(), a.at)],
                cell(a.text.text.clone()),
                cell(a.basis.text.clone()),
                cell(a.falsifier.text.clone()),
                cell(desk.person(&a.owner)),
                cell(format!("{}{}", a.review_on, if overdue { ", OVERDUE" } else { "" })),
                vec![strong(a.status.word().replace('_', " "))],
                desk.claim_links(a.claims.iter().map(|c| c.text.as_str())),
            ]
        })
        .collect();
    let head = ["Id", "Assumed", "Basis", "Shown wrong by", "Owner", "Review", "Status", "Claims"];
    table_or("Assumptions", &head, &[], rows, "No assumption is on file for this assembly.")
}
