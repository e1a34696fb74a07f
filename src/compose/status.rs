//! Takes an assessment; gives one line per assembly for a terminal, and the status as machines read it.

use serde_json::{Value, json};

use super::announced::announced;
use super::ink;
use super::record::claim_short;
use super::weakest;
use super::words;
use crate::model::assessment::{AssemblyResult, Assessment, Route, State};
use crate::model::governance::TreeKind;
use crate::model::site::Site;

/// Name and version of the schema.
pub const SCHEMA: &str = "galipot.status/1";

/// The line above everything that stands on replaced values.
pub const WHAT_IF: &str = "WHAT-IF: values were replaced on the command line.\n";

/// Columns of a terminal.
const WIDTH: usize = 100;

/// The status of every assembly as JSON, in order of the site.
pub fn json(site: &Site, assessment: &Assessment) -> Value {
    let assemblies: Vec<Value> = assessment
        .assemblies
        .iter()
        .map(|r| {
            json!({
                "id": r.id,
                "revision": r.rev,
                "route": r.route.word(),
                "state": r.state.word(),
                "wash_state": r.wash_state.word(),
                "present_state": r.present_state.word(),
                "conditions": r.conditions.iter().map(|c| &c.id).collect::<Vec<_>>(),
                "waivers": words::waivers(r),
                "valid_until": r.valid_until.map(|d| d.to_string()),
                "interim": r.interim,
                "stop_ship": r.stop_ship,
                "open_comments": open_comments(site, assessment, &r.id),
                "claims": r.claims.iter().map(|c| Value::Object(claim_short(c))).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({"schema": SCHEMA, "as_of": assessment.as_of.to_string(), "what_if": assessment.what_if, "assemblies": assemblies})
}

/// Smallest margin at a place of the board in the tree that carries the route; none when no place has a number.
fn worst(site: &Site, r: &AssemblyResult) -> Option<String> {
    let ranked = weakest::ranked(site, r, words::tree_of(r));
    let w = ranked.iter().find(|w| w.decades.is_finite())?;
    let place = w.place.place.split(' ').next_back().unwrap_or("").trim_start_matches('@');
    Some(format!("{} at {place}, {}", ink::margin_text(w.place.margin, &w.place.unit), w.claim.id))
}

/// Leaves of a tree in a state, with the first reason of each: "C2.1 NOT_COVERED(K4)".
fn blocking(r: &AssemblyResult, tree: TreeKind, state: State) -> Vec<String> {
    r.claims
        .iter()
        .filter(|c| c.tree == tree && c.leaf && !c.after_issue && c.rule != "comparison" && c.state == state)
        .map(|c| match c.reasons.first() {
            Some(x) if x.detail.is_empty() => format!("{} {}", c.id, x.code.word()),
            Some(x) => format!("{} {}({})", c.id, x.code.word(), x.detail),
            None if c.margin.is_finite() => format!("{} margin {}", c.id, ink::margin_text(c.margin, &c.unit)),
            None => format!("{} {}", c.id, words::state(c.state)),
        })
        .collect()
}

/// Words laid into lines of the width of a terminal, the first as given, the others indented.
pub fn wrapped(first: &str, indent: usize, parts: &[String], between: &str) -> String {
    let mut out = first.to_string();
    let mut column = first.chars().count();
    for (i, p) in parts.iter().enumerate() {
        let comma = if i + 1 < parts.len() { between } else { "" };
        let piece = format!("{p}{comma}");
        for word in piece.split(' ').filter(|w| !w.is_empty()) {
            let n = word.chars().count();
            if column > indent && column + 1 + n > WIDTH {
                out.push('\n');
                out.push_str(&" ".repeat(indent));
                column = indent;
            }
            if column > indent && !out.ends_with(' ') {
                out.push(' ');
                column += 1;
            }
            out.push_str(word);
            column += n;
        }
    }
    out
}

fn clipped(s: &str, width: usize) -> String {
    if s.chars().count() <= width {
        return s.to_string();
    }
    s.chars().take(width.saturating_sub(1)).chain(['…']).collect()
}

fn assembly(site: &Site, assessment: &Assessment, r: &AssemblyResult, widths: (usize, usize)) -> String {
    let worst = worst(site, r).unwrap_or_else(|| "no number".into());
    let letters = format!("{} {} {}", r.state.letter(), r.wash_state.letter(), r.present_state.letter());
    let mut out = format!(
        "{:<id$}  {:<rev$}  {:<22} {letters:<8} {:<31} {}\n",
        r.id,
        r.rev,
        words::route_short(r.route),
        clipped(&worst, 31),
        r.valid_until.map_or("no date".into(), |d| d.to_string()),
        id = widths.0,
        rev = widths.1
    );
    let indent = widths.0 + widths.1 + 4;
    let pad = " ".repeat(indent);
    let mut line = |label: &str, parts: &[String]| {
        if !parts.is_empty() {
            let label = if label == "but from" { format!("{pad}{label} ") } else { format!("{pad}{label}: ") };
            out.push_str(&wrapped(&label, indent + 2, parts, ";"));
            out.push('\n');
        }
    };
    line("contradicted", &capped(blocking(r, TreeKind::Leave, State::Contradicted), 6));
    if r.state == State::NotYet {
        line("blocks", &capped(blocking(r, TreeKind::Leave, State::NotYet), 10));
    }
    let waivers: Vec<String> = site
        .waivers
        .iter()
        .filter(|w| w.assembly.text == r.id && words::waivers(r).contains(&w.id.text))
        .map(|w| format!("{} to {}, only within: {}", w.id, w.to, w.limit_of_use.text.trim_end_matches('.')))
        .collect();
    line("NOT SHOWN, released under waiver", &waivers);
    if let Some(i) = words::interim(r.interim) {
        line("interim", &[i.to_string()]);
    }
    let conditions: Vec<String> = r
        .conditions
        .iter()
        .map(|c| if c.lacks.is_empty() { c.id.clone() } else { format!("{} INCOMPLETE", c.id) })
        .collect();
    line(&ink::many(conditions.len(), "condition", "conditions"), &conditions);
    let stale: Vec<String> = r
        .conditions
        .iter()
        .filter_map(|c| {
            let last = c.lacks.iter().find_map(|l| l.strip_prefix("a fresh feed: "))?;
            Some(format!("{} stale, {last}", c.id))
        })
        .collect();
    line("feeds are read as they stand", &stale);
    if r.valid_until.is_some() && r.route != Route::NotYet && !r.valid_until_from.is_empty() {
        line("valid because of", std::slice::from_ref(&r.valid_until_from));
    }
    for a in announced(site, assessment, r, words::tree_of(r)) {
        line("but from", &[super::announced::short(&a)]);
    }
    line("STOP SHIPMENT of unwashed lots", &r.stop_ship);
    out
}

/// Ids of the comments on an assembly that are open, in order of the site.
fn open_comments(site: &Site, assessment: &Assessment, assembly: &str) -> Vec<String> {
    let of = site.comments.iter().filter(|c| c.assembly.text == assembly);
    of.filter(|c| site.open_because(c, assessment.as_of).is_some()).map(|c| c.id.text.clone()).collect()
}

/// The first of a list, and how many more.
fn capped(mut list: Vec<String>, most: usize) -> Vec<String> {
    let more = list.len().saturating_sub(most);
    list.truncate(most);
    if more > 0 {
        list.push(format!("and {more} more"));
    }
    list
}

/// One line per assembly with what blocks it, then the runs and files behind them; 100 columns, no colour.
pub fn human(site: &Site, assessment: &Assessment) -> String {
    human_with(site, assessment, &|_| None)
}

/// As [`human`]; `stands` tells where the newest revision of an assembly stands, where there is one.
pub fn human_with(site: &Site, assessment: &Assessment, stands: &dyn Fn(&str) -> Option<String>) -> String {
    let width =
        |f: fn(&AssemblyResult) -> &str| assessment.assemblies.iter().map(|r| f(r).chars().count()).max().unwrap_or(0);
    let widths = (width(|r| &r.id).max(8), width(|r| &r.rev).max(3));
    let mut out = String::new();
    if assessment.what_if {
        out.push_str(WHAT_IF);
    }
    out.push_str(&format!(
        "{:<id$}  {:<rev$}  {:<22} {:<8} {:<31} {}\n",
        "Assembly",
        "Rev",
        "Route",
        "L W P",
        "Worst margin",
        "Valid until",
        id = widths.0,
        rev = widths.1
    ));
    for r in &assessment.assemblies {
        out.push_str(&assembly(site, assessment, r, widths));
        let open = open_comments(site, assessment, &r.id);
        let pad = " ".repeat(widths.0 + widths.1 + 4);
        let mut line = |label: &str, parts: &[String]| {
            if !parts.is_empty() {
                out.push_str(&wrapped(&format!("{pad}{label}: "), pad.len() + 2, parts, ";"));
                out.push('\n');
            }
        };
        line(&ink::many(open.len(), "open comment", "open comments"), &capped(open, 6));
        line("newest revision", stands(&r.id).as_slice());
    }
    if assessment.assemblies.is_empty() {
        out.push_str("No assembly is on file.\n");
    }
    let role = |name: &str| assessment.standings.iter().filter(|s| s.role == name).count();
    let planned = site.planned().filter(|(_, p)| site.run(&p.id).is_none()).count();
    let parts: Vec<String> = ["used", "informative", "inadmissible", "excluded", "exploratory", "expired", "pending"]
        .into_iter()
        .filter(|n| role(n) > 0)
        .map(|n| format!("{} {n}", role(n)))
        .collect();
    let files = site.inputs().count();
    let line = format!(
        "runs {} registered{}; {} planned and not reported; {} input files; as of {}",
        assessment.standings.len(),
        if parts.is_empty() { String::new() } else { format!(" = {}", parts.join(" + ")) },
        planned,
        files,
        assessment.as_of
    );
    out.push_str(&wrapped("", 0, &[line], ""));
    out.push('\n');
    out.push_str("L leave, W wash, P present process: S supported, C with conditions, N not yet, X contradicted\n");
    out
}
