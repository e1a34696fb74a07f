//! Takes the ledger; gives why plans lose that wash less: what falls, what comes on top, and what stays in use.

use super::figures::{CAUSES, by_cause};
use super::ledger::{Ledger, signed};
use crate::compose::ink::{self, Cell, cell, labelled, strong, text};
use crate::model::document::{Block, Inline};
use crate::model::planning::{Amount, Cause, PlanResult, Unwashed};

/// Causes below this are no cause, in the currency.
const SMALL: f64 = 0.5;

/// What differs from keeping, by cause: what falls, and what comes on top, the greatest first.
pub fn moved(l: &Ledger, plan: &PlanResult) -> (Vec<(&'static str, f64)>, Vec<(&'static str, f64)>) {
    let Some(keep) = l.keep() else { return (Vec::new(), Vec::new()) };
    let (was, is) = (by_cause(l, keep), by_cause(l, plan));
    let all = CAUSES.iter().zip(was.iter().zip(is)).map(|(c, (a, b))| (*c, b - a)).filter(|c| c.1.abs() >= SMALL);
    let (mut less, mut more): (Vec<_>, Vec<_>) = all.partition(|c| c.1 < 0.0);
    less.sort_by(|a, b| a.1.total_cmp(&b.1));
    more.sort_by(|a, b| b.1.total_cmp(&a.1));
    (less, more)
}

/// All causes of one kind together.
pub fn together(causes: &[(&str, f64)]) -> f64 {
    causes.iter().map(|c| c.1).sum()
}

/// An amount that stands in the picture of a plan, cause by cause.
fn seen(plan: &PlanResult, shown: String) -> Inline {
    ink::to(format!("waterfall-{}", plan.id), shown)
}

fn losers<'a>(l: &Ledger<'a>) -> Vec<(&'a PlanResult, &'a Unwashed)> {
    let of = |p: &'a PlanResult| l.p.sums.unwashed.iter().find(|u| u.plan == p.id).map(|u| (p, u));
    l.p.plans.iter().filter(|p| p.saving.value < 0.0).filter_map(of).collect()
}

/// Lines of today that stay in use to the end on every path: id, cost of their first and of their last year.
fn kept(l: &Ledger, plan: &PlanResult) -> Vec<(String, Amount, Amount)> {
    let stays = |id: &str| plan.paths.iter().all(|path| path.lines.iter().any(|s| s.0 == id && s.2 >= l.p.months));
    let lines = l.p.lines.iter().filter(|x| x.in_use && stays(&x.line));
    lines
        .filter_map(|x| {
            let mut years = plan.paths.first()?.rows.iter().filter(|r| r.cause == Cause::Running && r.of == x.line);
            let first = years.next()?;
            Some((x.line.clone(), first.amount, years.next_back().unwrap_or(first).amount))
        })
        .collect()
}

/// One sentence on the first plan that loses, for those who read no further.
pub fn first(l: &Ledger) -> Option<Cell> {
    let (plan, unwashed) = losers(l).into_iter().next()?;
    let (less, more) = moved(l, plan);
    let mut line = labelled(&format!("Why {} loses", plan.id), boards(l, unwashed));
    line.push(text("; what falls is "));
    line.push(seen(plan, signed(together(&less))));
    line.push(text(format!(" {}, what comes on top ", l.unit())));
    line.push(seen(plan, signed(together(&more))));
    line.push(text(", so that it saves "));
    line.extend([l.k_signed(plan.saving), text(".")]);
    Some(line)
}

fn boards(l: &Ledger, u: &Unwashed) -> Cell {
    let count = |a: Amount| l.of(format!("{:.0}", a.value), a);
    vec![count(u.boards), text(" of "), count(u.of), text(" boards a year are no longer washed")]
}

/// Why each plan loses that washes fewer boards: everybody proposes them first.
pub fn losers_told(l: &Ledger) -> Vec<Block> {
    let items: Vec<Cell> = losers(l).into_iter().map(|(p, u)| one(l, p, u)).collect();
    if items.is_empty() {
        return Vec::new();
    }
    vec![ink::heading(3, "Why the obvious plan loses"), ink::list(items)]
}

fn one(l: &Ledger, plan: &PlanResult, unwashed: &Unwashed) -> Cell {
    let unit = l.unit();
    let (less, more) = moved(l, plan);
    let mut line = vec![strong(format!("{} loses: ", plan.id))];
    line.extend(boards(l, unwashed));
    line.push(text(", and the saving is "));
    line.extend([l.k_signed(plan.saving), text(format!(" {unit}. "))]);
    for (id, first, last) in kept(l, plan) {
        line.push(text(format!("{id} stays in use for what is left: a year of it costs ")));
        if first.value == last.value {
            line.extend([l.k(last), text(" as today, ")]);
        } else {
            line.extend([l.k(last), text(" instead of "), l.k(first), text(", ")]);
        }
        line.push(text("and nothing at all only when its last board leaves. "));
    }
    let told = |causes: &[(&str, f64)]| {
        let each = causes.iter().map(|(c, x)| vec![text(format!("{c} ")), seen(plan, signed(*x))]);
        ink::joined(each, ", ")
    };
    if less.is_empty() {
        line.extend(cell("Nothing falls. "));
    } else {
        line.push(text("What falls: "));
        line.extend(told(&less));
        line.extend([text(", together "), seen(plan, signed(together(&less))), text(". ")]);
    }
    if !more.is_empty() {
        line.push(text("What comes on top: "));
        line.extend(told(&more));
        line.extend([
            text(", together "),
            seen(plan, signed(together(&more))),
            text(format!(" {unit} of present value.")),
        ]);
    }
    line
}
