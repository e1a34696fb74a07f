//! Takes a record that was checked; gives what is compared: every thing by its id, with its fields side by side.
//!
//! Not compared, because they move whenever a line is added above or a calculation is put before another: places in
//! files (`at`, `place` of an origin, fields that name them) and the numbers of workings (`W0007`).

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use crate::model::changes::{Side, Topic};

/// A list of a record.
pub struct List {
    pub field: &'static str,
    pub kind: &'static str,
    pub topic: Topic,
    /// Fields that together are the id.
    pub key: &'static [&'static str],
    /// Field that says what it is about.
    pub title: &'static str,
    /// Records of earlier versions lack it.
    pub optional: bool,
}

const fn list(
    field: &'static str,
    kind: &'static str,
    topic: Topic,
    key: &'static [&'static str],
    title: &'static str,
) -> List {
    List { field, kind, topic, key, title, optional: false }
}

/// Every list whose members have an id.
pub const LISTS: &[List] = &[
    list("claims", "claim", Topic::States, &["id"], "title"),
    list("conditions", "condition", Topic::Conditions, &["id"], "text"),
    list("runs", "run", Topic::Evidence, &["id"], "title"),
    list("criteria", "criterion", Topic::Criteria, &["id"], "quantity"),
    list("defeaters", "doubt", Topic::Doubts, &["id"], "text"),
    list("assumptions", "assumption", Topic::Doubts, &["id"], "text"),
    List { optional: true, ..list("comments", "remark", Topic::Remarks, &["id"], "text") },
    List { optional: true, ..list("bridges", "bridge", Topic::Doubts, &["id"], "reason") },
    List { optional: true, ..list("waivers", "waiver", Topic::Doubts, &["id"], "scope") },
    list("what_if", "replaced value", Topic::Product, &["path"], ""),
    list("coverage", "comparison", Topic::Coverage, &["claim", "place", "run", "cell", "pattern"], ""),
    list("triads", "critical place", Topic::Coverage, &["place"], "why_critical"),
    list("workings", "calculation", Topic::Calculations, &["calc", "subject"], ""),
    list("manifest", "file", Topic::Inputs, &["path"], ""),
    list("built_in", "built-in file", Topic::Program, &["path"], ""),
    list("templates", "template", Topic::Program, &["file"], ""),
];

/// Parts of a record that are one thing each: kind, topic, id, fields of the record.
const PARTS: &[(&str, Topic, &str, &[&str])] = &[
    ("route", Topic::States, "route", &["route", "state", "wash_state", "present_state", "interim", "stop_ship"]),
    ("conditions of the route", Topic::Conditions, "conditions of the route", &["route_conditions"]),
    ("validity", Topic::Numbers, "validity", &["valid_until", "valid_until_from"]),
    ("dossier", Topic::Product, "dossier", &["document", "as_of", "environment"]),
    ("assembly", Topic::Product, "assembly", &["assembly"]),
    ("process", Topic::Product, "process", &["process"]),
    ("count", Topic::Evidence, "runs", &["run_count"]),
    ("unused", Topic::Evidence, "unused", &["unused"]),
    ("tool", Topic::Program, "tool", &["tool"]),
];

/// Fields that are not compared, wherever they stand.
const SKIPPED: [&str; 3] = ["at", "working", "workings"];

/// One thing of a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub topic: Topic,
    pub kind: &'static str,
    pub id: String,
    pub title: String,
    /// What a move of its value must exceed to be one, in its unit; 0 when nothing is known.
    pub worth: f64,
    pub fields: BTreeMap<String, Value>,
}

impl Entry {
    /// A field; null when there is none.
    pub fn get(&self, field: &str) -> &Value {
        self.fields.get(field).unwrap_or(&Value::Null)
    }

    /// A field as text; empty when it is none.
    pub fn text(&self, field: &str) -> &str {
        self.get(field).as_str().unwrap_or_default()
    }
}

/// Things of one kind, by id. An id that several things share has several members.
pub type Things = BTreeMap<String, Vec<Entry>>;

/// Who a record is of.
pub fn side(record: &Value) -> Side {
    let text = |v: &Value| v.as_str().unwrap_or_default().to_string();
    let (d, a) = (&record["document"], &record["assembly"]);
    Side {
        document: text(&d["number"]),
        revision: text(&d["revision"]),
        status: text(&d["status"]),
        stood: None,
        assembly: text(&a["id"]),
        assembly_revision: text(&a["revision"]),
        as_of: text(&record["as_of"]),
        route: text(&record["route"]),
        waivers: waivers(record),
        tool: [text(&record["tool"]["name"]), text(&record["tool"]["version"])].join(" ").trim().to_string(),
        digest: None,
        record: String::new(),
    }
}

/// Waivers among what the route rests on.
fn waivers(record: &Value) -> Vec<String> {
    let map = record.as_object();
    let known: Vec<String> = objects(map.and_then(|m| m.get("waivers"))).map(|w| text(w, "id")).collect();
    let rests = record["route_conditions"].as_array().into_iter().flatten().filter_map(Value::as_str);
    rests.filter(|id| known.iter().any(|k| k == id)).map(str::to_string).collect()
}

/// Every thing of a record, kind by kind in the order in which kinds are listed.
pub fn things(record: &Value) -> Vec<(&'static str, Topic, Things)> {
    let empty = Map::new();
    let map = record.as_object().unwrap_or(&empty);
    let mut out = Vec::new();
    for (kind, topic, id, fields) in PARTS {
        let mut flat = BTreeMap::new();
        for f in *fields {
            // The name of the part itself says nothing about its fields.
            let own = fields.len() == 1;
            let name = if own { "" } else { f };
            flatten(map.get(*f).unwrap_or(&Value::Null), name, &mut flat);
        }
        let entry = Entry { topic: *topic, kind, id: (*id).into(), title: String::new(), worth: 0.0, fields: flat };
        out.push((*kind, *topic, Things::from([((*id).to_string(), vec![entry])])));
    }
    for list in LISTS {
        let mut things = Things::new();
        for m in objects(map.get(list.field)) {
            add(&mut things, entry(list, m));
        }
        out.push((list.kind, list.topic, things));
    }
    let (mut places, mut voices) = (Things::new(), Things::new());
    for claim in objects(map.get("claims")) {
        let (id, title) = (text(claim, "id"), text(claim, "title"));
        let guard = number(claim, "guard");
        for p in objects(claim.get("places")) {
            let said = objects(claim.get("voices"))
                .find(|v| ["run", "unit", "value"].iter().all(|f| v.get(*f) == p.get(*f)))
                .map(|v| number(v, "guard"));
            let of_claim = if claim.get("unit") == p.get("unit") { guard } else { 0.0 };
            let id = format!("{id} {}", text(p, "place"));
            let worth = said.unwrap_or(of_claim);
            add(&mut places, inner(Topic::Numbers, "place", id, &title, worth, p));
        }
        for v in objects(claim.get("voices")) {
            let key = ["run", "cell", "pattern", "criterion"].map(|f| text(v, f));
            add(
                &mut voices,
                inner(Topic::Evidence, "result", format!("{id} {}", key.join(" ")), &title, number(v, "guard"), v),
            );
        }
    }
    out.push(("place", Topic::Numbers, places));
    out.push(("result", Topic::Evidence, voices));
    let known = |f: &String| {
        f == "schema" || LISTS.iter().any(|l| l.field == f) || PARTS.iter().any(|p| p.3.contains(&f.as_str()))
    };
    let mut other = Things::new();
    for (name, value) in map.iter().filter(|(f, _)| !known(f)) {
        let mut flat = BTreeMap::new();
        flatten(value, "", &mut flat);
        add(
            &mut other,
            Entry {
                topic: Topic::Other,
                kind: "part",
                id: name.clone(),
                title: String::new(),
                worth: 0.0,
                fields: flat,
            },
        );
    }
    out.push(("part", Topic::Other, other));
    out
}

fn add(things: &mut Things, e: Entry) {
    things.entry(e.id.clone()).or_default().push(e);
}

fn objects(list: Option<&Value>) -> impl Iterator<Item = &Map<String, Value>> {
    list.and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_object)
}

fn text(map: &Map<String, Value>, field: &str) -> String {
    map.get(field).and_then(Value::as_str).unwrap_or_default().to_string()
}

/// A number above 0, else 0.
fn number(map: &Map<String, Value>, field: &str) -> f64 {
    map.get(field).and_then(Value::as_f64).filter(|x| x.is_finite() && *x > 0.0).unwrap_or(0.0)
}

fn inner(topic: Topic, kind: &'static str, id: String, title: &str, worth: f64, map: &Map<String, Value>) -> Entry {
    let mut fields = BTreeMap::new();
    flatten_map(map, "", &[], &mut fields);
    Entry { topic, kind, id, title: title.to_string(), worth, fields }
}

fn entry(list: &List, map: &Map<String, Value>) -> Entry {
    let key: Vec<String> = list.key.iter().map(|k| text(map, k)).collect();
    let mut fields = BTreeMap::new();
    let apart: &[&str] = match list.kind {
        "claim" => &["places", "voices"],
        "calculation" => &["id"],
        _ => &[],
    };
    flatten_map(map, "", apart, &mut fields);
    let worth = if list.kind == "claim" { number(map, "guard") } else { 0.0 };
    Entry { topic: list.topic, kind: list.kind, id: key.join(" "), title: text(map, list.title), worth, fields }
}

fn flatten_map(map: &Map<String, Value>, prefix: &str, apart: &[&str], out: &mut BTreeMap<String, Value>) {
    for (name, value) in map {
        if SKIPPED.contains(&name.as_str()) || apart.contains(&name.as_str()) {
            continue;
        }
        flatten(value, &joined(prefix, name), out);
    }
}

fn joined(prefix: &str, name: &str) -> String {
    if prefix.is_empty() { name.to_string() } else { format!("{prefix} {name}") }
}

/// Field that names the members of a list inside a thing.
fn inner_key(name: &str) -> Option<&'static str> {
    match name.rsplit(' ').next().unwrap_or_default() {
        "gates" => Some("gate"),
        "files" | "altered" => Some("path"),
        "cells" => Some("dimension"),
        "legs" => Some("leg"),
        "inputs" | "outputs" => Some("symbol"),
        _ => None,
    }
}

/// A value as fields: objects by name, lists of objects by the key of their members, other lists as sorted sets.
fn flatten(value: &Value, name: &str, out: &mut BTreeMap<String, Value>) {
    match value {
        // Where an input of a calculation comes from is followed by its value, not by file and line.
        Value::Object(m) if name == "origin" || name.ends_with(" origin") => {
            flatten_map(m, name, &["place"], out);
        }
        Value::Object(m) => flatten_map(m, name, &[], out),
        Value::Array(list) => match inner_key(name) {
            Some(key) if list.iter().all(|v| v.get(key).is_some_and(Value::is_string)) => {
                let mut members: Vec<(String, BTreeMap<String, Value>)> = Vec::new();
                for m in list.iter().filter_map(Value::as_object) {
                    let mut fields = BTreeMap::new();
                    flatten_map(m, "", &[key], &mut fields);
                    members.push((text(m, key), fields));
                }
                // Members that share a key are told apart by what they say, not by where they stand.
                members.sort_by_cached_key(|(k, f)| (k.clone(), json!(f).to_string()));
                let mut last = (String::new(), 0);
                for (k, fields) in members {
                    last = if last.0 == k { (k, last.1 + 1) } else { (k, 1) };
                    let who = if last.1 == 1 { last.0.clone() } else { format!("{} ({})", last.0, last.1) };
                    let who = joined(name, &who);
                    out.insert(who.clone(), json!(true));
                    out.extend(fields.into_iter().map(|(f, v)| (joined(&who, &f), v)));
                }
            }
            _ => {
                let mut set: Vec<Value> = list.iter().map(member).collect();
                // A window has a begin and an end; all other lists are sets.
                if !name.ends_with("window") {
                    set.sort_by_cached_key(Value::to_string);
                }
                out.insert(if name.is_empty() { "list".into() } else { name.to_string() }, Value::Array(set));
            }
        },
        v => {
            out.insert(if name.is_empty() { "value".into() } else { name.to_string() }, v.clone());
        }
    }
}

/// A member of a set: words as they are; of an object its fields without places, as words.
fn member(v: &Value) -> Value {
    let Some(m) = v.as_object() else { return v.clone() };
    let mut fields = BTreeMap::new();
    flatten_map(m, "", &[], &mut fields);
    let words = |f: &str| fields.get(f).and_then(Value::as_str).unwrap_or_default();
    match (words("code"), words("detail"), words("text")) {
        (code, "", text) if !code.is_empty() && fields.len() <= 3 => json!(format!("{code}: {text}")),
        (code, detail, text) if !code.is_empty() && fields.len() <= 3 => json!(format!("{code}({detail}): {text}")),
        ("", "", text) if !text.is_empty() && fields.len() == 1 => json!(text),
        _ => json!(json!(fields).to_string()),
    }
}
