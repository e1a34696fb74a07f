//! Takes the ledger; gives every plan side by side, why some are forbidden, what makes each cheaper or dearer than keeping.

use super::figures;
use super::ledger::{Ledger, share, signed};
use super::loses;
use super::routes::routes;
use crate::compose::ink::{self, Cell, cell, strong, text};
use crate::model::document::{Behind, Block, Inline};
use crate::model::economy::TreatmentRoute;
use crate::model::planning::{Allowed, KEEP, PathResult, PlanResult, Used};

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = side_by_side(l);
    out.push(ink::says(
        "Cost is the expected present value over the whole horizon, saving is the cost of keeping less that cost. A plan \
         that the states do not allow is weighed like the others and marked forbidden: it is no choice, however cheap. Pays \
         back: the month from which on the discounted saving, month by month over the paths by their chances, stays above \
         nothing. No route: over the paths, the chance times the number of assemblies that end without a supported route. Both come \
         about by weighing the whole plan, so they lead to its place, those of plans that galipot adds to [economy].",
    ));
    out.extend(loses::losers_told(l));
    out.push(ink::heading(3, "What each plan uses beside the money"));
    out.push(used(l));
    out.push(ink::heading(3, "What the states allow"));
    out.extend(allowed(l));
    for plan in l.p.plans.iter().filter(|p| p.id != KEEP) {
        out.push(ink::heading(3, format!("{}: {}", plan.id, plan.title)));
        out.extend(one(l, plan));
    }
    if let Some(keep) = l.keep() {
        out.push(ink::heading(3, format!("{}: {}", keep.id, keep.title)));
        out.extend(routes(l, keep));
        out.extend(keep.paths.iter().enumerate().map(|(i, p)| rows(l, keep, p, i + 1)));
        out.push(used_by_path(l, keep));
    }
    out
}

fn side_by_side(l: &Ledger) -> Vec<Block> {
    let given = l.p.plans.iter().any(|p| p.given_back.is_some());
    let mut head = vec![
        "Plan",
        "Allowed",
        "Cost",
        "Saving",
        "P5",
        "P50",
        "P95",
        "Chance of loss",
        "Pays back",
        "No route",
        "Alike",
    ];
    if given {
        head.insert(4, "Given back");
    }
    let rows = l.p.plans.iter().map(|p| {
        let same = l.same_as_keeping(p);
        let mut row = vec![
            vec![strong(p.id.clone())],
            if p.forbidden.is_empty() { cell("yes") } else { vec![strong("FORBIDDEN")] },
            vec![l.k(p.cost)],
            vec![l.k_signed(p.saving)],
        ];
        if given {
            row.push(p.given_back.map_or_else(|| cell("none"), |g| vec![l.k(g)]));
        }
        let spread = p.spread.as_ref().filter(|_| !same);
        let none = if same { "none" } else { "not drawn" };
        let drawn = |shown: Option<(String, f64)>| shown.map_or_else(|| cell(none), |(t, x)| vec![l.drawn(t, x)]);
        row.extend([0, 1, 2].map(|i| drawn(spread.map(|s| [s.p5, s.p50, s.p95][i]).map(|x| (signed(x), x)))));
        row.push(drawn(spread.map(|s| (share(s.loss), s.loss))));
        row.push(match p.payback {
            _ if same => cell("nothing"),
            Some(m) => vec![text("month "), l.weighed(format!("{m:.0}"), p)],
            None => cell("never"),
        });
        row.push(vec![l.weighed(share(p.contained), p)]);
        let (allowed, forbidden) = l.alike(p);
        let alike = allowed.into_iter().map(str::to_string).chain(forbidden.iter().map(|x| format!("{x} (forbidden)")));
        let alike: Vec<String> = alike.collect();
        row.push(cell(if alike.is_empty() { "none".to_string() } else { alike.join(", ") }));
        row
    });
    let caption = format!("Plans: cost, saving and percentiles of the saving, {}", l.unit());
    let names = l.p.plans.iter().map(|p| {
        let mut name = vec![strong(format!("{}: ", p.id)), text(p.title.clone())];
        name.extend(p.at.into_iter().flat_map(|at| [text(" "), l.place(at)]));
        name
    });
    let names = ink::list(names.collect());
    let numeric: Vec<usize> = (2..head.len() - 1).collect();
    vec![ink::table(&caption, &head, &numeric, rows.collect()), names]
}

/// What every plan uses beside the money.
fn used(l: &Ledger) -> Block {
    let caption =
        format!("Expected use in this house over {} months, weighted by the chances of the paths", l.p.months);
    uses_of(l, "Plan", &caption, l.p.plans.iter().map(|p| (p.id.clone(), p.used)))
}

fn used_by_path(l: &Ledger, plan: &PlanResult) -> Block {
    let paths = plan.paths.iter().enumerate();
    let caption = format!("{}: use in this house over {} months, by path", plan.id, l.p.months);
    uses_of(l, "Path", &caption, paths.map(|(i, p)| (format!("{}: {}", i + 1, p.text.trim_end_matches('.')), p.used)))
}

fn uses_of(l: &Ledger, of: &str, caption: &str, uses: impl Iterator<Item = (String, Option<Used>)>) -> Block {
    let rows = uses.map(|(name, used)| {
        let mut row = vec![cell(name)];
        row.extend(super::lines::uses(l, used));
        row
    });
    let head = [of, "Hours", "Energy, kWh", "Water, m3", "Effluent, m3", "Saponifier, l"];
    ink::table(caption, &head, &[1, 2, 3, 4, 5], rows.collect())
}

fn allowed(l: &Ledger) -> Vec<Block> {
    // What is not for an assembly, and what is left where nothing is allowed, is no choice.
    let choice = |a: &&Allowed| {
        l.site.plan.treatment(&a.treatment).is_none_or(|t| {
            let own = t.assemblies.is_empty() || t.assemblies.iter().any(|x| x.text == a.assembly);
            own && t.route != TreatmentRoute::Contained
        })
    };
    let rows = l.p.allowed.iter().filter(choice).map(|a| {
        let mut now = vec![strong(if a.today { "yes" } else { "no" })];
        if let Some(s) = l.state(&a.assembly, &a.treatment) {
            now.extend([text(" "), Inline::State(s)]);
        }
        let after: Vec<String> = a.after.iter().map(|set| set.join(" and ")).collect();
        let after = match (a.today, after.is_empty()) {
            (true, _) => "not needed".to_string(),
            (false, true) => "nothing on file".into(),
            (false, false) => after.join(", or "),
        };
        vec![cell(a.assembly.clone()), cell(a.treatment.clone()), now, cell(after), cell(a.why.clone())]
    });
    let head = ["Assembly", "Treatment", "Now", "After the success of", "Why"];
    ink::table_or("Treatments by assembly", &head, &[], rows.collect(), "No treatment is on file.")
}

fn one(l: &Ledger, plan: &PlanResult) -> Vec<Block> {
    let mut out = Vec::new();
    if !plan.forbidden.is_empty() {
        out.push(Block::Caution(cell(format!("{} is forbidden: {}.", plan.id, plan.forbidden.join("; ")))));
    }
    if let Some(g) = plan.given_back {
        out.push(Block::Paragraph(vec![
            text("Of the saving customers get back "),
            l.k(g),
            text(format!(" {}; it is not taken off above.", l.unit())),
        ]));
    }
    if let Some(keep) = l.keep() {
        out.push(Block::Figure(figures::waterfall(l, keep, plan)));
    }
    let mut inside = if plan.id == crate::model::planning::BEST { Vec::new() } else { routes(l, plan) };
    inside.extend(plan.paths.iter().enumerate().map(|(i, p)| rows(l, plan, p, i + 1)));
    inside.push(used_by_path(l, plan));
    out.push(Block::Fold { summary: cell(format!("Routes and every cost of {}", plan.id)), blocks: inside });
    out
}

/// Every cost of a path, as it is paid and at its present value.
fn rows(l: &Ledger, plan: &PlanResult, path: &PathResult, number: usize) -> Block {
    let rows = path.rows.iter().map(|r| {
        let when = match r.once {
            true => format!("month {}, once", r.from),
            false => format!("months {} to {}", r.from, r.to),
        };
        let amount = l.k(r.amount);
        let when = Inline::Value { text: when, behind: Behind::Working(r.present.working) };
        let what = if r.text.contains(&r.of) { r.text.clone() } else { format!("{}: {}", r.of, r.text) };
        vec![cell(what), vec![when], vec![amount], vec![l.k(r.present)]]
    });
    let mut rows: Vec<Vec<Cell>> = rows.collect();
    rows.push(vec![vec![strong("All")], cell(""), cell(""), vec![l.k(path.cost)]]);
    let caption =
        format!("{}, path {number}: {}; in {}, yearly unless once", plan.id, path.text.trim_end_matches('.'), l.unit());
    ink::table(&caption, &["Cost", "When", "Amount", "Present value"], &[2, 3], rows)
}
