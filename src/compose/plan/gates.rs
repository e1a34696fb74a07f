//! Takes the ledger; gives every step that cannot be taken back, open or closed, with what it waits for.

use super::ledger::Ledger;
use crate::compose::ink::{self, cell, strong, text};
use crate::model::document::Block;
use crate::model::planning::GateState;

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = vec![ink::says(
        "A gate is closed until everything that it waits for is true on the day of judgement. A plan may count with a step \
         behind a gate; taking the step before the gate is open is a decision against the evidence.",
    )];
    if l.p.gates.is_empty() {
        out.push(ink::says("The site names no step that cannot be taken back. That is unusual: look again."));
    }
    out.extend(l.p.gates.iter().flat_map(|g| one(l, g)));
    out
}

fn one(l: &Ledger, g: &GateState) -> Vec<Block> {
    let rows = g
        .waits
        .iter()
        .map(|(met, words)| vec![vec![strong(if *met { "met" } else { "NOT MET" })], cell(words.clone())]);
    vec![
        ink::heading(3, format!("{}: {}", g.id, if g.open { "open" } else { "CLOSED" })),
        Block::Paragraph(vec![text(format!("{} ", g.title)), l.place(g.at)]),
        ink::table(&format!("What {} waits for", g.id), &["Stands", "For"], &[], rows.collect()),
    ]
}
