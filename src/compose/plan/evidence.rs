//! Takes the ledger; gives what every test is worth, and the cheapest actions that lift each assembly and the site.

use super::ledger::{Ledger, share};
use crate::compose::ink::{self, Cell, cell, strong, text};
use crate::diag::At;
use crate::model::document::Block;
use crate::model::planning::{ClosingAction, ClosingSet, EvidenceValue, Wider};

pub fn chapter(l: &Ledger) -> Vec<Block> {
    let mut out = vec![ink::says(
        "A test is worth the expected cost of the best plan that may not buy it, less that of the best plan that may, with \
         its own price inside. All other tests may be bought in both. Worth nothing means: decide without it. The chance from \
         which on it pays is found by searching again with other chances in the place that it leads to; no route is the \
         expected number of assemblies that end without a supported route in either best plan.",
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
    // Found by searching again, with the chance of the test changed, or without the test.
    let searched =
        |shown: String, at: Option<At>| at.map_or_else(|| cell(shown.clone()), |at| vec![l.at(shown.clone(), at)]);
    let best = l.economy().map(|e| e.at);
    vec![
        vec![strong(v.package.clone()), text(format!(" {}", l.title(&v.package)))],
        vec![l.package_price(&v.package, v.cost)],
        vec![l.k_of(v.with, w)],
        vec![l.k_of(v.without, w)],
        vec![l.k_signed(v.value)],
        v.break_even.map_or_else(|| cell("never"), |b| searched(share(b), l.chance_at(&v.package))),
        ink::joined([v.contained.0, v.contained.1].map(|n| searched(share(n), best)), " / "),
    ]
}

/// Whom a closing set lifts, in words.
pub fn whom(c: &ClosingSet) -> String {
    match (c.assembly.as_str(), c.tree.as_str()) {
        ("", _) => "The whole site, each assembly by the tree that is cheapest".to_string(),
        (a, "leave") => format!("{a}, so that its residue may stay"),
        (a, "wash") => format!("{a}, so that it may be washed with saponifier"),
        (a, tree) => format!("{a}, by its {tree} tree"),
    }
}

/// What an action is good for: the claims that it lifts, or what cannot begin before it is done.
pub fn good_for(c: &ClosingSet, a: &ClosingAction) -> Vec<String> {
    if a.lifts.is_empty() {
        return a.before.iter().map(|x| format!("needed before {x}")).collect();
    }
    let of = |(assembly, claim): &(String, String)| match *assembly == c.assembly {
        true => claim.clone(),
        false => format!("{assembly} {claim}"),
    };
    a.lifts.iter().map(of).collect()
}

/// A package that holds the set and more, and what the rest of it is good for.
pub fn wider(w: &Wider) -> String {
    let mut parts = Vec::new();
    if !w.idle.is_empty() {
        let lifts = if w.idle.len() == 1 { "lifts" } else { "lift" };
        parts.push(format!("{}, which {lifts} nothing that blocks", w.idle.join(", ")));
    }
    if !w.other.is_empty() {
        let lifts = if w.other.len() == 1 { "lifts or prepares" } else { "lift or prepare" };
        parts.push(format!("{}, which {lifts} what this set lifts already", w.other.join(", ")));
    }
    format!("{} holds all of these and {}", w.package, parts.join(", and "))
}

fn closing(l: &Ledger, c: &ClosingSet) -> Vec<Block> {
    let whom = whom(c);
    let mut out = vec![ink::heading(4, whom.clone())];
    if !c.beyond.is_empty() {
        out.push(Block::Caution(cell(format!(
            "Nothing that can be bought lifts {}: {}. That takes another design, another process or a concession.",
            if c.assembly.is_empty() { "the whole site" } else { &c.assembly },
            c.beyond.join(", ")
        ))));
    }
    if c.actions.is_empty() {
        return out;
    }
    let rows = c.actions.iter().map(|a| {
        vec![
            vec![strong(a.action.clone()), text(format!(" {}", a.text)), text(" "), l.place(a.at)],
            vec![l.at(super::ledger::thousands(a.cost), a.at)],
            vec![l.at(format!("{} to {}", weeks(a.span.0), weeks(a.span.1)), a.at)],
            vec![l.at(share(a.chance), a.at)],
            cell(good_for(c, a).join(", ")),
        ]
    });
    let head = ["Action", &format!("Cost, {}", l.unit()), "Weeks", "Chance", "Lifts"];
    out.push(ink::table(&format!("Closing set: {whom}; weeks from its beginning"), &head, &[1, 2, 3], rows.collect()));
    let last = c.actions.iter().max_by(|a, b| a.span.1.total_cmp(&b.span.1));
    let from =
        if c.stated { " (as a package of the site states it)" } else { " (the product of its actions' chances)" };
    let all = weeks(c.weeks);
    out.push(Block::Paragraph(vec![
        text("Together "),
        l.k_unit(c.cost),
        text(", "),
        last.map_or_else(|| text(all.clone()), |a| l.at(all.clone(), a.at)),
        text(" weeks along the longest chain"),
        text(last.map_or(String::new(), |a| format!(", which ends with {}", a.action))),
        text(", chance that all succeed "),
        l.chance(c.chance),
        text(format!("{from}.")),
    ]));
    for w in &c.wider {
        out.push(Block::Paragraph(vec![
            text(format!("{}: ", wider(w))),
            ink::count(w.actions),
            text(" actions, "),
            l.package_price(&w.package, w.cost),
            text(format!(" {}, chance ", l.unit())),
            l.chance_at(&w.package).map_or_else(|| text(share(w.chance)), |at| l.at(share(w.chance), at)),
            text("."),
        ]));
    }
    out
}

/// Weeks, with at most two places behind the point.
pub fn weeks(x: f64) -> String {
    let t = format!("{x:.2}");
    t.trim_end_matches('0').trim_end_matches('.').to_string()
}
