//! Takes cases as JSON, and the files that they name; gives the result of every case under the names of its fields.
//!
//! This is the door for outside checks: thousands of cases in one run, each independent of the others.

mod case;
mod censored;
mod control;
mod humidity;
mod insulation;
mod ions;
mod lines;
mod location;
mod money;
mod proportions;
mod reflow;
mod table;
mod tolerance;
mod uncertainty;
mod weibull;

pub use case::{Case, Fields, number};

use rayon::prelude::*;
use serde_json::{Map, Value, json};

/// Computes one case; the reason in words when it cannot be computed.
pub type Kind = fn(&Case) -> Result<Fields, String>;

/// The kinds of cases, one list per topic.
const TOPICS: &[&[(&str, Kind)]] = &[
    tolerance::KINDS,
    proportions::KINDS,
    location::KINDS,
    control::KINDS,
    humidity::KINDS,
    lines::KINDS,
    money::KINDS,
    ions::KINDS,
    censored::KINDS,
    weibull::KINDS,
    uncertainty::KINDS,
    insulation::KINDS,
    reflow::KINDS,
];

/// Every kind of case by name.
pub fn kinds() -> impl Iterator<Item = &'static str> {
    TOPICS.iter().copied().flatten().map(|k| k.0)
}

/// The results of a file of cases, and how many of them could not be computed.
///
/// `files` gives the bytes of a file that a case names.
///
/// # Errors
/// In words, when the text is no file of cases: bad JSON, no list `cases`, a case without an id, an id twice.
pub fn run(text: &[u8], files: &(dyn Fn(&str) -> Result<Vec<u8>, String> + Sync)) -> Result<(Value, usize), String> {
    let set: Value = serde_json::from_slice(text).map_err(|e| format!("not JSON: {e}"))?;
    let cases = set.get("cases").and_then(Value::as_array).ok_or("no list \"cases\" at the top")?;
    let mut seen = std::collections::BTreeSet::new();
    for (i, c) in cases.iter().enumerate() {
        let id = c.get("id").and_then(Value::as_str).ok_or_else(|| format!("case {i} has no id"))?;
        if !seen.insert(id) {
            return Err(format!("two cases have the id {id}"));
        }
    }
    let results: Vec<(String, Value)> = cases.par_iter().map(|c| evaluate(c, files)).collect();
    let failed = results.iter().filter(|r| r.1.get("error").is_some()).count();
    let map: Map<String, Value> = results.into_iter().collect();
    Ok((json!({"schema": "galipot.calc/1", "results": map}), failed))
}

fn evaluate(case: &Value, files: &(dyn Fn(&str) -> Result<Vec<u8>, String> + Sync)) -> (String, Value) {
    let id = case["id"].as_str().unwrap_or_default().to_string();
    // Two sets call a case a factor; that of the ions has empty inputs.
    let kind = match case["kind"].as_str().unwrap_or_default() {
        "factor" if case["inputs"].as_object().is_some_and(Map::is_empty) => "factor_ions",
        kind => kind,
    };
    let none = Value::Object(Map::new());
    let result = match TOPICS.iter().copied().flatten().find(|k| k.0 == kind) {
        Some((_, compute)) => compute(&Case { inputs: case.get("inputs").unwrap_or(&none), files }),
        None => Err(match crate::diag::nearest(kind, kinds()) {
            Some(n) => format!("no kind \"{kind}\"; did you mean {n}?"),
            None => format!("no kind \"{kind}\"; the kinds are {}", kinds().collect::<Vec<_>>().join(", ")),
        }),
    };
    let value = result.and_then(finite).map_or_else(|e| json!({ "error": e }), |f| Value::Object(f.0));
    (id, value)
}

/// Fields that have no finite value for some sound inputs: a ratio over nothing, ties throughout, no rate of return, the
/// spread of one value, a mean of logarithms of what has none.
const MAY_BE_NONE: &[&str] = &[
    "sample_odds_ratio",
    "tau_b",
    "irr",
    "sd",
    "geometric_mean",
    "ci_low_scipy",
    "ci_high_scipy",
    "ci_low_interpolated",
    "ci_high_interpolated",
];

/// The fields, unless a result went beyond the numbers that a computer holds.
fn finite(fields: Fields) -> Result<Fields, String> {
    fn beyond(name: &str, v: &Value) -> Option<String> {
        match v {
            Value::Object(map) => map.iter().find_map(|(k, v)| beyond(k, v)),
            Value::Array(list) => list.iter().find_map(|v| beyond(name, v)),
            Value::String(s) if s == "inf" || s == "-inf" => (name != "sample_odds_ratio").then(|| name.to_string()),
            Value::String(s) if s == "nan" => (!MAY_BE_NONE.contains(&name)).then(|| name.to_string()),
            _ => None,
        }
    }
    match fields.0.iter().find_map(|(k, v)| beyond(k, v)) {
        Some(name) => {
            Err(format!("{name} goes beyond the numbers that can be held; the inputs are too large or too small"))
        }
        None => Ok(fields),
    }
}
