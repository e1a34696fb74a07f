//! Takes what moved between two records; gives one screen for a terminal, in order of consequence.

use super::rows::{Row, called, heading, plural, rejected, rows, summary, unmoved};
use crate::compose::status::wrapped;
use crate::model::changes::{Changes, Side, Topic};

/// Lines of a topic on one screen.
const MOST: usize = 6;
/// Indent of what goes on.
const INDENT: usize = 8;
/// Columns of a terminal.
const WIDTH: usize = 100;

/// The screen; 100 columns, no colour.
pub fn human(c: &Changes) -> String {
    let mut out = String::new();
    let moved = |a: &str, b: &str| if a == b { a.to_string() } else { format!("{a} -> {b}") };
    if !c.same_document() {
        out.push_str("TWO DOCUMENTS: what differs between them is not what moved in time.\n");
    }
    out.push_str(&format!(
        "{}   {} {}   revision {}   as of {}\n",
        moved(&c.old.document, &c.new.document),
        moved(&c.old.assembly, &c.new.assembly),
        moved(&c.old.assembly_revision, &c.new.assembly_revision),
        moved(&c.old.revision, &c.new.revision),
        moved(&c.old.as_of, &c.new.as_of)
    ));
    let side = |s: &Side| s.digest.as_ref().map_or_else(|| called(c, s), |d| format!("{d:.16}"));
    out.push_str(&format!("before {}   now {}\n{}\n", side(&c.old), side(&c.new), summary(c)));
    for said in [&c.old, &c.new].into_iter().filter_map(rejected) {
        out.push_str(&wrapped("", 2, &[said], ""));
        out.push('\n');
    }
    for topic in Topic::ALL {
        let all = rows(c, topic);
        if !all.is_empty() {
            out.push_str(&section(topic, all));
        }
    }
    out.push_str(&still(c));
    out
}

fn section(topic: Topic, all: Vec<Row>) -> String {
    let mut out = format!("\n{}\n", heading(topic).to_uppercase());
    // What combines follows from what stands above it, and places from their claims: one line for each kind.
    let brief =
        |r: &Row| topic == Topic::States && (r.combines || r.kind == "place") && r.how != "came" && r.how != "went";
    let (short, long): (Vec<Row>, Vec<Row>) = all.into_iter().partition(brief);
    if matches!(topic, Topic::Claims | Topic::Coverage | Topic::Calculations | Topic::Inputs) {
        return out + &gathered(&long);
    }
    for r in long.iter().take(MOST) {
        let state = if r.from.is_empty() { String::new() } else { format!("{} -> {}  ", r.from, r.to) };
        let told = ["claim", "place", "run", "condition", "result"].contains(&r.kind) || r.kind == r.who;
        let who = if told { r.who.clone() } else { format!("{} {}", r.kind, r.who) };
        let mut line = format!("  {:<5} {}  {state}{}", r.how, clipped(&who, 60), clipped(&r.title, 40));
        if !r.title.is_empty() && !r.details.is_empty() {
            line.push(':');
        }
        // As many particulars as two lines hold, and at least one.
        let mut room = (2 * WIDTH).saturating_sub(line.chars().count() + 2 * INDENT);
        let mut shown: Vec<String> = Vec::new();
        for d in &r.details {
            let n = d.chars().count() + 2;
            if n > room && !shown.is_empty() {
                break;
            }
            room = room.saturating_sub(n);
            shown.push(clipped(d, 2 * WIDTH));
        }
        match r.details.len() - shown.len() {
            0 => {}
            more => shown.push(format!("and {more} more")),
        }
        out.push_str(wrapped(&line, INDENT, &shown, "; ").trim_end());
        out.push('\n');
    }
    if long.len() > MOST {
        out.push_str(&format!("  and {} more; --out and --json tell all\n", long.len() - MOST));
    }
    for (word, places) in [("what combines them", false), ("their places", true)] {
        let of: Vec<String> = short
            .iter()
            .filter(|r| (r.kind == "place") == places)
            .map(|r| format!("{} {} -> {}", r.who, r.from, r.to))
            .collect();
        if !of.is_empty() {
            let mut shown: Vec<String> = of.iter().take(2 * MOST).cloned().collect();
            if of.len() > shown.len() {
                shown.push(format!("and {} more", of.len() - shown.len()));
            }
            out.push_str(&wrapped(&format!("  {word}: "), INDENT, &shown, ", "));
            out.push('\n');
        }
    }
    out
}

/// Long lists of small things: how many moved, came and went, and the first of each.
fn gathered(all: &[Row]) -> String {
    let mut out = String::new();
    for how in ["moved", "came", "went"] {
        let of: Vec<&str> = all.iter().filter(|r| r.how == how).map(|r| r.who.as_str()).collect();
        if of.is_empty() {
            continue;
        }
        let mut shown: Vec<String> = of.iter().take(3).map(|w| clipped(w, 80)).collect();
        if of.len() > shown.len() {
            shown.push(format!("and {} more", of.len() - shown.len()));
        }
        out.push_str(&wrapped(&format!("  {} {how}: ", of.len()), INDENT, &shown, ", "));
        out.push('\n');
    }
    out
}

/// What did not move, with counts.
fn still(c: &Changes) -> String {
    let mut parts: Vec<String> =
        c.counts.iter().filter(|n| !plural(n.kind).is_empty() && n.old + n.new > 0).map(unmoved).collect();
    if parts.is_empty() {
        parts.push("nothing is in both".into());
    }
    let mut noise: Vec<String> = c.noise.iter().map(|i| i.id.clone()).collect();
    let all = noise.len();
    noise.dedup();
    let mut shown: Vec<String> = noise.iter().take(MOST).map(|i| clipped(i, 60)).collect();
    if noise.len() > shown.len() {
        shown.push(format!("and {} more", noise.len() - shown.len()));
    }
    let noise = match all {
        0 => String::new(),
        n => wrapped(&format!("  {n} moved within noise: "), 2, &shown, ", ") + "\n",
    };
    format!("\nDID NOT MOVE\n{}\n{noise}", wrapped("  ", 2, &parts, ", "))
}

fn clipped(s: &str, width: usize) -> String {
    if s.chars().count() <= width {
        return s.to_string();
    }
    s.chars().take(width.saturating_sub(3)).collect::<String>() + "..."
}
