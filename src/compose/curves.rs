//! Takes the curves of combs; gives one figure per run on one fixed axis, the controls, the drops, the worst place.

use super::desk::Desk;
use super::ink::{self, Cell, cell, list_or, table_or, text};
use super::weakest;
use crate::model::assessment::Voice;
use crate::model::document::{Behind, Block, Figure, Inline, Panel, Plot};
use crate::model::evidence::RunKind;
use crate::model::site::RunFolder;
use crate::model::workings::{Curve, Outcome};

/// The one axis of every insulation figure, log10 ohm.
const LOW: f64 = 5.0;
const HIGH: f64 = 13.0;

/// End of the time axis of every figure, so that all can be laid side by side, h.
fn hours(desk: &Desk) -> f64 {
    let last = desk.w.curves.iter().flat_map(|c| &c.points).map(|p| p.0).filter(|t| t.is_finite()).fold(0.0, f64::max);
    ((last / 24.0).ceil() * 24.0).max(24.0)
}

/// The judged window of a run's criterion.
fn window(desk: &Desk, o: Option<&Outcome>) -> (f64, f64) {
    let w = o.and_then(|o| desk.site.criterion(&o.criterion)).map(|c| c.window.as_slice()).unwrap_or_default();
    match w {
        [a, b, ..] => (a.in_unit("h"), b.in_unit("h")),
        _ => (0.0, hours(desk)),
    }
}

/// One panel per cell and pattern of a run.
fn panels(desk: &Desk, curves: &[&Curve]) -> Vec<Panel> {
    let mut keys: Vec<(&str, &str)> =
        curves.iter().filter(|c| !c.control).map(|c| (c.cell.as_str(), c.pattern.as_str())).collect();
    keys.sort_unstable();
    keys.dedup();
    keys.into_iter()
        .map(|(cell, pattern)| {
            let of = |c: &&&Curve| c.cell == cell && c.pattern == pattern && !c.control;
            // Controls of the same pattern where there are some, else all of them.
            let same: Vec<&&Curve> = curves.iter().filter(|c| c.control && c.pattern == pattern).collect();
            let controls = if same.is_empty() { curves.iter().filter(|c| c.control).collect() } else { same };
            let mut drops = Vec::new();
            for c in curves.iter().filter(of) {
                for t in &c.drops {
                    let near = c.points.iter().min_by(|a, b| (a.0 - t).abs().total_cmp(&(b.0 - t).abs()));
                    drops.push((*t, near.map_or(f64::NAN, |p| p.1)));
                }
            }
            let place = curves.iter().find(of).map_or(String::new(), |c| desk.cite(c.at));
            Panel {
                title: if cell.is_empty() { pattern.to_string() } else { format!("{cell} · {pattern}") },
                curves: curves.iter().filter(of).map(|c| c.points.clone()).collect(),
                controls: controls.into_iter().map(|c| c.points.clone()).collect(),
                drops,
                place,
            }
        })
        .collect()
}

/// The limits on the readings of a run in words, each once.
fn limits(outcomes: &[&Outcome]) -> String {
    let mut all: Vec<(f64, f64, Vec<&str>)> = Vec::new();
    for o in outcomes.iter().filter(|o| o.limit.is_finite()) {
        match all.iter_mut().find(|x| x.0 == o.limit && x.1 == o.guard) {
            Some(x) if x.2.contains(&o.criterion.as_str()) => {}
            Some(x) => x.2.push(&o.criterion),
            None => all.push((o.limit, o.guard, vec![&o.criterion])),
        }
    }
    let words: Vec<String> = all
        .into_iter()
        .map(|(limit, guard, names)| format!("limit {limit:.2} ({}), guard band {guard:.2} above it", names.join(", ")))
        .collect();
    if words.is_empty() { "no limit on the readings is agreed for it".into() } else { words.join("; ") }
}

fn figure(desk: &Desk, run: &RunFolder, only: Option<(&str, &[&str])>) -> Option<Block> {
    let id = &run.run.id.text;
    let curves: Vec<&Curve> = desk
        .w
        .curves
        .iter()
        .filter(|c| {
            c.run == *id
                && (c.control
                    || only.is_none_or(|(cell, patterns)| c.cell == cell && patterns.contains(&c.pattern.as_str())))
        })
        .collect();
    let panels = panels(desk, &curves);
    if panels.is_empty() {
        return None;
    }
    // Limits on the resistance itself; a limit on a fall or a ratio is no line on this axis.
    let of_readings = |o: &&Outcome| o.run == *id && ink::is_log(&o.unit) && desk.w.sets[o.set].quantity == "sir";
    let outcomes: Vec<&Outcome> = desk.outcomes(&[run.run.kind]).into_iter().filter(of_readings).collect();
    // Of several limits the highest is drawn, and all are named.
    let judged = outcomes.iter().copied().max_by(|a, b| (a.limit + a.guard).total_cmp(&(b.limit + b.guard)));
    let mut values: Vec<f64> =
        panels.iter().flat_map(|p| &p.curves).flatten().map(|p| p.1).filter(|v| v.is_finite()).collect();
    values.sort_by(f64::total_cmp);
    let lowest = values.first().copied().unwrap_or(f64::NAN);
    let combs: usize = panels.iter().map(|p| p.curves.len()).sum();
    let controls = curves.iter().filter(|c| c.control).count();
    let drops: usize = panels.iter().map(|p| p.drops.len()).sum();
    let limit = judged.map_or(f64::NAN, |o| o.limit);
    let guard = judged.map_or(f64::NAN, |o| o.guard);
    let limit_words = limits(&outcomes);
    let name = match only {
        None => format!("combs-{id}"),
        Some(_) => format!("worst-place-{id}"),
    };
    Some(Block::Figure(Figure {
        name,
        caption: format!(
            "{id} {}: every comb, log10 ohm over hours, controls dashed. {} in {}, {}; {limit_words}.",
            run.run.title.text.trim_end_matches('.'),
            ink::many(combs, "comb", "combs"),
            ink::many(panels.len(), "panel", "panels"),
            ink::many(controls, "control", "controls"),
        ),
        alternative: format!(
            "{} of {id}. Lowest raw reading {}, {limit_words}. {}.",
            ink::many(combs, "curve", "curves"),
            if lowest.is_finite() { format!("{lowest:.2} log10 ohm") } else { "not given".into() },
            if drops == 0 {
                "No drop event".to_string()
            } else {
                ink::many(drops, "drop event marked", "drop events marked")
            },
        ),
        plot: Plot::Combs {
            panels,
            limit,
            guard,
            low: LOW,
            high: HIGH,
            hours: hours(desk),
            window: window(desk, judged),
        },
    }))
}

/// One figure per run of insulation, all on the same axis.
pub fn figures(desk: &Desk) -> Vec<Block> {
    let mut out: Vec<Block> = desk.runs().into_iter().filter_map(|r| figure(desk, r, None)).collect();
    if out.is_empty() {
        out.push(ink::says("No run of this assembly gives readings over time, so no curve can be shown."));
    }
    out
}

/// What is known of a run as a whole: name of the fact, heading.
const FACTS: [(&str, &str); 8] = [
    ("control_min", "Lowest control"),
    ("control_ceiling_share", "Control readings at the ceiling"),
    ("chamber_inside", "Chamber samples inside tolerance"),
    ("interval_max", "Longest interval"),
    ("detection_5min", "A drop of 5 min is seen with probability"),
    ("channels_reported", "Channels"),
    ("ceiling_share", "Readings at the ceiling"),
    ("drift", "Steepest drift at the end"),
];

/// Controls, chamber and sampling: one row per run.
pub fn controls(desk: &Desk) -> Vec<Block> {
    let mut rows = Vec::new();
    for r in desk.runs() {
        let id = &r.run.id.text;
        let known: Vec<Cell> = FACTS.iter().map(|(name, _)| fact(desk, id, name)).collect();
        if known.iter().any(|c| !c.is_empty()) {
            let mut row = vec![vec![desk.run_link(id)]];
            row.extend(known.into_iter().map(|c| if c.is_empty() { cell("none") } else { c }));
            rows.push(row);
        }
    }
    let mut head = vec!["Run"];
    head.extend(FACTS.iter().map(|f| f.1));
    let none = "No run of this assembly reports controls, chamber or sampling.";
    table_or("Controls, chamber and sampling", &head, &[1, 2, 3, 4, 5, 6, 7, 8], rows, none)
}

/// A fact of a run with what stands behind it; empty when there is none. Shares are per cent.
fn fact(desk: &Desk, run: &str, name: &str) -> Cell {
    let Some(f) = desk.w.run_facts.iter().find(|f| f.run == run && f.name == name) else { return Vec::new() };
    let share = f.unit == "1" && name != "channels_reported" && f.value.is_finite();
    let shown =
        if share { format!("{} %", ink::number(f.value * 100.0, "%")) } else { ink::quantity_text(f.value, &f.unit) };
    let value = match f.working {
        Some(id) => Inline::Value { text: shown, behind: Behind::Working(id) },
        None => desk.at(shown, f.at),
    };
    if f.place.is_empty() { vec![value] } else { vec![value, text(format!(" {}", f.place))] }
}

/// Drops and other events, with cause and proof where they are known.
pub fn drops(desk: &Desk) -> Vec<Block> {
    let mut items: Vec<Cell> = Vec::new();
    for r in desk
        .runs()
        .into_iter()
        .filter(|r| matches!(r.run.kind, RunKind::Sir | RunKind::Ecm | RunKind::DampHeat | RunKind::Leakage))
    {
        let id = &r.run.id.text;
        let mut seen: Vec<Cell> = Vec::new();
        for o in desk.w.outcomes.iter().filter(|o| o.run == *id) {
            for (e, kind) in o
                .hard_events
                .iter()
                .map(|e| (e, "counts against"))
                .chain(o.open_events.iter().map(|e| (e, "no cause on record")))
            {
                let mut line = vec![desk.run_link(id), text(format!(" {}: {kind} ", e.text)), desk.place(e.at)];
                if let Some(d) = r.run.deviation.iter().find(|d| e.text.contains(&format!("; {} tells", d.id))) {
                    line.push(text(format!("; {}: ", d.id)));
                    line.push(desk.at(d.text.text.trim_end_matches('.'), d.at));
                    line.push(text(". That is no proof yet; an event recorded with cause and proof would be"));
                }
                seen.push(line);
            }
        }
        for e in &r.run.event {
            let proof = e.proof.as_ref().map_or("no proof on file".to_string(), |p| format!("shown by {}", p.text));
            seen.push(vec![
                desk.run_link(id),
                text(format!(" board {} pattern {} at ", e.board, e.pattern)),
                desk.written(&e.t),
                text(format!(": cause {}, {proof} ", e.cause)),
                desk.place(e.at),
            ]);
        }
        for s in seen {
            if !items.contains(&s) {
                items.push(s);
            }
        }
    }
    list_or(items, "No drop, filament or other event is on record for any run of this assembly.")
}

/// The raw data of the weakest place that has readings: its curves, its single values, its number worked.
pub fn worst_place(desk: &Desk) -> Vec<Block> {
    let weak = weakest::places(desk, desk.tree());
    let voiced = weak.iter().filter(|w| w.decades.is_finite()).find_map(|w| {
        let of_place = |v: &&Voice| v.run == w.place.run;
        w.claim.voices.iter().filter(of_place).find(|v| same(v.margin, w.place.margin)).map(|v| (w, v))
    });
    let Some((w, v)) = voiced else {
        return vec![ink::says(
            "No place of this tree rests on a run with readings, so there are no raw data to show for the worst place.",
        )];
    };
    let mut line = vec![
        text("The weakest place that was measured is "),
        ink::strong(w.place.place.clone()),
        text(", in claim "),
        desk.claim_link(&w.claim.id),
        text(format!(" {}: ", w.claim.title)),
        ink::worked(v.value, &v.unit, v.working),
        text(" against "),
        ink::worked(v.limit, &v.unit, v.working),
        text(" (criterion "),
        desk.criterion_link(&v.criterion),
        text("), after the guard band of "),
        ink::worked(v.guard, &v.unit, v.working),
        text(": margin "),
        ink::worked_margin(v.margin, &v.unit, v.working),
        text(". It was measured in "),
        desk.run_link(&v.run),
    ];
    if !v.cell.is_empty() {
        line.push(text(format!(", cell {}", v.cell)));
    }
    line.extend([text(format!(", {} ", v.pattern)), desk.place(v.at), text(".")]);
    let mut out = Vec::new();
    if let Some(first) = weak.first().filter(|f| f.place.place != w.place.place) {
        out.push(Block::Paragraph(vec![
            text("The weakest place of all is "),
            ink::strong(first.place.place.clone()),
            text(", in claim "),
            desk.claim_link(&first.claim.id),
            text(format!(" {} (", first.claim.title)),
            Inline::State(first.place.state),
            text(format!(
                "): {}. No readings of its own that count can be shown.",
                first.place.text.trim_end_matches('.')
            )),
        ]));
    }
    out.push(Block::Paragraph(line));
    let outcome = desk.w.outcomes.iter().find(|o| o.working == v.working && o.criterion == v.criterion);
    if let (Some(run), Some(o)) = (desk.site.run(&v.run), outcome) {
        let mut patterns: Vec<&str> = desk.w.sets[o.set].samples.iter().map(|s| s.place.as_str()).collect();
        patterns.sort_unstable();
        patterns.dedup();
        out.extend(figure(desk, run, Some((&v.cell, &patterns))));
    }
    out.extend(values(desk, v));
    out
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + b.abs()) || (a.is_nan() && b.is_nan())
}

/// Every single value behind a voice.
fn values(desk: &Desk, v: &Voice) -> Vec<Block> {
    let Some(o) = desk.w.outcomes.iter().find(|o| o.working == v.working && o.criterion == v.criterion) else {
        return Vec::new();
    };
    let set = &desk.w.sets[o.set];
    let rows = set
        .samples
        .iter()
        .map(|s| {
            let mut value = ink::quantity_text(s.value, &set.unit);
            if s.censored {
                value = format!("at least {value} (ceiling)");
            }
            vec![
                cell(s.board.clone()),
                cell(s.place.clone()),
                cell(if s.lot.is_empty() { "none" } else { &s.lot }),
                vec![desk.at(value, s.at)],
            ]
        })
        .collect();
    let caption = format!("Every value of {} behind this number", o.run);
    table_or(&caption, &["Board", "Place", "Lot", "Value"], &[3], rows, "The run holds no single values.")
}
