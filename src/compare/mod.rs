//! Takes two records; gives what moved between them, in order of consequence, and how much did not.
//!
//! Things are followed by their ids: the order of a list never matters, and a thing with a new id is one that went and
//! one that came. `shape.rs` says what is not compared.

mod because;
mod check;
mod order;
mod pair;
mod shape;

pub use check::check;

use serde_json::Value;

use crate::model::changes::{Changes, Count, Item, Move, Topic, Way};
use pair::{moved, paired};
use shape::{Entry, Things, side, things};

/// What moved from `old` to `new`.
///
/// # Errors
/// Every reason why one of them is no record, in words.
pub fn compare(old: &Value, new: &Value) -> Result<Changes, Vec<String>> {
    let mut refused: Vec<String> = check(old).into_iter().map(|p| format!("the old record: {p}")).collect();
    refused.extend(check(new).into_iter().map(|p| format!("the new record: {p}")));
    if !refused.is_empty() {
        return Err(refused);
    }
    let (was, is) = (things(old), things(new));
    let voices = |all: &[(&'static str, Topic, Things)]| {
        all.iter().find(|t| t.0 == "result").map(|t| t.2.clone()).unwrap_or_default()
    };
    let said = (voices(&was), voices(&is));
    let mut out = Changes { old: side(old), new: side(new), items: Vec::new(), noise: Vec::new(), counts: Vec::new() };
    for ((kind, topic, a), (_, _, b)) in was.iter().zip(&is) {
        one_kind(&mut out, kind, *topic, (a, b), (&said.0, &said.1));
    }
    // A place moves with its claim: where that moved by more, its small numbers are no news of their own.
    let moved = |id: &str| {
        let claim = id.split(' ').next().unwrap_or_default();
        out.items.iter().any(|i| i.kind == "claim" && i.topic == Topic::Numbers && i.id == claim)
    };
    let noise: Vec<Item> = out.noise.iter().filter(|i| i.kind != "place" || !moved(&i.id)).cloned().collect();
    out.noise = noise;
    out.items.sort_by(order::compare);
    out.noise.sort_by(order::compare);
    Ok(out)
}

fn one_kind(out: &mut Changes, kind: &'static str, topic: Topic, (a, b): (&Things, &Things), said: (&Things, &Things)) {
    let number = |t: &Things| t.values().map(Vec::len).sum();
    let mut count = Count { topic, kind, old: number(a), new: number(b), same: 0, within_noise: 0 };
    let mut states = 0;
    let none = Vec::new();
    let ids: std::collections::BTreeSet<&String> = a.keys().chain(b.keys()).collect();
    for id in ids {
        let (pairs, gone, came) = paired(a.get(id).unwrap_or(&none), b.get(id).unwrap_or(&none));
        for (old, new) in pairs {
            states += usize::from(old.get("state") == new.get("state"));
            if old.fields == new.fields {
                count.same += 1;
                continue;
            }
            let m = moved(old, new);
            match (m.loud.is_empty(), m.quiet.is_empty()) {
                (true, true) => count.same += 1,
                (true, false) => count.within_noise += 1,
                _ => {}
            }
            if !m.quiet.is_empty() && !m.loud.iter().any(|l| kind != "claim" || l.0 == Topic::Numbers) {
                let topic = if kind == "claim" { Topic::Numbers } else { topic };
                out.noise.push(item(new, topic, Way::Changed, m.quiet));
            }
            for topic in Topic::ALL {
                let moves: Vec<Move> = m.loud.iter().filter(|l| l.0 == topic).map(|l| l.1.clone()).collect();
                if moves.is_empty() {
                    continue;
                }
                let mut i = item(new, topic, Way::Changed, moves);
                if kind == "claim" && topic == Topic::States {
                    i.because = because::because(old, new, said);
                }
                if kind == "run"
                    && old.get("planned") == &Value::Bool(true)
                    && old.get("kind").is_null()
                    && !new.get("kind").is_null()
                {
                    i.because.push("planned before, reported now".into());
                }
                out.items.push(i);
            }
        }
        for (entries, way) in [(gone, Way::Removed), (came, Way::Added)] {
            for e in entries {
                let all = e.fields.iter().filter(|f| !f.1.is_null()).map(|(name, v)| match way {
                    Way::Removed => Move { name: name.clone(), from: v.clone(), to: Value::Null },
                    _ => Move { name: name.clone(), from: Value::Null, to: v.clone() },
                });
                out.items.push(item(e, topic, way, all.collect()));
            }
        }
    }
    if kind == "claim" {
        out.counts.push(Count { kind: "state", same: states, within_noise: 0, ..count.clone() });
    }
    out.counts.push(count);
}

fn item(e: &Entry, topic: Topic, way: Way, moves: Vec<Move>) -> Item {
    Item {
        topic,
        kind: e.kind,
        id: e.id.clone(),
        title: e.title.clone(),
        way,
        course: order::course(e.kind, way, &moves),
        unit: e.text("unit").to_string(),
        combines: e.kind == "claim" && e.get("leaf") == &Value::Bool(false),
        moves,
        because: Vec::new(),
    }
}
