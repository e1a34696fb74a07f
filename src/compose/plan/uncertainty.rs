//! Takes the ledger; gives how sure the savings are: histograms, what moves them, how long until they pay back.

use super::figures;
use super::ledger::{Ledger, share, signed};
use super::parameters::named;
use crate::compose::ink::{self, Cell, cell, text};
use crate::model::document::{Block, Inline};
use crate::model::planning::{BEST, PlanResult};
use crate::quantity::significant;

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = vec![ink::says(format!(
        "Each draw takes every uncertain number once, common to all plans, then the outcome of every test by its drawn \
         chance, so that all plans meet the same fate; the saving is the cost of keeping less that of the plan in that \
         draw. What machines and shifts the boards need is kept as in the plan. {} draws, seed {}, generator {}.",
        l.p.draws, l.p.seed, l.p.generator
    ))];
    out.extend(spreads(l));
    for plan in shown(l) {
        if let Some(f) = figures::histogram(l, plan) {
            out.push(ink::heading(3, format!("Where the saving of {} falls", plan.id)));
            out.extend(mixture(l, plan));
            out.push(Block::Figure(f));
        }
        if let Some(f) = figures::tornado(l, plan) {
            out.push(ink::heading(3, format!("What moves the saving of {}", plan.id)));
            out.push(Block::Figure(f));
            out.push(bars(l, plan));
        }
    }
    if !l.p.warnings.is_empty() {
        out.push(ink::heading(3, "Where a number would mislead"));
        out.push(ink::list(l.p.warnings.iter().map(|w| cell(w.clone())).collect()));
    }
    out
}

/// The best plan, and the plans that lose: those are what a director is asked about.
fn shown<'a>(l: &Ledger<'a>) -> Vec<&'a PlanResult> {
    l.best().into_iter().chain(l.p.plans.iter().filter(|p| p.id != BEST && p.saving.value < 0.0)).collect()
}

fn spreads(l: &Ledger) -> Vec<Block> {
    let rows: Vec<Vec<Cell>> =
        l.p.plans
            .iter()
            .filter(|p| !l.same_as_keeping(p))
            .filter_map(|p| {
                let s = p.spread.as_ref()?;
                let k = |x: f64| vec![l.drawn(signed(x), x)];
                Some(vec![
                    cell(p.id.clone()),
                    k(s.mean),
                    vec![l.drawn(super::ledger::thousands(s.error), s.error)],
                    k(s.exact_mean),
                    vec![l.drawn(super::ledger::thousands(s.sd), s.sd)],
                    vec![l.drawn(super::ledger::thousands(s.exact_sd), s.exact_sd)],
                    k(s.p5),
                    k(s.p50),
                    k(s.p95),
                    vec![l.drawn(share(s.loss), s.loss)],
                ])
            })
            .collect();
    let head = ["Plan", "Mean", "Error of it", "Mean, exact", "Sd", "Sd, exact", "P5", "P50", "P95", "Chance of loss"];
    let caption =
        format!("Spread of the saving, {}; exact: from the moments of the distributions, without a draw", l.unit());
    ink::table_or(&caption, &head, &[1, 2, 3, 4, 5, 6, 7, 8, 9], rows, "Nothing was drawn.")
}

/// A warning where the middle of the draws is not what any path is like.
fn mixture(l: &Ledger, plan: &PlanResult) -> Vec<Block> {
    let Some(s) = &plan.spread else { return Vec::new() };
    let heaps = figures::peaks(&s.histogram).len();
    if plan.paths.len() < 2 && heaps < 2 {
        return Vec::new();
    }
    let line = vec![
        text("This saving is a mixture of "),
        ink::count(plan.paths.len()),
        text(if plan.paths.len() == 1 { " path. " } else { " paths. " }),
        text("Half of the draws lie above "),
        l.drawn(signed(s.p50), s.p50),
        text(" and the mean is "),
        l.drawn(signed(s.mean), s.mean),
        text(format!(" {}; neither is what one path gives. Read the picture, not the middle.", l.unit())),
    ];
    vec![Block::Caution(line)]
}

fn bars(l: &Ledger, plan: &PlanResult) -> Block {
    let digits = |x: f64| if x.is_finite() { significant(x, 3) } else { "open".into() };
    let rows = plan.tornado.iter().map(|b| {
        vec![
            vec![text(named(l, &b.parameter)), text(" "), Inline::Code(b.parameter.clone())],
            vec![l.at(digits(b.low), b.at)],
            vec![l.at(digits(b.high), b.at)],
            vec![l.at(signed(b.saving_low), b.at)],
            vec![l.at(signed(b.saving_high), b.at)],
            cell(b.basis.clone()),
        ]
    });
    let head = ["Number", "Low", "High", "Saving at low", "Saving at high", "Basis"];
    let caption = format!("Saving of {} in {} at the ends of each number, all others as stated", plan.id, l.unit());
    ink::table(&caption, &head, &[1, 2, 3, 4], rows.collect())
}
