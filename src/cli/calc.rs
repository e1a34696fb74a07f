//! `galipot calc`: lists the calculations, or runs one with its numbers in place.

use std::fmt::Write;

use super::args::Args;
use super::site::unknown;
use super::{Outcome, terminal};
use crate::compute::calc::{Calc, find, registry, sources};
use crate::quantity::significant;

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
    let mut values: Vec<(&str, f64)> = Vec::new();
    for i in inputs {
        let (name, value) = i.split_once('=').ok_or_else(|| format!("{i}: write it as NAME=VALUE"))?;
        let symbol = calc
            .symbols
            .iter()
            .find(|s| s.symbol == name)
            .ok_or_else(|| unknown("input", name, calc.symbols.iter().map(|s| s.symbol)))?;
        for part in value.split(',') {
            let v: f64 = part.trim().parse().map_err(|_| format!("{name}: \"{part}\" is not a number"))?;
            if !v.is_finite() {
                return Err(format!("{name}: {part} is not finite"));
            }
            values.push((symbol.symbol, v));
        }
    }
    let outputs = calc.evaluate(&values)?;
    if args.json {
        let map: serde_json::Map<String, serde_json::Value> =
            outputs.iter().map(|(k, v)| ((*k).to_string(), serde_json::json!(v))).collect();
        let doc = serde_json::json!({"schema": "galipot.calc/1", "results": {calc.id: map}});
        terminal::out(&format!("{doc:#}\n"));
        return Ok(Outcome::Holds);
    }
    let mut text = described(calc);
    let _ = writeln!(text, "\nwith numbers\n  {}", calc.substitute(&values, &outputs).replace('\n', "\n  "));
    text.push_str("\nresult\n");
    for ((symbol, v), g) in outputs.iter().zip(calc.outputs) {
        let _ = writeln!(text, "  {symbol:<12} {:<14} {:<10} {}", significant(*v, 6), unit(g.unit), g.meaning);
    }
    terminal::out(&text);
    Ok(Outcome::Holds)
}

fn unit(u: &str) -> &str {
    match u {
        "=" => "(unit of the readings)",
        "=2" => "(its square)",
        own => own,
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
    for c in registry() {
        let _ = writeln!(text, "{:<26} {:<9} {}", c.id, c.strength.word(), c.title);
    }
    text
}

fn described(c: &Calc) -> String {
    let mut t =
        format!("{}  {} ({})\n\n  {}\n\ninputs\n", c.id, c.title, c.strength.word(), c.printed().replace('\n', "\n  "));
    for s in c.symbols {
        let list = if s.many { ", a list" } else { "" };
        let _ =
            writeln!(t, "  {:<12} {:<10} {:>9} to {:<9} {}{list}", s.symbol, unit(s.unit), s.low, s.high, s.meaning);
    }
    let _ = writeln!(t, "\nholds when   {}\nweak because {}", c.holds_when, c.weak_because);
    for k in c.sources {
        let _ = writeln!(t, "source       {}", sources::find(k).map_or(*k, |s| s.text));
    }
    t
}
