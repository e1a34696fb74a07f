//! Takes something that moved; says whether that is worse or better, and which of two a reader must see first.

use std::cmp::Ordering;

use serde_json::Value;

use super::because::rank;
use super::check::STATES;
use crate::model::changes::{Course, Item, Move, Topic, Way};

fn of(o: Ordering) -> Course {
    match o {
        Ordering::Less => Course::Worse,
        Ordering::Equal => Course::Neither,
        Ordering::Greater => Course::Better,
    }
}

/// Place of a state in rising order; none for not-applicable, which is neither above nor below.
pub fn state(v: &Value) -> Option<usize> {
    STATES[..4].iter().position(|s| v.as_str() == Some(s))
}

/// What one field says of the course; none when it says nothing.
fn field(kind: &str, m: &Move) -> Course {
    let count = |v: &Value| v.as_array().map_or(0, Vec::len);
    match (kind, m.name.as_str()) {
        ("claim" | "place", "state") | ("route", "state" | "wash_state" | "present_state") => {
            match (state(&m.from), state(&m.to)) {
                (Some(a), Some(b)) => of(b.cmp(&a)),
                _ => Course::Neither,
            }
        }
        ("route", "stop_ship") => of(count(&m.from).cmp(&count(&m.to))),
        ("claim" | "place" | "result", "margin") => match (m.from.as_f64(), m.to.as_f64()) {
            (Some(a), Some(b)) => of(b.total_cmp(&a)),
            _ => Course::Neither,
        },
        ("claim" | "validity", "valid_until") => match (m.from.as_str(), m.to.as_str()) {
            (Some(a), Some(b)) => of(b.cmp(a)),
            _ => Course::Neither,
        },
        ("run" | "result", "verdict") => match (m.from.as_str(), m.to.as_str()) {
            (Some(a), Some(b)) => of(rank(b).cmp(&rank(a))),
            _ => Course::Neither,
        },
        ("run", name) if name.starts_with("altered ") => {
            if m.from.is_null() {
                Course::Worse
            } else {
                Course::Better
            }
        }
        ("condition", "complete") => match (m.from.as_bool(), m.to.as_bool()) {
            (Some(a), Some(b)) => of(b.cmp(&a)),
            _ => Course::Neither,
        },
        ("doubt", "status") => of(settled(&m.to).cmp(&settled(&m.from))),
        _ => Course::Neither,
    }
}

/// How far a doubt is settled: confirmed, open, accepted, refuted.
fn settled(status: &Value) -> usize {
    ["confirmed", "open", "accepted", "noted", "refuted"].iter().position(|s| status.as_str() == Some(s)).unwrap_or(3)
}

/// Fields that say where a change leads, the weightiest first.
const WEIGHTY: [&str; 9] =
    ["state", "wash_state", "present_state", "stop_ship", "verdict", "status", "complete", "margin", "valid_until"];

/// Where a change leads: the weightiest field that says so decides, so that the way back is the reverse.
pub fn course(kind: &str, way: Way, moves: &[Move]) -> Course {
    let value =
        |name: &str| moves.iter().find(|m| m.name == name).map(|m| if way == Way::Added { &m.to } else { &m.from });
    let open = |v: Option<&Value>| v.is_some_and(|s| settled(s) < 2);
    let bad = |v: Option<&Value>| v.and_then(Value::as_str).is_some_and(|s| ["fail", "inadmissible"].contains(&s));
    let speaks_against = match kind {
        "doubt" => open(value("status")),
        "run" | "result" => bad(value("verdict")),
        "claim" => value("state").and_then(state).is_some_and(|s| s < 2),
        _ => false,
    };
    match way {
        Way::Added if speaks_against => Course::Worse,
        Way::Removed if speaks_against => Course::Better,
        Way::Added | Way::Removed => Course::Neither,
        Way::Changed => WEIGHTY
            .iter()
            .filter_map(|w| moves.iter().find(|m| m.name == *w))
            .chain(moves.iter().filter(|m| m.name.starts_with("altered ")))
            .map(|m| field(kind, m))
            .find(|c| *c != Course::Neither)
            .unwrap_or(Course::Neither),
    }
}

/// What a reader must see first: by topic; the worse first; the route before claims, claims before places; the tree of
/// leaving first; the lowest new state, the deepest fall, the largest move; causes before what they cause; then by id.
pub fn compare(a: &Item, b: &Item) -> Ordering {
    let kind = |i: &Item| match i.kind {
        "route" | "validity" | "condition" | "run" | "tool" => 0,
        "claim" | "criterion" => 1,
        "place" => 2,
        _ => 3,
    };
    let whole = |i: &Item| i.kind == "route" || i.kind == "validity";
    let height = |i: &Item| i.moved("state").and_then(|m| state(&m.to)).unwrap_or(9);
    let fall = |i: &Item| {
        let both = i.moved("state").and_then(|m| Some((state(&m.from)?, state(&m.to)?)));
        both.map_or(0, |(a, b)| b as i64 - a as i64)
    };
    let size = |i: &Item| {
        let both = i.moved("margin").or(i.moved("value")).and_then(|m| Some((m.from.as_f64()?, m.to.as_f64()?)));
        both.map_or(0.0, |(a, b)| (b - a).abs() / a.abs().max(b.abs()).max(f64::MIN_POSITIVE))
    };
    let tree = |i: &Item| ['C', 'W', 'P'].iter().position(|t| i.id.starts_with(*t)).unwrap_or(3);
    a.topic
        .cmp(&b.topic)
        .then_with(|| whole(b).cmp(&whole(a)))
        .then_with(|| a.course.cmp(&b.course))
        .then_with(|| kind(a).cmp(&kind(b)))
        .then_with(|| if a.topic == Topic::States { tree(a).cmp(&tree(b)) } else { Ordering::Equal })
        .then_with(|| height(a).cmp(&height(b)))
        .then_with(|| fall(a).cmp(&fall(b)))
        .then_with(|| a.combines.cmp(&b.combines))
        .then_with(|| if a.topic == Topic::Numbers { size(b).total_cmp(&size(a)) } else { Ordering::Equal })
        .then_with(|| natural(&a.id, &b.id))
        .then_with(|| a.kind.cmp(b.kind))
}

/// Ids in the order in which a person counts: C3.2 before C3.10.
fn natural(a: &str, b: &str) -> Ordering {
    let parts = |s: &str| -> Vec<(u64, String)> {
        let mut out: Vec<(u64, String)> = Vec::new();
        let mut digits = String::new();
        let mut rest = String::new();
        for c in s.chars().chain(['\0']) {
            if c.is_ascii_digit() {
                digits.push(c);
                continue;
            }
            if !digits.is_empty() {
                out.push((digits.parse().unwrap_or(u64::MAX), std::mem::take(&mut rest)));
                digits.clear();
            }
            rest.push(c);
        }
        out.push((u64::MAX, rest));
        out
    };
    let key = |s: &str| parts(s).into_iter().map(|(n, t)| (t, n)).collect::<Vec<_>>();
    key(a).cmp(&key(b)).then_with(|| a.cmp(b))
}
