//! Takes the ledger; gives the first chapter: what to do, what it costs and saves, what to decide now, what to test next.

use super::figures;
use super::ledger::{Ledger, share, signed};
use crate::compose::ink::{self, Cell, cell, labelled, strong, text};
use crate::model::document::{Block, Inline};
use crate::model::planning::{PathResult, PlanResult};

/// Paths that stand side by side in one table.
const SIDE_BY_SIDE: usize = 4;

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = vec![Block::Caution(cell(
        "This volume is for the house itself. It holds costs and must not go to customers or laboratories. Dossiers hold no \
         number of it; it cites them by their digests in chapter 7.",
    ))];
    match l.best() {
        Some(best) => {
            out.push(verdict(l, best));
            out.extend(routes(l, best));
            out.push(ink::says(
                "S supported, C supported with conditions, N not yet, X contradicted. Until its first step an assembly is made as \
                 today, whatever the state of the present process; a stop of shipment goes before any plan.",
            ));
            out.extend(timelines(l, best));
            out.push(ink::heading(3, "What must be decided now"));
            out.extend(decide(l, best));
        }
        None => out.push(ink::says("No plan was found. Chapter 7 says how it was searched.")),
    }
    out.push(ink::heading(3, "The one test to buy next"));
    out.extend(next(l));
    out.push(ink::heading(3, "Steps that must wait"));
    let closed: Vec<Cell> =
        l.p.gates
            .iter()
            .filter(|g| !g.open)
            .map(|g| {
                let waits: Vec<&str> = g.waits.iter().filter(|w| !w.0).map(|w| w.1.as_str()).collect();
                vec![
                    strong(format!("{} is closed. ", g.id)),
                    text(format!("{}. It waits for: {}.", g.title, waits.join("; "))),
                ]
            })
            .collect();
    out.extend(ink::list_or(closed, "No gate of the site is closed."));
    out.push(ink::says(
        "No claim knows of these costs: whether residue may stay is judged by evidence alone, before money is looked at. \
         This volume supports the decision of the people who answer for it, and replaces none of them.",
    ));
    out
}

fn verdict(l: &Ledger, best: &PlanResult) -> Block {
    let mut lines = vec![vec![
        text("Expected cost "),
        l.k_unit(best.cost),
        text(", saving against keeping everything as it is "),
        l.k_signed(best.saving),
        text(format!(" {}.", l.unit())),
    ]];
    if let Some(s) = &best.spread {
        let mut line = vec![text("The saving is uncertain: fifth, fiftieth and ninety-fifth hundredth ")];
        line.extend(l.spread(best));
        line.extend([text(format!(" {}; chance of a loss ", l.unit())), l.drawn(share(s.loss), s.loss), text(".")]);
        lines.push(line);
    }
    if best.paths.len() > 1 {
        lines.push(vec![
            text("It has "),
            ink::count(best.paths.len()),
            text(" paths; tests decide which one is taken, so its cost is an expectation that no path may meet."),
        ]);
    }
    if best.contained > 0.0 {
        lines.push(vec![
            text("Expected number of assemblies that end without a supported route: "),
            Inline::Value {
                text: share(best.contained),
                behind: crate::model::document::Behind::Working(best.cost.working),
            },
            text(". They are held in containment, which no state of a claim calls supported."),
        ]);
    }
    if !best.alike.is_empty() {
        lines.push(cell(format!(
            "Not distinguishable from it in cost: {}. Choose among these by risk, not by money.",
            best.alike.join(", ")
        )));
    }
    let state = if l.p.search.proven { "the best of all that the states allow" } else { "the best that was found" };
    Block::Verdict { route: headline(l, best), state: format!("{}: {state}", best.title), lines }
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

/// Packages that are bought in the same month on every path, as the first path has them.
fn bought_now(best: &PlanResult) -> impl Iterator<Item = &(String, bool, u32)> {
    let first = best.paths.first().map_or(&[][..], |p| &p.results);
    first.iter().filter(|r| best.paths.iter().all(|p| p.results.iter().any(|x| x.0 == r.0 && x.2 == r.2)))
}

/// Whether tests decide over an assembly.
fn open(l: &Ledger, best: &PlanResult, assembly: &str) -> bool {
    best.paths.windows(2).any(|w| l.end(&w[0], assembly) != l.end(&w[1], assembly))
}

/// Packages and outcomes of a path, and its chance.
pub fn outcome(l: &Ledger, path: &PathResult) -> Cell {
    let words: Vec<String> =
        path.results.iter().map(|(p, ok, _)| format!("{p} {}", if *ok { "succeeds" } else { "fails" })).collect();
    let words = if words.is_empty() { "no test".to_string() } else { words.join(", ") };
    vec![text(format!("{words}; chance ")), l.chance(path.chance)]
}

/// Treatment of every assembly on every path.
pub fn routes(l: &Ledger, plan: &PlanResult) -> Vec<Block> {
    let mut out = Vec::new();
    for (part, paths) in plan.paths.chunks(SIDE_BY_SIDE).enumerate() {
        let number = |i: usize| part * SIDE_BY_SIDE + i + 1;
        let names: Vec<String> = (0..paths.len()).map(|i| format!("Path {}", number(i))).collect();
        let mut head = vec!["Assembly", "Trees now: leave, wash, present"];
        head.extend(names.iter().map(String::as_str));
        let mut rows = vec![vec![cell("Outcome"), cell("")]];
        rows[0].extend(paths.iter().map(|p| outcome(l, p)));
        for a in &l.assessment.assemblies {
            let letters = [a.state, a.wash_state, a.present_state].map(|s| s.letter()).join(" ");
            let mut row = vec![cell(a.id.clone()), cell(letters)];
            row.extend(paths.iter().map(|p| course(l, p, &a.id)));
            rows.push(row);
        }
        let mut cost = vec![cell(format!("Cost, {}", l.unit())), cell("")];
        cost.extend(paths.iter().map(|p| vec![l.k(p.cost)]));
        rows.push(cost);
        out.push(ink::table(&format!("Routes of {}: treatment and first month", plan.id), &head, &[], rows));
    }
    out
}

fn course(l: &Ledger, path: &PathResult, assembly: &str) -> Cell {
    let each = l.course(path, assembly).into_iter().map(|(t, month)| {
        let mut one = vec![strong(t.clone())];
        if month > 0 {
            let lead = l.site.plan.treatment(&t).map(|x| x.lead.at);
            one.push(text(" from month "));
            one.push(lead.map_or_else(|| text(month.to_string()), |at| l.at(month.to_string(), at)));
        }
        one
    });
    ink::joined(each, ", then ")
}

fn timelines(l: &Ledger, best: &PlanResult) -> Vec<Block> {
    let mut order: Vec<usize> = (0..best.paths.len()).collect();
    order.sort_by(|a, b| best.paths[*b].chance.value.total_cmp(&best.paths[*a].chance.value));
    let mut all = order.into_iter().map(|i| Block::Figure(figures::timeline(l, &best.paths[i], i + 1)));
    let mut out: Vec<Block> = all.next().into_iter().collect();
    let rest: Vec<Block> = all.collect();
    if !rest.is_empty() {
        out.push(Block::Fold { summary: cell("The months of the other paths"), blocks: rest });
    }
    out
}

/// What is the same on every path, and therefore does not wait for any test.
fn decide(l: &Ledger, best: &PlanResult) -> Vec<Block> {
    let Some(first) = best.paths.first() else { return Vec::new() };
    let mut items: Vec<Cell> = Vec::new();
    for (package, _, month) in bought_now(best) {
        let at = l.site.plan.package(package).map(|p| p.at).or_else(|| l.site.plan.action(package).map(|a| a.at));
        let shown = month.to_string();
        let month = at.map_or_else(|| text(shown.clone()), |at| l.at(shown.clone(), at));
        items.push(vec![text(format!("Buy {package}: {}, paid in month ", l.title(package))), month, text(".")]);
    }
    for (assembly, treatment, month) in &first.steps {
        let everywhere =
            best.paths.iter().all(|p| p.steps.iter().any(|s| s.0 == *assembly && s.1 == *treatment && s.2 == *month));
        if everywhere {
            let lead = l.site.plan.treatment(treatment).map(|t| t.lead.at);
            let shown = month.to_string();
            let month = lead.map_or_else(|| text(shown.clone()), |at| l.at(shown.clone(), at));
            items.push(vec![
                text(format!("{assembly}: {}, first boards in month ", l.title(treatment))),
                month,
                text("."),
            ]);
        }
    }
    let mut out = ink::list_or(items, "Nothing is the same on every path: the first test decides over all of it.");
    let ids = l.assessment.assemblies.iter().map(|a| a.id.as_str());
    let later: Vec<&str> = ids.filter(|a| open(l, best, a)).collect();
    if !later.is_empty() {
        out.push(ink::says(format!(
            "Tests decide over {}: nothing irreversible before their results.",
            later.join(", ")
        )));
    }
    out
}

/// The package to buy next: of those that the best plan buys first on every path, else of all, the one that is worth most.
pub fn next_package<'a>(l: &Ledger<'a>) -> Option<&'a crate::model::planning::EvidenceValue> {
    let paths = l.best().map_or(&[][..], |b| &b.paths);
    let first = |id: &str| !paths.is_empty() && paths.iter().all(|p| p.results.first().is_some_and(|r| r.0 == id));
    let worth = |x: &&crate::model::planning::EvidenceValue| x.value.value.is_finite() && x.value.value > 0.0;
    let found = l.p.values.iter().find(|v| first(&v.package)).filter(worth);
    found.or_else(|| l.p.values.iter().filter(worth).max_by(|a, b| a.value.value.total_cmp(&b.value.value)))
}

fn next(l: &Ledger) -> Vec<Block> {
    let Some(v) = next_package(l) else {
        return vec![ink::says("No test that could be bought is worth its price.")];
    };
    let price = l.k_of(v.cost, v.value.working);
    let unit = l.unit();
    let mut line = labelled(&v.package, cell(format!("{}. It costs ", l.title(&v.package))));
    line.extend([
        price,
        text(format!(" {unit} and is worth ")),
        l.k_signed(v.value),
        text(format!(" {unit} net of that: ")),
    ]);
    line.extend([text("the expected cost of the best plan is "), l.k_of(v.with, v.value.working)]);
    line.extend([text(format!(" {unit} with it and ")), l.k_of(v.without, v.value.working)]);
    line.push(text(format!(" {unit} without it, where all other tests may still be bought.")));
    if let Some(b) = v.break_even {
        let working = crate::model::document::Behind::Working(v.value.working);
        line.extend([
            text(" It pays from a chance of success of "),
            Inline::Value { text: share(b), behind: working },
            text(" on."),
        ]);
    }
    let mut out = vec![Block::Paragraph(line)];
    if !v.instead.is_empty() {
        out.push(ink::says(format!("Without it the best plan would be: {}.", v.instead.trim_end_matches('.'))));
    }
    out
}

/// An amount that is told in words of a figure.
pub fn told(l: &Ledger, x: f64) -> String {
    format!("{} {}", signed(x), l.unit())
}
