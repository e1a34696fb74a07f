//! Takes one thing as it stands in both records; gives what of it moved, apart from what moved less than it is worth.

use std::collections::BTreeSet;

use serde_json::Value;

use super::shape::Entry;
use crate::model::changes::{Move, Topic};
use crate::quantity::significant;

/// What of a thing moved.
#[derive(Debug, Default)]
pub struct Moved {
    /// By more than it is worth, with the topic under which a reader looks for it.
    pub loud: Vec<(Topic, Move)>,
    /// By less than it is worth.
    pub quiet: Vec<Move>,
}

/// Whether two values say the same.
pub fn equal(a: &Value, b: &Value) -> bool {
    match (a.as_f64(), b.as_f64()) {
        (Some(x), Some(y)) => x.total_cmp(&y).is_eq() || x == y,
        _ => a == b,
    }
}

/// Every field that differs.
pub fn moved(old: &Entry, new: &Entry) -> Moved {
    let names: BTreeSet<&String> = old.fields.keys().chain(new.fields.keys()).collect();
    let differs = |n: &&&String| !equal(old.get(n), new.get(n));
    let moves: Vec<Move> = names
        .iter()
        .filter(differs)
        .map(|n| Move { name: (*n).clone(), from: old.get(n).clone(), to: new.get(n).clone() })
        .collect();
    let numeric = |m: &Move| m.from.is_number() && m.to.is_number();
    let noise: Vec<bool> = moves.iter().map(|m| numeric(m) && small(old, new, m)).collect();
    // Words that repeat a number move with it.
    let all_quiet = noise.contains(&true) && moves.iter().zip(&noise).all(|(m, q)| *q || !numeric(m));
    let mut out = Moved::default();
    for (m, quiet) in moves.into_iter().zip(noise) {
        if quiet || all_quiet && echo(&m) {
            out.quiet.push(m);
        } else {
            out.loud.push((topic(new, &m.name), m));
        }
    }
    out
}

/// Whether a number moved by no more than it is worth: its guard band, which holds the uncertainty of its measurement; or
/// its printed digits where there is none. What limit or guard band moved is never noise.
fn small(old: &Entry, new: &Entry, m: &Move) -> bool {
    let (Some(from), Some(to)) = (m.from.as_f64(), m.to.as_f64()) else { return false };
    if old.kind == "calculation" {
        let Some(symbol) = m.name.strip_suffix(" value") else { return false };
        let unit = new.text(&format!("{symbol} unit"));
        return printed(from, unit) == printed(to, unit);
    }
    let steady = ["limit", "guard", "unit", "criterion"].iter().all(|f| equal(old.get(f), new.get(f)));
    if !["claim", "place", "result"].contains(&old.kind) || !["value", "margin"].contains(&m.name.as_str()) || !steady {
        return false;
    }
    let worth = old.worth.max(new.worth);
    if worth > 0.0 {
        (to - from).abs() <= worth
    } else {
        printed(from, new.text("unit")) == printed(to, new.text("unit"))
    }
}

/// A number with the digits that a page gives it.
fn printed(x: f64, unit: &str) -> String {
    let log = ["log10", "lg", "dec"].iter().any(|u| unit.starts_with(u));
    if log { format!("{x:.2}") } else { significant(x, 3) }
}

/// Whether words differ in their numbers alone.
fn echo(m: &Move) -> bool {
    let bare =
        |v: &Value| v.as_str().map(|t| t.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect::<String>());
    ["text", "reason"].contains(&m.name.as_str()) && m.from.is_string() && bare(&m.from) == bare(&m.to)
}

/// Under which topic a reader looks for a field.
fn topic(e: &Entry, field: &str) -> Topic {
    match (e.kind, field) {
        ("claim" | "place", "state") => Topic::States,
        (
            "claim",
            "value" | "limit" | "guard" | "margin" | "n" | "unit" | "place" | "valid_until" | "valid_until_from",
        )
        | ("place", "value" | "limit" | "margin" | "unit") => Topic::Numbers,
        ("claim" | "place", _) => Topic::Claims,
        _ => e.topic,
    }
}

/// Members of one id in both records, each with the one that it is most like: first equal ones, then those of one unit,
/// then in order of what they say.
pub fn paired<'a>(old: &'a [Entry], new: &'a [Entry]) -> (Vec<(&'a Entry, &'a Entry)>, Vec<&'a Entry>, Vec<&'a Entry>) {
    let sorted = |l: &'a [Entry]| {
        let mut all: Vec<&Entry> = l.iter().collect();
        if all.len() > 1 {
            all.sort_by_cached_key(|e| serde_json::json!(e.fields).to_string());
        }
        all
    };
    let (mut left, mut right) = (sorted(old), sorted(new));
    let mut pairs = Vec::new();
    let alike: [fn(&Entry, &Entry) -> bool; 3] =
        [|a, b| a.fields == b.fields, |a, b| a.get("unit") == b.get("unit"), |_, _| true];
    for like in alike {
        left.retain(|a| match right.iter().position(|b| like(a, b)) {
            Some(i) => {
                pairs.push((*a, right.remove(i)));
                false
            }
            None => true,
        });
    }
    (pairs, left, right)
}
