//! `galipot calc`: lists the calculations, or runs one with its numbers in place; writes the page of methods.

use std::fmt::Write;
use std::path::Path;

use super::args::Args;
use super::disk::{self, Existing};
use super::given::{Given, given};
use super::site::unknown;
use super::{Outcome, terminal};
use crate::compute::calc::{Calc, expr::shown, find, registry, sources, topics};
use crate::quantity::{compact, significant};
use crate::{manual, render};

/// Columns of a terminal.
const COLUMNS: usize = 100;

/// Lists all calculations, or evaluates one.
///
/// # Errors
/// In words, when the calculation or an input is not known, or an input lies outside its range.
pub fn run(args: &Args, id: Option<&str>, inputs: &[String]) -> Result<Outcome, String> {
    let Some(id) = id else {
        terminal::out(&list(args.json));
        return Ok(Outcome::Holds);
    };
    let calc = find(id).ok_or_else(|| unknown("calculation", id, registry().iter().map(|c| c.id)))?;
    if inputs.is_empty() {
        terminal::out(&described(calc));
        return Ok(Outcome::Holds);
    }
    let given = given(calc, inputs)?;
    let outputs = calc.evaluate(&given.values)?;
    if args.json {
        let map: serde_json::Map<String, serde_json::Value> =
            outputs.iter().map(|(k, v)| ((*k).to_string(), serde_json::json!(v))).collect();
        let doc = serde_json::json!({"schema": "galipot.calc/1", "results": {calc.id: map}});
        terminal::json(&doc);
        return Ok(Outcome::Holds);
    }
    terminal::out(&worked(calc, &given, &outputs));
    Ok(Outcome::Holds)
}

/// Writes the page of methods, as Markdown and HTML.
///
/// # Errors
/// In words, when the folder cannot be written.
pub fn pages(folder: &Path) -> Result<Outcome, String> {
    let files = render::pages(&manual::methods(topics()), "methods");
    let ours = |path: &str| matches!(path, "methods.md" | "methods.html");
    disk::write_folder(folder, &files, Existing::Replace(&ours)).map_err(|e| e.to_string())?;
    terminal::out(&format!("{}\n", folder.join("methods.html").display()));
    Ok(Outcome::Holds)
}

/// A unit as it stands behind a number; nothing for a plain number.
fn unit<'a>(u: &'a str, readings: Option<&'a str>) -> &'a str {
    match (u, readings) {
        ("1", _) => "",
        ("=", Some(own)) => own,
        (other, _) => manual::unit(other),
    }
}

fn list(json: bool) -> String {
    if json {
        let all: Vec<_> = registry()
            .iter()
            .map(|c| {
                let inputs: Vec<_> = c.symbols.iter().map(|s| s.symbol).collect();
                serde_json::json!({"id": c.id, "title": c.title, "formula": c.printed(), "inputs": inputs})
            })
            .collect();
        return format!("{:#}\n", serde_json::json!({"schema": "galipot.calc/1", "calculations": all}));
    }
    let mut text = String::new();
    for (topic, calcs) in topics() {
        let _ = writeln!(text, "{topic}");
        for c in *calcs {
            let _ = writeln!(text, "  {:<26} {:<8}  {}", c.id, c.strength.word(), c.title);
        }
    }
    text.push_str("\n`galipot calc ID` tells what one needs and shows a call.\n");
    text
}

/// Words in lines of at most [`COLUMNS`], all behind the same indentation. `label` stands on the first.
fn folded(label: &str, indent: usize, words: &str) -> String {
    folded_at(COLUMNS, label, indent, words)
}

fn folded_at(columns: usize, label: &str, indent: usize, words: &str) -> String {
    let mut out = String::new();
    for (n, paragraph) in words.lines().enumerate() {
        let mut line = format!("{:<indent$}", if n == 0 { label } else { "" });
        let mut empty = true;
        for word in paragraph.split(' ') {
            if !empty && line.chars().count() + 1 + word.chars().count() > columns {
                let _ = writeln!(out, "{}", line.trim_end());
                line = " ".repeat(indent);
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(word);
            empty = false;
        }
        let _ = writeln!(out, "{}", line.trim_end());
    }
    out
}

/// What a calculation is: formula, inputs, results, when it holds, why it is weak, sources, an example.
fn described(c: &Calc) -> String {
    let mut t = format!("{}  {} ({})\n\n", c.id, c.title, c.strength.word());
    t.push_str(&folded("", 2, &c.printed()));
    t.push_str("\ninputs\n");
    for s in c.symbols {
        let kind = match (s.whole, s.many) {
            (true, true) => ", a list of whole numbers",
            (true, false) => ", a whole number",
            (false, true) => ", a list",
            (false, false) => "",
        };
        let range = format!("{} to {}", compact(s.low), compact(s.high));
        let label = format!("  {:<12} {:<22} {:<16}", s.symbol, range, unit(s.unit, None));
        t.push_str(&folded(&label, 55, &format!("{}{kind}", s.meaning)));
    }
    t.push_str("\nresults\n");
    for o in c.outputs {
        let label = format!("  {:<12} {:<22} {:<16}", o.symbol, "", unit(o.unit, None));
        t.push_str(&folded(&label, 55, o.meaning));
    }
    t.push('\n');
    t.push_str(&folded("holds when", 14, c.holds_when));
    t.push_str(&folded("weak because", 14, c.weak_because));
    t.push_str(&cited(c));
    if let Some(call) = c.example() {
        let call = folded_at(COLUMNS - 2, "example", 14, &call);
        // A line of a command that goes on says so.
        t.push_str(&call.trim_end().replace('\n', " \\\n"));
        t.push('\n');
    }
    t
}

fn cited(c: &Calc) -> String {
    let line = |k: &&str| match sources::find(k) {
        Some(s) => format!("{} ({})", s.text, s.standing),
        None => (*k).to_string(),
    };
    folded("source", 14, &c.sources.iter().map(line).collect::<Vec<_>>().join("\n"))
}

/// One calculation worked: formula, numbers in place, results, what to think of them.
fn worked(c: &Calc, given: &Given, outputs: &[(&str, f64)]) -> String {
    let readings = given.readings.as_deref();
    let mut t = format!("{}  {} ({})\n\n", c.id, c.title, c.strength.word());
    t.push_str(&folded("", 2, &c.printed()));
    t.push_str("\ninputs\n");
    for s in c.symbols {
        let all: Vec<String> = given.values.iter().filter(|v| v.0 == s.symbol).map(|v| shown(v.1)).collect();
        let shown = match all.len() {
            n if n > 4 => format!("{}, ... {n} values", all[..3].join(", ")),
            _ => all.join(", "),
        };
        let label = format!("  {:<12} {:<33} ", s.symbol, format!("{shown} {}", unit(s.unit, readings)));
        t.push_str(&folded(&label, 49, s.meaning));
    }
    if c.closed {
        t.push_str("\nwith numbers\n");
        t.push_str(&folded("", 2, &c.substitute(&given.values, outputs)));
    }
    t.push_str("\nresults\n");
    for ((symbol, v), g) in outputs.iter().zip(c.outputs) {
        let shown = format!("{} {}", significant(*v, 6), unit(g.unit, readings));
        let label = format!("  {symbol:<12} {shown:<33} ");
        t.push_str(&folded(&label, 49, g.meaning));
    }
    t.push('\n');
    t.push_str(&folded("holds when", 14, c.holds_when));
    t.push_str(&folded("weak because", 14, c.weak_because));
    t.push_str(&cited(c));
    t
}
