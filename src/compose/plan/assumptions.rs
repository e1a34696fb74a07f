//! Takes the ledger; gives what the plan rests on: rates, uncertain numbers, what is left out, how the best plan was found.

use super::ledger::{Ledger, share, thousands};
use crate::compose::ink::{self, Cell, cell, strong, text};
use crate::model::document::{Block, Inline};
use crate::model::economy::{Economy, Uncertain};
use crate::quantity::Quantity;

pub fn chapter(l: &Ledger, dossiers: &[(String, String)]) -> Vec<Block> {
    let mut out = Vec::new();
    if let Some(e) = l.economy() {
        out.extend(economy(l, e));
    }
    out.push(ink::heading(3, "Numbers that are uncertain"));
    let rows = l.site.plan.uncertain.iter().map(|u| uncertain(l, u));
    let head = ["Number", "Shape", "Values", "Basis"];
    let none = "No number is called uncertain. That is a claim of its own; nobody believes it.";
    out.extend(ink::table_or("Uncertain numbers, as the site states them", &head, &[], rows.collect(), none));
    out.push(ink::heading(3, "What is not in it"));
    out.push(ink::list(vec![
        cell("Tax, financing and inflation beyond the stated rise of prices."),
        cell(
            "Failures in the field. Their cost is shown by the house elsewhere and never mixed in: a cheap plan must not buy a \
             state, and a state must not be bought by a price on failures.",
        ),
        cell("Uncertain numbers move independently. Where they move together the spread is wider or narrower than shown."),
        cell("How many machines and shifts are needed is kept as in the plan, whatever is drawn."),
        cell("Values in the books: they are spent whatever is decided."),
    ]));
    out.push(ink::heading(3, "How the best plan was found"));
    out.push(search(l));
    out.push(ink::heading(3, "Dossiers behind the states"));
    let rows = dossiers.iter().map(|(a, d)| vec![cell(a.clone()), vec![Inline::Code(d.clone())]]);
    out.extend(ink::table_or(
        "Digest of inputs and record of the dossier of every assembly, as it stands on the day of judgement",
        &["Assembly", "SHA-256"],
        &[],
        rows.collect(),
        "No dossier was composed.",
    ));
    out
}

fn economy(l: &Ledger, e: &Economy) -> Vec<Block> {
    let written = |q: &Quantity| vec![l.at(q.written.clone(), q.at)];
    let or = |q: &Option<Quantity>| q.as_ref().map_or_else(|| cell("none"), written);
    let rows = vec![
        vec![cell("Day of month 0"), cell(e.base_date.to_string())],
        vec![cell("Months looked ahead"), written(&e.months)],
        vec![cell("Discount rate a year"), written(&e.rate)],
        vec![cell("Rise of recurring costs a year"), or(&e.escalation)],
        vec![cell("Share of a saving that customers get back"), or(&e.giveback)],
        vec![cell("Plans are not told apart within a share of the cost of"), written(&e.same_within)],
        vec![cell("Treatment today"), cell(l.title(&e.today))],
        vec![cell("Draws"), written(&e.draws)],
        vec![cell("Seed"), written(&e.seed)],
        vec![cell("Generator"), cell(l.p.generator)],
        vec![cell("Basis"), cell(e.basis.text.clone())],
    ];
    vec![ink::table("What all plans have in common", &["What", "Value"], &[], rows)]
}

fn uncertain(l: &Ledger, u: &Uncertain) -> Vec<Cell> {
    let named = [("low", &u.low), ("mode", &u.mode), ("high", &u.high), ("mean", &u.mean), ("sd", &u.sd)];
    let values = named.into_iter().filter_map(|(name, q)| {
        let q = q.as_ref()?;
        Some(vec![text(format!("{name} ")), l.at(q.written.clone(), q.at)])
    });
    let mut values = ink::joined(values, ", ");
    if u.relative == Some(true) {
        values.push(text(", as factors"));
    }
    let mut name = vec![text(format!("{} ", u.parameter))];
    name.push(l.place(u.at));
    vec![name, cell(u.shape.word()), values, cell(u.basis.text.clone())]
}

fn search(l: &Ledger) -> Block {
    let s = &l.p.search;
    let mut line = vec![
        text("Weighed: "),
        ink::count(s.policies),
        text(" ways of buying tests, "),
        ink::count(s.solved),
        text(
            " integer programmes. No assembly is contained to save money: of two plans the one with fewer expected assemblies \
             without a supported route is better, then the one that costs less. ",
        ),
    ];
    if s.proven {
        line.push(strong("Proven: no plan of this kind that the states allow costs less."));
    } else {
        // Found by the search; it rests on all that every plan shares.
        let on = |shown: String| match l.economy() {
            Some(e) => l.at(shown, e.at),
            None => text(shown),
        };
        line.extend([
            strong("Not proven. "),
            text("No such plan costs less than "),
            on(thousands(s.bound)),
            text(format!(" {}; the gap is a share of ", l.unit())),
            on(share(s.gap)),
            text(". "),
        ]);
    }
    if let Some(why) = &s.stopped {
        line.push(text(format!(" The search ended early: {why}.")));
    }
    Block::Paragraph(line)
}
