//! Takes what moved between two records; gives the blocks of the chapter, and the whole document that compare writes.

use super::rows::{Row, called, heading, plural, rejected, rows, stands, summary};
use crate::compose::ink::{self, Cell, cell, count, strong, table, text, to};
use crate::model::changes::{Changes, Side, Topic};
use crate::model::document::{Block, Chapter, Document, Inline};

/// Rows of a topic that a page shows; the machine output has all of them.
const MOST: usize = 60;

/// Which two are compared, and what that means for the route.
pub fn opening(c: &Changes) -> Vec<Block> {
    let side = |s: &Side| {
        let mut said = cell(format!("revision {} ({}, as of {}", s.revision, stands(s), s.as_of));
        if let Some(d) = &s.digest {
            said.extend([text(", content digest "), Inline::Code(d.clone())]);
        }
        said.push(text(")"));
        said
    };
    let mut out = Vec::new();
    if !c.same_document() {
        out.push(Block::Caution(cell(format!(
            "These are two documents: {} of {} and {} of {}. What differs between them is not what moved in time.",
            c.old.document, c.old.assembly, c.new.document, c.new.assembly
        ))));
    }
    let compared =
        [vec![text("Compared: ")], side(&c.old), vec![text(", before, with ")], side(&c.new), vec![text(", now.")]];
    out.push(Block::Paragraph(compared.concat()));
    for s in [&c.old, &c.new] {
        out.extend(rejected(s).map(|words| Block::Caution(cell(words))));
    }
    out.push(Block::Paragraph(vec![strong(summary(c))]));
    out
}

/// Every topic in which something moved.
pub fn moved(c: &Changes) -> Vec<Block> {
    let mut out = Vec::new();
    for topic in Topic::ALL {
        let mut all = rows(c, topic);
        if all.is_empty() {
            continue;
        }
        let more = all.len().saturating_sub(MOST);
        all.truncate(MOST);
        out.push(ink::heading(2, heading(topic)));
        let mut blocks = vec![of(topic, &all)];
        if more > 0 {
            blocks.push(ink::says(format!("And {more} more, which the machine output of galipot compare lists.")));
        }
        if matches!(topic, Topic::Coverage | Topic::Calculations | Topic::Inputs | Topic::Claims) {
            let summary = vec![count(all.len() + more), text(" that moved, came or went")];
            blocks = vec![Block::Fold { summary, blocks }];
        }
        out.extend(blocks);
    }
    if out.is_empty() {
        out.push(ink::says("Nothing moved."));
    }
    out
}

/// What it is: its kind where that is no id of its own, its id, its title.
fn who(r: &Row, kind: bool) -> Cell {
    let mut out = if kind && r.kind != r.who { cell(format!("{} ", r.kind)) } else { Vec::new() };
    out.push(if r.anchor.is_empty() { text(r.who.clone()) } else { to(r.anchor.clone(), r.who.clone()) });
    if !r.title.is_empty() {
        out.push(text(format!(": {}", r.title)));
    }
    out
}

fn of(topic: Topic, all: &[Row]) -> Block {
    // Each reason on its own line: a claim may have a dozen.
    let lines = |r: &Row| -> Cell {
        r.details
            .iter()
            .enumerate()
            .flat_map(|(i, d)| (i > 0).then_some(Inline::Break).into_iter().chain(cell(d.clone())))
            .collect()
    };
    let details = |r: &Row| if r.details.is_empty() { cell("no reason is recorded") } else { lines(r) };
    if topic == Topic::States {
        let rows = all
            .iter()
            .map(|r| {
                let state = |s: &str| if s.is_empty() { cell("see why") } else { cell(s) };
                vec![who(r, false), state(&r.from), state(&r.to), vec![strong(r.how)], details(r)]
            })
            .collect();
        return table("States that moved, the worst first", &["What", "Was", "Is", "Way", "Why"], &[], rows);
    }
    let rows = all
        .iter()
        .map(|r| {
            let said = if r.details.is_empty() { cell("whole") } else { lines(r) };
            vec![who(r, true), vec![strong(r.how)], said]
        })
        .collect();
    table(heading(topic), &["What", "Way", "From what to what"], &[], rows)
}

/// How much was compared, and how much of it is the same.
pub fn still(c: &Changes) -> Vec<Block> {
    let rows = c
        .counts
        .iter()
        .filter(|n| !plural(n.kind).is_empty() && n.old + n.new > 0)
        .map(|n| {
            let cells = [n.old, n.new, n.same, n.within_noise].map(|x| vec![count(x)]);
            let mut row = vec![cell(plural(n.kind))];
            row.extend(cells);
            row
        })
        .collect();
    vec![
        ink::says(
            "A number that moved by less than its guard band, or by less than its printed digits where it has none, \
             moved within noise. Nothing else than what stands above differs.",
        ),
        table("What was compared", &["What", "Before", "Now", "The same", "Within noise"], &[1, 2, 3, 4], rows),
    ]
}

/// The document that `compare` writes.
pub fn document(c: &Changes) -> Document {
    let side =
        |s: &Side| format!("{} revision {}, {}, as of {}, {}", s.document, s.revision, stands(s), s.as_of, s.tool);
    let mut identity = vec![
        ("Assembly".to_string(), format!("{} revision {}", c.new.assembly, c.new.assembly_revision)),
        ("Before".to_string(), side(&c.old)),
        ("Now".to_string(), side(&c.new)),
    ];
    for (when, s) in [("before", &c.old), ("now", &c.new)] {
        identity.push(match &s.digest {
            Some(d) => (format!("Content digest {when}"), d.clone()),
            None => (format!("SHA-256 of the record {when}"), s.record.clone()),
        });
    }
    let mark = match c.new.status.as_str() {
        "draft" => Some("DRAFT".to_string()),
        "what-if" => Some("WHAT-IF".to_string()),
        _ => None,
    };
    let mut blocks = opening(c);
    blocks.extend(moved(c));
    let chapter = |name: &str, number: &str, title: &str, blocks| Chapter {
        name: name.into(),
        number: number.into(),
        title: title.into(),
        audience: "customer".into(),
        blocks,
    };
    Document {
        title: format!("What moved in {} from {} to {}", c.new.document, called(c, &c.old), called(c, &c.new)),
        identity,
        running: format!("{} · {} to {}", c.new.document, called(c, &c.old), called(c, &c.new)),
        mark,
        day: crate::model::Day::parse(&c.new.as_of),
        chapters: vec![
            chapter("moved", "1", "What moved", blocks),
            chapter("still", "2", "What did not move", still(c)),
        ],
    }
}
