//! Takes the ledger; gives the first chapter: what to do, what it costs and saves, what to do now, what to test next.

use super::decide::{self, bought_now, contain, contain_why, open};
use super::ledger::{Ledger, share};
use super::loses;
use super::routes::{likeliest, outcome, routes, timelines};
use crate::compose::ink::{self, Cell, cell, labelled, strong, text};
use crate::model::document::{Block, Inline};
use crate::model::planning::{EvidenceValue, GateState, PathResult, PlanResult};

/// Paths told in the box.
const TOLD: usize = 4;

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = Vec::new();
    match l.best() {
        Some(best) => {
            out.push(verdict(l, best));
            out.extend(cautions(l));
            out.extend(routes(l, best));
            out.push(ink::says(
                "S supported, C supported with conditions, N not yet, X contradicted; ! marks a treatment that the claims do \
                 not support. Until its first step an assembly is made as today, whatever the state of the present process; \
                 a stop of shipment goes before any plan.",
            ));
            out.extend(timelines(l, best));
            out.push(ink::heading(3, "What must be done now"));
            out.extend(decide::decide(l, best));
        }
        None => {
            out.push(ink::says("No plan was found. Chapter 7 says how it was searched."));
            out.extend(cautions(l));
        }
    }
    out.push(ink::heading(3, "The one test to buy next"));
    out.extend(next(l));
    out.push(ink::heading(3, "Steps that must wait"));
    let closed: Vec<Cell> =
        l.p.gates
            .iter()
            .filter(|g| !g.open)
            .map(|g| {
                let rest = format!("{}. It waits for: {}.", g.title, waits(g).join("; "));
                vec![strong(format!("{} is closed. ", g.id)), text(rest)]
            })
            .collect();
    out.extend(ink::list_or(closed, "No gate of the site is closed."));
    out.push(ink::says(
        "No claim knows of these costs: whether residue may stay is judged by evidence alone, before money is looked at. \
         This volume supports the decision of the people who answer for it, and replaces none of them.",
    ));
    out
}

fn cautions(l: &Ledger) -> Vec<Block> {
    let mut out = vec![Block::Caution(cell(
        "This volume is for the house itself. It holds costs and must not go to customers or laboratories. Dossiers hold no \
         number of it; it cites them by their digests in chapter 7. For a short print, print up to chapter 7: chapter 8 holds \
         the calculation sheets and begins on a new page.",
    ))];
    if let (Some(n), Some(e)) = (l.behind(), l.economy()) {
        let ago = match n {
            0 => "less than a month back".to_string(),
            1 => "1 month back".to_string(),
            n => format!("{n} months back"),
        };
        out.push(Block::Caution(vec![
            text("Month 0 is "),
            l.at(l.p.base.to_string(), e.at),
            text(format!(
                ", which lies {ago} from the day of judgement, {}. What the plan puts into the months since then can no \
                 longer be done when it says: set base_date anew before deciding.",
                l.assessment.as_of
            )),
        ]));
    }
    out
}

/// All that somebody sees who reads no further.
fn verdict(l: &Ledger, best: &PlanResult) -> Block {
    let mut lines: Vec<Cell> = Vec::new();
    for a in l.assessment.assemblies.iter().filter(|a| contain(a)) {
        lines.push(labelled(&format!("Contain {} now", a.id), cell(format!("{}.", contain_why(a)))));
    }
    lines.push(saving(l, best));
    lines.extend(dearer(l, best));
    if best.paths.len() > 1 {
        let all = likeliest(best);
        lines.extend(all.iter().take(TOLD).map(|(n, path)| on_path(l, best, *n, path)));
        if all.len() > TOLD {
            lines.push(cell(format!("{} less likely paths stand in the table of routes.", all.len() - TOLD)));
        }
    }
    lines.extend(losing(l, best));
    if let Some(v) = next_package(l) {
        let mut line = labelled("Next test to buy", cell(format!("{}, ", v.package)));
        line.extend([l.package_price(&v.package, v.cost), text(format!(" {unit}; worth ", unit = l.unit()))]);
        line.extend([l.k_signed(v.value), text(format!(" {} net of its price.", l.unit()))]);
        lines.push(line);
    }
    lines.extend(loses::first(l));
    lines.extend(l.p.gates.iter().filter(|g| !g.open).map(|g| {
        let waits = waits(g);
        let more = waits.len().saturating_sub(1);
        let more = if more > 0 { format!(" (and {more} more)") } else { String::new() };
        let first = waits.first().map_or("", |w| *w);
        labelled(&format!("Not yet, {}", g.id), cell(format!("{}. {first}{more}.", g.title)))
    }));
    lines.extend(alike(l, best));
    let state = if l.p.search.proven { "the best of all that the states allow" } else { "the best that was found" };
    Block::Verdict { route: headline(l, best), state: format!("{}: {state}", best.title), lines }
}

/// Saving, its spread, the chance of a loss, cost, and what customers get back.
fn saving(l: &Ledger, best: &PlanResult) -> Cell {
    let unit = l.unit();
    let mut line = labelled("Saving against keeping all as it is", vec![l.k_signed(best.saving)]);
    line.push(text(format!(" {unit} expected")));
    if let Some(s) = &best.spread {
        line.push(text("; 5th, 50th and 95th percentile "));
        line.extend(l.spread(best));
        line.extend([text("; chance of a loss "), l.drawn(share(s.loss), s.loss)]);
    }
    line.extend([text(". Expected cost "), l.k_unit(best.cost), text(".")]);
    if let Some(g) = best.given_back {
        line.extend([text(" Of the saving customers get back "), l.k_unit(g), text("; it is not taken off.")]);
    }
    line
}

/// Why a plan comes first that costs more than keeping.
fn dearer(l: &Ledger, best: &PlanResult) -> Option<Cell> {
    if best.saving.value >= 0.0 {
        return None;
    }
    let keep = l.keep().filter(|k| !k.forbidden.is_empty());
    let forbidden =
        if keep.is_some() { " Keeping all as it is is forbidden: its claims do not support it." } else { "" };
    Some(vec![
        strong("It costs more than keeping. "),
        text(format!(
            "It comes first all the same, because fewer assemblies without a supported route comes before cost.{forbidden}"
        )),
    ])
}

fn on_path(l: &Ledger, best: &PlanResult, number: usize, path: &PathResult) -> Cell {
    let mut line = vec![strong(format!("Path {number}, chance ")), Inline::Strong(vec![l.chance(path.chance)])];
    line.push(text(format!(": {}; ", outcome(path))));
    let ends = l.assessment.assemblies.iter().filter(|a| open(l, best, &a.id)).map(|a| {
        let month = l.course(path, &a.id).last().map_or(0, |c| c.1);
        let from = if month > 0 { format!(" from month {month}") } else { String::new() };
        format!("{} {}{from}", a.id, l.end(path, &a.id))
    });
    let ends: Vec<String> = ends.collect();
    line.extend([text(format!("{}; cost ", ends.join(", "))), l.k_unit(path.cost), text(".")]);
    line
}

/// Paths that cost more than keeping, and those on which an assembly ends without a supported route.
fn losing(l: &Ledger, best: &PlanResult) -> Vec<Cell> {
    let mut out = Vec::new();
    if let Some(keep) = l.keep() {
        let dear: Vec<(usize, &PathResult)> =
            likeliest(best).into_iter().filter(|(_, p)| p.cost.value > keep.cost.value).collect();
        if !dear.is_empty() && best.paths.len() > 1 {
            let each = dear.into_iter().map(|(_, p)| {
                vec![text(format!("{}, chance ", outcome(p))), l.chance(p.chance), text(", costs "), l.k(p.cost)]
            });
            let mut line = labelled("What loses", ink::joined(each, "; "));
            line.extend([text(", keeping "), l.k_unit(keep.cost), text(".")]);
            out.push(line);
        }
    }
    let without = best.paths.iter().filter_map(|path| {
        let ids: Vec<&str> = l.assessment.assemblies.iter().map(|a| a.id.as_str()).collect();
        let ids: Vec<&str> = ids.into_iter().filter(|a| !l.supported(path, a, &l.end(path, a))).collect();
        (!ids.is_empty()).then(|| {
            vec![text(format!("{} if {} (chance ", ids.join(", "), outcome(path))), l.chance(path.chance), text(")")]
        })
    });
    let without = ink::joined(without, "; ");
    if !without.is_empty() {
        let mut line = labelled("Ends without a supported route", without);
        line.push(text(": held in containment, which no state of a claim calls supported."));
        out.push(line);
    }
    out
}

fn alike(l: &Ledger, best: &PlanResult) -> Option<Cell> {
    let (allowed, forbidden) = l.alike(best);
    let mut words = String::new();
    if !allowed.is_empty() {
        words = format!("Not distinguishable from it in cost: {}. Choose by risk, not by money.", allowed.join(", "));
    }
    if !forbidden.is_empty() {
        let (cost, are) = if forbidden.len() == 1 { ("costs", "is") } else { ("cost", "are") };
        words.push_str(&format!(" {} {cost} about the same and {are} forbidden: no choice.", forbidden.join(", ")));
    }
    (!words.is_empty()).then(|| cell(words.trim()))
}

/// What a gate waits for that is not met.
fn waits(g: &GateState) -> Vec<&str> {
    g.waits.iter().filter(|w| !w.0).map(|w| w.1.as_str()).collect()
}

/// What to do, in one line: what is bought and done on every path, and what the tests decide.
fn headline(l: &Ledger, best: &PlanResult) -> String {
    let mut out: Vec<String> = Vec::new();
    let bought: Vec<&str> = bought_now(best).map(|r| r.0.as_str()).collect();
    if !bought.is_empty() {
        out.push(format!("Buy {}.", bought.join(" and ")));
    }
    let ids = || l.assessment.assemblies.iter().map(|a| a.id.as_str());
    let mut ends: Vec<(String, Vec<&str>)> = Vec::new();
    for id in ids().filter(|id| !open(l, best, id)) {
        let end = best.paths.first().map_or(String::new(), |p| l.end(p, id));
        match ends.iter_mut().find(|e| e.0 == end) {
            Some(e) => e.1.push(id),
            None => ends.push((end, vec![id])),
        }
    }
    out.extend(ends.into_iter().map(|(end, ids)| format!("{}: {end}.", ids.join(", "))));
    let open: Vec<&str> = ids().filter(|id| open(l, best, id)).collect();
    if !open.is_empty() {
        out.push(format!("{}: as the tests say.", open.join(", ")));
    }
    out.join(" ")
}

/// The package to buy next: of those that the best plan buys first on every path, else of all, the one that is worth most.
pub fn next_package<'a>(l: &Ledger<'a>) -> Option<&'a EvidenceValue> {
    let paths = l.best().map_or(&[][..], |b| &b.paths);
    let first = |id: &str| !paths.is_empty() && paths.iter().all(|p| p.results.first().is_some_and(|r| r.0 == id));
    let worth = |x: &&EvidenceValue| x.value.value.is_finite() && x.value.value > 0.0;
    let found = l.p.values.iter().find(|v| first(&v.package)).filter(worth);
    found.or_else(|| l.p.values.iter().filter(worth).max_by(|a, b| a.value.value.total_cmp(&b.value.value)))
}

fn next(l: &Ledger) -> Vec<Block> {
    let Some(v) = next_package(l) else {
        return vec![ink::says("No test that could be bought is worth its price.")];
    };
    let unit = l.unit();
    let mut line = labelled(&v.package, cell(format!("{}. It costs ", l.title(&v.package))));
    line.extend([
        l.package_price(&v.package, v.cost),
        text(format!(" {unit} and is worth ")),
        l.k_signed(v.value),
        text(format!(" {unit} net of that: ")),
    ]);
    line.extend([text("the expected cost of the best plan is "), l.k_of(v.with, v.value.working)]);
    line.extend([text(format!(" {unit} with it and ")), l.k_of(v.without, v.value.working)]);
    line.push(text(format!(" {unit} without it, where all other tests may still be bought.")));
    if let (Some(b), Some(at)) = (v.break_even, l.chance_at(&v.package)) {
        line.extend([text(" It pays from a chance of success of "), l.at(share(b), at), text(" on")]);
        line.push(text(", found by searching again with other chances in the place of the one that is stated there."));
    }
    let mut out = vec![Block::Paragraph(line)];
    if !v.instead.is_empty() {
        out.push(ink::says(format!("Without it the best plan would be: {}.", v.instead.trim_end_matches('.'))));
    }
    out
}
