//! Takes JSON; says why it is no record that can be compared, everything at once.

use serde_json::{Map, Value};

use super::shape::{LISTS, List};

/// The schema that is compared.
pub const SCHEMA: &str = "galipot.record/1";
/// Words for the state of a claim, in rising order; the last is left out of every combination.
pub const STATES: [&str; 5] = ["contradicted", "not-yet", "with-conditions", "supported", "not-applicable"];
const ROUTES: [&str; 6] =
    ["leave", "leave-with-conditions", "wash-saponified", "keep-present", "no-supported-route", "not-yet"];
/// Most complaints that are listed.
const MOST: usize = 20;

/// Every reason why this is no record; none when it is one.
pub fn check(record: &Value) -> Vec<String> {
    let Some(map) = record.as_object() else {
        return vec!["it is no JSON object".into()];
    };
    match map.get("schema").and_then(Value::as_str) {
        Some(SCHEMA) if map.keys().any(|k| k.starts_with("withheld ")) => {
            return vec![
                "it is the record of a copy for one reader, which leaves parts out; compare whole records".into(),
            ];
        }
        Some(SCHEMA) => {}
        Some(other) => return vec![format!("its schema is \"{}\", not {SCHEMA}", short(other))],
        None => return vec![format!("it names no schema; a record names {SCHEMA}")],
    }
    let mut c = Complaints(Vec::new());
    for (part, fields) in [("document", ["number", "revision"]), ("assembly", ["id", "revision"])] {
        match map.get(part).and_then(Value::as_object) {
            None => c.say(format!("{part} is missing or no object")),
            Some(m) => fields.iter().for_each(|f| c.text(m, f, part)),
        }
    }
    c.text(map, "as_of", "the record");
    c.word(map, "route", &ROUTES, "the record");
    for f in ["state", "wash_state", "present_state"] {
        c.word(map, f, &STATES, "the record");
    }
    for list in LISTS {
        c.list(map, list);
    }
    let more = c.0.len().saturating_sub(MOST);
    c.0.truncate(MOST);
    if more > 0 {
        c.0.push(format!("and {more} more"));
    }
    c.0
}

fn short(text: &str) -> String {
    text.chars().take(60).collect::<String>().escape_debug().to_string()
}

struct Complaints(Vec<String>);

impl Complaints {
    fn say(&mut self, text: String) {
        self.0.push(text);
    }

    fn text(&mut self, map: &Map<String, Value>, field: &str, whose: &str) {
        if !map.get(field).is_some_and(Value::is_string) {
            self.say(format!("{whose}: {field} is missing or no text"));
        }
    }

    fn word(&mut self, map: &Map<String, Value>, field: &str, words: &[&str], whose: &str) {
        match map.get(field).and_then(Value::as_str) {
            Some(w) if words.contains(&w) => {}
            Some(w) => self.say(format!("{whose}: {field} is \"{}\"; it is one of {}", short(w), words.join(", "))),
            None => self.say(format!("{whose}: {field} is missing or no text")),
        }
    }

    fn entries<'a>(
        &mut self,
        map: &'a Map<String, Value>,
        field: &str,
        whose: &str,
    ) -> Vec<(String, &'a Map<String, Value>)> {
        let Some(all) = map.get(field).and_then(Value::as_array) else {
            self.say(format!("{whose}: {field} is missing or no list"));
            return Vec::new();
        };
        let mut out = Vec::new();
        for (i, e) in all.iter().enumerate() {
            match e.as_object() {
                Some(m) => out.push((format!("{field}[{i}]"), m)),
                None => self.say(format!("{whose}: {field}[{i}] is no object")),
            }
        }
        out
    }

    fn list(&mut self, map: &Map<String, Value>, list: &List) {
        if list.optional && !map.contains_key(list.field) {
            return;
        }
        for (name, e) in self.entries(map, list.field, "the record") {
            list.key.iter().for_each(|k| self.text(e, k, &name));
            if list.kind == "claim" {
                self.claim(e, &name);
            }
        }
    }

    fn claim(&mut self, claim: &Map<String, Value>, name: &str) {
        self.word(claim, "state", &STATES, name);
        self.text(claim, "tree", name);
        self.numbers(claim, &["value", "limit", "guard", "margin"], name);
        for f in ["runs", "conditions", "bridges", "waivers", "codes"] {
            let texts = claim.get(f).and_then(Value::as_array).is_some_and(|l| l.iter().all(Value::is_string));
            if !texts {
                self.say(format!("{name}: {f} is missing or no list of texts"));
            }
        }
        for (inner, e) in self.entries(claim, "reasons", name) {
            self.text(e, "code", &format!("{name}.{inner}"));
        }
        for (inner, e) in self.entries(claim, "places", name) {
            let whose = format!("{name}.{inner}");
            self.text(e, "place", &whose);
            self.word(e, "state", &STATES, &whose);
            self.numbers(e, &["value", "limit", "margin"], &whose);
        }
        for (inner, e) in self.entries(claim, "voices", name) {
            let whose = format!("{name}.{inner}");
            ["run", "cell", "pattern", "criterion", "verdict"].iter().for_each(|k| self.text(e, k, &whose));
            self.numbers(e, &["value", "limit", "guard", "margin"], &whose);
        }
    }

    fn numbers(&mut self, map: &Map<String, Value>, fields: &[&str], whose: &str) {
        for f in fields {
            if !map.get(*f).is_some_and(|v| v.is_null() || v.is_number()) {
                self.say(format!("{whose}: {f} is missing, and neither a number nor null"));
            }
        }
    }
}
