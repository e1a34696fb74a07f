//! Takes the ledger; gives what every line costs: kept, running, per board three ways, and what it uses beside money.

use super::ledger::{Ledger, price};
use crate::compose::ink::{self, Cell, cell, strong, text};
use crate::model::document::Block;
use crate::model::planning::{Amount, LineCost, Used};
use crate::quantity::significant;

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = vec![ink::says(
        "A line costs three kinds of money: what falls as long as it is kept, what falls while it is switched on whether \
         boards run or not, and what each board adds. The average cost of a board is their sum over all boards; it is not \
         what is saved when a board leaves. Marginal is what one more board costs, avoidable is what a year saves when the \
         last board leaves.",
    )];
    out.push(costs(l));
    out.push(used(l));
    for x in &l.p.lines {
        out.push(ink::heading(3, format!("{}: {}", x.line, x.title)));
        out.extend(one(l, x));
    }
    out
}

fn or(l: &Ledger, a: Option<Amount>, none: &str) -> Cell {
    a.map_or_else(|| cell(none), |a| vec![l.price(a)])
}

fn costs(l: &Ledger) -> Block {
    let rows = l.p.lines.iter().map(|x| {
        vec![
            vec![strong(x.line.clone()), text(if x.in_use { "" } else { ", not in use today" })],
            vec![l.price(x.yearly)],
            vec![l.price(x.unit_cost), text(format!(" per {}", x.unit))],
            or(l, x.year, "not in use"),
            or(l, x.average, "not in use"),
            or(l, x.marginal, "not given"),
            or(l, x.avoidable, "not in use"),
        ]
    });
    let head = [
        "Line",
        "Kept, a year",
        "Running",
        "Whole year",
        "Average of a board",
        "One more board",
        "Saved when the last leaves",
    ];
    let caption = format!("Cost of lines, {}; of a batch machine, one machine", l.p.currency);
    ink::table(&caption, &head, &[1, 2, 3, 4, 5, 6], rows.collect())
}

fn used(l: &Ledger) -> Block {
    let rows = l.p.lines.iter().map(|x| {
        let at = |v: f64| vec![l.at(if v.is_finite() { amount(v) } else { "not given".into() }, x.at)];
        let mut row = vec![cell(x.line.clone()), at(x.boards), at(x.panels)];
        row.extend(uses(l, x.used));
        row
    });
    let head = ["Line", "Boards", "Panels", "Hours", "Energy, kWh", "Water, m3", "Effluent, m3", "Saponifier, l"];
    ink::table(
        "What the lines wash and use in a year, as they are used today",
        &head,
        &[1, 2, 3, 4, 5, 6, 7],
        rows.collect(),
    )
}

/// Hours, energy, water, effluent and saponifier, each with its working.
pub fn uses(l: &Ledger, used: Option<Used>) -> Vec<Cell> {
    let none = || vec![cell("none here"); 5];
    used.map_or_else(none, |u| {
        let all = [u.hours, u.energy_kwh, u.water_m3, u.effluent_m3, u.saponifier_l];
        all.iter().map(|a| vec![l.of(amount(a.value), *a)]).collect()
    })
}

/// A quantity as it is told.
fn amount(v: f64) -> String {
    if v.abs() >= 100.0 { format!("{v:.0}") } else { significant(v, 3) }
}

fn one(l: &Ledger, x: &LineCost) -> Vec<Block> {
    let mut out = Vec::new();
    let rows = x.shares.iter().map(|s| {
        vec![
            cell(s.assembly.clone()),
            vec![l.at(amount(s.boards), x.at)],
            vec![l.price(s.average)],
            vec![l.price(s.saved_if_it_leaves)],
            vec![l.price(s.alone)],
        ]
    });
    let rows: Vec<_> = rows.collect();
    if !rows.is_empty() {
        let head = [
            "Assembly",
            "Boards a year",
            "Average of a board",
            "A year saves when it alone leaves",
            "A board when it alone stays",
        ];
        out.push(ink::table(
            &format!("What each assembly means for {}, {}", x.line, l.p.currency),
            &head,
            &[1, 2, 3, 4],
            rows,
        ));
    }
    let mut facts: Vec<Cell> = Vec::new();
    if let Some((n, last)) = x.machines {
        facts.push(vec![
            text("With all that it may have it needs "),
            l.at(n.to_string(), x.at),
            text(if n == 1 {
                " machine; of the last one a share of "
            } else {
                " machines; of the last one a share of "
            }),
            l.chance(last),
            text(" is used."),
        ]);
    }
    if let Some(h) = x.needed_hours {
        facts.push(vec![
            text("Its boards truly need "),
            l.price(h),
            text(" hours of the belt a year; it is kept running for "),
            x.used.map_or_else(|| text("none today"), |u| l.of(amount(u.hours.value), u.hours)),
            text("."),
        ]);
    }
    if let Some(q) = l.site.plan.line(&x.line).and_then(|w| w.book_value.as_ref()) {
        facts.push(vec![
            text("Value still in the books: "),
            l.at(price(q.si), q.at),
            text(format!(" {}. It is spent whatever is decided, so it is shown and enters no plan.", l.p.currency)),
        ]);
    }
    if !facts.is_empty() {
        out.push(ink::list(facts));
    }
    if !x.warnings.is_empty() {
        out.push(Block::Paragraph(vec![strong(format!("Where an average of {} would mislead:", x.line))]));
        out.push(ink::list(x.warnings.iter().map(|w| cell(w.clone())).collect()));
    }
    out
}
