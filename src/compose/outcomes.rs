//! Takes what runs say under criteria; gives result tables by kind of run, and the statistics of every comb and cell.

use super::desk::Desk;
use super::ink::{self, Cell, cell, count, strong, table_or, text};
use super::words;
use crate::model::assessment::Verdict;
use crate::model::document::Block;
use crate::model::evidence::RunKind;
use crate::model::workings::Outcome;

/// Criterion of an outcome as a short cell: id, sense, limit, guard.
fn limit(desk: &Desk, o: &Outcome) -> Cell {
    let sense = desk.site.criterion(&o.criterion).map_or("", |c| words::sense(c.operator));
    let mut out =
        vec![desk.criterion_link(&o.criterion), text(format!(": {sense} ")), ink::worked(o.limit, &o.unit, o.working)];
    if o.upper.is_finite() {
        out.extend([text(" to "), ink::worked(o.upper, &o.unit, o.working)]);
    }
    out
}

/// Verdict that a claim of this assembly heard; else why it was not heard.
fn verdict(desk: &Desk, o: &Outcome) -> Cell {
    let role = desk.role(&o.run);
    match desk.voice_of(o) {
        Some((_, v)) if role != "used" => cell(format!("does not count: {role} ({})", would(v.verdict))),
        Some((c, v)) => vec![strong(words::verdict(v.verdict)), text(", for "), desk.claim_link(&c.id)],
        None if role == "used" => cell("no claim of this assembly asks for it"),
        None => cell(format!("does not count: {role}")),
    }
}

/// The verdict of a run that does not count.
pub fn would(v: Verdict) -> &'static str {
    match v {
        Verdict::Pass => "would pass",
        Verdict::Fail => "shows a FAIL",
        Verdict::Marginal => "would be marginal",
        _ => "would show too little",
    }
}

fn value(o: &Outcome) -> Cell {
    match &o.refused {
        Some(why) => cell(format!("none: {why}")),
        None => vec![ink::worked_bare(o.value, &o.unit, o.working)],
    }
}

/// Counts of readings: those that count, and those that are there.
fn readings(o: &Outcome) -> Cell {
    if o.n_eff == o.n || o.n_eff == 0 {
        return vec![count(o.n)];
    }
    vec![count(o.n), text(" ("), ink::worked_bare(o.n_eff as f64, "1", o.working), text(" independent)")]
}

/// Results of runs of these kinds: one row per run, cell, place and criterion.
pub fn results(desk: &Desk, kinds: &[RunKind], caption: &str, empty: &str) -> Vec<Block> {
    let rows = desk
        .outcomes(kinds)
        .into_iter()
        .map(|o| {
            let set = &desk.w.sets[o.set];
            let mut at = set.place.clone();
            if !set.cell.is_empty() {
                at = format!("{at} · {}", set.cell);
            }
            vec![
                vec![desk.run_link(&o.run)],
                cell(at),
                cell(format!("{}, {}", set.quantity.replace('_', " "), words::statistic(o.statistic))),
                readings(o),
                value(o),
                vec![ink::worked_bare(o.guard, &o.unit, o.working)],
                limit(desk, o),
                vec![ink::worked_margin(o.margin, &o.unit, o.working)],
                worst(desk, o),
                verdict(desk, o),
            ]
        })
        .collect();
    let head = [
        "Run",
        "Place, cell",
        "Quantity, statistic",
        "n",
        "Value",
        "Guard",
        "Limit",
        "Margin",
        "Worst single",
        "Verdict",
    ];
    table_or(caption, &head, &[3, 4, 5, 7], rows, empty)
}

fn worst(desk: &Desk, o: &Outcome) -> Cell {
    if !o.worst.is_finite() {
        return cell("none");
    }
    let mut out = vec![desk.at(ink::quantity_text(o.worst, &o.unit), o.worst_at)];
    if !o.worst_place.is_empty() {
        out.push(text(format!(" {}", o.worst_place)));
    }
    out
}

/// Statistics of insulation per run, cell and pattern.
pub fn statistics(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .outcomes(&[RunKind::Sir])
        .into_iter()
        .filter(|o| ink::is_log(&o.unit))
        .map(|o| {
            let set = &desk.w.sets[o.set];
            vec![
                vec![desk.run_link(&o.run)],
                cell(set.cell.clone()),
                cell(set.place.clone()),
                vec![count(o.n)],
                desk.symbol_cell(o.working, &["n_eff"]),
                desk.symbol_cell(o.working, &["ICC", "r"]),
                desk.symbol_cell(o.working, &["mean", "mu"]),
                desk.symbol_cell(o.working, &["s", "sigma"]),
                value(o),
                vec![ink::worked_bare(o.guard, &o.unit, o.working)],
                limit(desk, o),
                vec![ink::worked_margin(o.margin, &o.unit, o.working)],
                lowest(desk, o),
                verdict(desk, o),
            ]
        })
        .collect();
    let head = [
        "Run",
        "Cell",
        "Pattern",
        "n",
        "n_eff",
        "ICC",
        "Mean",
        "s",
        "Statistic",
        "Guard",
        "Limit",
        "Margin",
        "Lowest comb",
        "Verdict",
    ];
    let mut out = table_or(
        "Insulation per run, cell and pattern: the lowest median of three consecutive readings of every comb in its window, log10 ohm",
        &head,
        &[3, 4, 5, 6, 7, 8, 9, 11],
        rows,
        "No run of surface insulation resistance speaks to this assembly.",
    );
    let mut needed: Vec<Cell> = desk
        .outcomes(&[RunKind::Sir])
        .into_iter()
        .filter_map(|o| {
            let n = o.needed.as_ref()?;
            let set = &desk.w.sets[o.set];
            Some(vec![
                desk.run_link(&o.run),
                text(format!(" {} {}: to show the limit, {n} would be needed.", set.cell, set.place)),
            ])
        })
        .collect();
    let mut once: Vec<Cell> = Vec::new();
    needed.retain(|n| {
        let new = !once.contains(n);
        if new {
            once.push(n.clone());
        }
        new
    });
    if !needed.is_empty() {
        out.push(ink::list(needed));
    }
    out
}

/// The lowest comb, with the readings around its minimum worked.
fn lowest(desk: &Desk, o: &Outcome) -> Cell {
    let set = &desk.w.sets[o.set];
    let of_set = |f: &&crate::model::workings::RunFact| {
        f.run == o.run
            && f.name == "window_minimum"
            && f.place.starts_with(&format!("{}/", set.build))
            && f.value == o.worst
    };
    match desk.w.run_facts.iter().find(of_set).and_then(|f| f.working) {
        Some(id) => {
            let mut out = vec![ink::worked_bare(o.worst, &o.unit, id), text(" ")];
            out.push(desk.place(o.worst_at));
            if !o.worst_place.is_empty() {
                out.push(text(format!(" {}", o.worst_place)));
            }
            out
        }
        None => worst(desk, o),
    }
}

/// Migration: ratio of insulation after to before, filaments.
pub fn migration(desk: &Desk) -> Vec<Block> {
    results(desk, &[RunKind::Ecm], "Electrochemical migration", "No migration run speaks to this assembly.")
}

/// Product in damp heat.
pub fn damp_heat(desk: &Desk) -> Vec<Block> {
    results(
        desk,
        &[RunKind::DampHeat],
        "Product in damp heat",
        "No damp-heat run of the product speaks to this assembly.",
    )
}

pub fn ionic(desk: &Desk) -> Vec<Block> {
    let empty = "No run extracted ions from this assembly or its vehicles.";
    results(desk, &[RunKind::Ionic], "Ions extracted from boards and places", empty)
}

pub fn incoming_ionic(desk: &Desk) -> Vec<Block> {
    let empty = "No run extracted ions from bare boards or parts as received.";
    results(desk, &[RunKind::IncomingIonic], "Ions of bare boards and parts as received", empty)
}

pub fn lots(desk: &Desk) -> Vec<Block> {
    results(desk, &[RunKind::Lots], "Extract level of production lots", "No lot data speak to this assembly.")
}

pub fn under_body(desk: &Desk) -> Vec<Block> {
    results(
        desk,
        &[RunKind::UnderBody],
        "Seen under bodies",
        "No part of this assembly or its vehicles was lifted, sectioned or seen through glass.",
    )
}

pub fn functions(desk: &Desk) -> Vec<Block> {
    let kinds = [RunKind::Leakage, RunKind::Rf, RunKind::Withstand, RunKind::Contact];
    results(desk, &kinds, "Measured functions", "No sensitive function of this assembly was measured.")
}

pub fn downstream(desk: &Desk) -> Vec<Block> {
    let kinds = [RunKind::Coating, RunKind::Joint];
    results(desk, &kinds, "Coating and joints", "No run on coating or joints speaks to this assembly.")
}

pub fn testing(desk: &Desk) -> Vec<Block> {
    let kinds = [RunKind::CircuitTest, RunKind::Visual, RunKind::VisualStudy];
    results(
        desk,
        &kinds,
        "Circuit test and inspection",
        "No run on circuit test or inspection speaks to this assembly.",
    )
}

pub fn process(desk: &Desk) -> Vec<Block> {
    let kinds = [RunKind::Print, RunKind::Profile, RunKind::Dose];
    results(desk, &kinds, "Print, reflow and dose", "No print, reflow or dose data speak to this assembly.")
}

pub fn wash_runs(desk: &Desk) -> Vec<Block> {
    results(
        desk,
        &[RunKind::Wash, RunKind::Returns],
        "Wash and returns",
        "No wash run and no return speaks to this assembly.",
    )
}
