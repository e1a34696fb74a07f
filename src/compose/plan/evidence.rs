//! Takes the ledger; gives what every test is worth, and the cheapest actions that lift each assembly and the site.

use super::ledger::{Ledger, share};
use crate::compose::ink::{self, Cell, cell, strong, text};
use crate::model::document::{Behind, Block, Inline};
use crate::model::planning::{ClosingSet, EvidenceValue};

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = vec![ink::says(
        "A test is worth the expected cost of the best plan that may not buy it, less that of the best plan that may, with \
         its own price inside. All other tests may be bought in both. Worth nothing means: decide without it.",
    )];
    let rows = l.p.values.iter().map(|v| value(l, v));
    let head = [
        "Test",
        "Price",
        "Best plan with it",
        "Without it",
        "Worth, net",
        "Pays from a chance of",
        "No route, with and without",
    ];
    let caption = format!("Value of every test that can be bought, {}", l.unit());
    out.extend(ink::table_or(&caption, &head, &[1, 2, 3, 4, 5], rows.collect(), "No test can be bought."));
    let instead =
        l.p.values
            .iter()
            .filter(|v| !v.instead.is_empty())
            .map(|v| vec![strong(format!("Without {}: ", v.package)), text(v.instead.clone())]);
    let instead: Vec<Cell> = instead.collect();
    if !instead.is_empty() {
        out.push(ink::list(instead));
    }
    out.push(ink::heading(3, "The cheapest way to a supported route"));
    out.push(ink::says(
        "Of all sets of actions that lift what blocks, the one that costs least; of equal ones the one that is done first. An \
         action that cannot lift the state is never among them.",
    ));
    if l.p.closing.is_empty() {
        out.push(ink::says("Every assembly has a supported route already."));
    }
    out.extend(l.p.closing.iter().flat_map(|c| closing(l, c)));
    out
}

fn value(l: &Ledger, v: &EvidenceValue) -> Vec<Cell> {
    let w = v.value.working;
    let on = |shown: String| vec![Inline::Value { text: shown, behind: Behind::Working(w) }];
    vec![
        vec![strong(v.package.clone()), text(format!(" {}", l.title(&v.package)))],
        vec![l.k_of(v.cost, w)],
        vec![l.k_of(v.with, w)],
        vec![l.k_of(v.without, w)],
        vec![l.k_signed(v.value)],
        v.break_even.map_or_else(|| cell("never"), |b| on(share(b))),
        on(format!("{} / {}", share(v.contained.0), share(v.contained.1))),
    ]
}

fn closing(l: &Ledger, c: &ClosingSet) -> Vec<Block> {
    let whom = if c.assembly.is_empty() { "The whole site".to_string() } else { c.assembly.clone() };
    let tree = if c.tree.is_empty() { String::new() } else { format!(", by its {} tree", c.tree) };
    let mut out = vec![ink::heading(4, format!("{whom}{tree}"))];
    if !c.beyond.is_empty() {
        out.push(Block::Caution(cell(format!(
            "Nothing that can be bought lifts {}: {}. That takes another design, another process or a concession.",
            whom,
            c.beyond.join(", ")
        ))));
    }
    if c.actions.is_empty() {
        return out;
    }
    let rows = c.actions.iter().map(|a| {
        let lifts: Vec<String> = a.lifts.iter().map(|(assembly, claim)| format!("{assembly} {claim}")).collect();
        vec![
            vec![strong(a.action.clone()), text(format!(" {}", a.text)), text(" "), l.place(a.at)],
            vec![l.at(super::ledger::thousands(a.cost), a.at)],
            vec![l.at(format!("{}", a.weeks), a.at)],
            vec![l.at(share(a.chance), a.at)],
            cell(lifts.join(", ")),
        ]
    });
    let head = ["Action", &format!("Cost, {}", l.unit()), "Weeks", "Chance", "Lifts"];
    out.push(ink::table(&format!("Closing set of {whom}"), &head, &[1, 2, 3], rows.collect()));
    let weeks = Inline::Value { text: format!("{}", c.weeks), behind: Behind::Working(c.cost.working) };
    let from =
        if c.stated { " (as a package of the site states it)" } else { " (the product of its actions' chances)" };
    out.push(Block::Paragraph(vec![
        text("Together "),
        l.k_unit(c.cost),
        text(", "),
        weeks,
        text(" weeks along the longest chain, chance that all succeed "),
        l.chance(c.chance),
        text(format!("{from}.")),
    ]));
    out
}
