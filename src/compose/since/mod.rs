//! Takes what moved between two records; gives it as a chapter, as a document, as a screen, and for machines.

mod human;
mod page;
mod rows;
mod words;

pub use human::human;
pub use page::document;

use serde_json::{Value, json};

use super::desk::Desk;
use super::ink;
use crate::model::changes::{Changes, Item, Side};
use crate::model::document::Block;

/// Name and version of the schema of the machine output.
pub const SCHEMA: &str = "galipot.compare/1";

/// What moved since the revision before; one sentence when there is none.
pub fn since(desk: &Desk) -> Vec<Block> {
    let Some(c) = desk.since else {
        return vec![ink::says("No revision of this dossier was issued before: there is nothing to compare it with.")];
    };
    let mut out = page::opening(c);
    out.extend(page::moved(c));
    out.push(ink::heading(2, "What did not move"));
    out.extend(page::still(c));
    out
}

/// Everything that moved, as JSON.
pub fn json(c: &Changes) -> Value {
    let side = |s: &Side| {
        let rejection = s
            .stood
            .as_ref()
            .and_then(|x| x.rejection.as_ref())
            .map(|r| json!({"person": r.person, "name": r.name, "role": r.role, "date": r.on, "reason": r.reason}));
        json!({"document": s.document, "revision": s.revision, "status": s.status, "stood": s.stood.as_ref().map(|x| &x.standing),
            "rejection": rejection, "assembly": s.assembly,
            "assembly_revision": s.assembly_revision, "as_of": s.as_of, "route": s.route, "waivers": s.waivers, "tool": s.tool, "digest": s.digest,
            "record": s.record})
    };
    let counts: Vec<Value> = c
        .counts
        .iter()
        .map(|n| {
            json!({"topic": n.topic.word(), "kind": n.kind, "old": n.old, "new": n.new, "same": n.same,
                "within_noise": n.within_noise})
        })
        .collect();
    json!({
        "schema": SCHEMA,
        "old": side(&c.old),
        "new": side(&c.new),
        "same_document": c.same_document(),
        "states_moved": c.states_moved(),
        "summary": rows::summary(c),
        "changes": c.items.iter().map(item).collect::<Vec<_>>(),
        "within_noise": c.noise.iter().map(item).collect::<Vec<_>>(),
        "counts": counts,
    })
}

fn item(i: &Item) -> Value {
    let moves: Vec<Value> = i.moves.iter().map(|m| json!({"field": m.name, "from": m.from, "to": m.to})).collect();
    json!({"topic": i.topic.word(), "kind": i.kind, "id": i.id, "title": i.title, "way": i.way.word(),
        "course": i.course.word(), "unit": i.unit, "moves": moves, "because": i.because})
}
