//! Takes the calculations by topic; gives the page of methods: formula, symbols, range, weakness, sources and checks of each.

use super::{Cell, DEFERENCE, cell, chapter, inputs, labelled, says, table, unit};
use crate::compute::calc::{Calc, sources};
use crate::model::document::{Block, Document, Formula, Inline};
use crate::model::workings::Strength;
use crate::quantity::{compact, significant};

/// The page of methods.
pub fn methods(topics: &[(&str, &[&Calc])]) -> Document {
    let count: usize = topics.iter().map(|t| t.1.len()).sum();
    let mut chapters = vec![chapter("reading", 1, "How to read this page", reading(count))];
    for (i, (topic, calcs)) in topics.iter().enumerate() {
        let name = format!("topic-{}", i + 1);
        chapters.push(chapter(&name, i + 2, topic, calcs.iter().flat_map(|c| method(c)).collect()));
    }
    let used: Vec<&str> = topics.iter().flat_map(|t| t.1).flat_map(|c| keys(c)).collect();
    let rows = sources::SOURCES
        .iter()
        .filter(|s| used.contains(&s.key))
        .map(|s| vec![cell(s.key), cell(s.text), cell(standing(s.standing))]);
    let documents = table(
        "Documents that the methods and their checks rest on",
        &["Key", "Document", "Known"],
        &[],
        rows.collect(),
    );
    chapters.push(chapter("sources", topics.len() + 2, "Sources", vec![documents]));
    Document {
        title: "Methods of galipot".into(),
        identity: vec![
            ("Tool".into(), format!("galipot {}", env!("CARGO_PKG_VERSION"))),
            ("Calculations".into(), count.to_string()),
        ],
        running: format!("galipot {} · methods", env!("CARGO_PKG_VERSION")),
        mark: None,
        day: None,
        chapters,
    }
}

fn standing(word: &str) -> &str {
    match word {
        "seen" => "read in the document",
        "memory" => "from memory: check against a purchased edition",
        "practice" => "common practice, no document",
        other => other,
    }
}

/// Every document of a calculation, in the order in which they are named, each once.
fn keys(c: &Calc) -> Vec<&'static str> {
    let mut out: Vec<&'static str> = Vec::new();
    for key in c.sources.iter().copied().chain(c.checks.iter().map(|k| k.source)) {
        if !out.contains(&key) {
            out.push(key);
        }
    }
    out
}

fn reading(count: usize) -> Vec<Block> {
    vec![
        says(format!(
            "This page is made from the {count} calculation files of the program, one file for each calculation, and a \
             test keeps it so. From the same file come the value in a dossier, its formula with the numbers in place, the \
             self-test and this page."
        )),
        says(
            "A formula in signs is the computed one: what is printed is read back by a test and evaluated beside the \
             program over the whole range of its symbols. Where a procedure has no closed formula it is told in words. \
             z(p) is the quantile of the standard normal distribution, t(p, nu) that of Student's distribution with nu \
             degrees of freedom.",
        ),
        says(
            "A calculation outside of the stated range is refused. \"Decides\" means that the result may decide a claim, \
             \"screens\" that it ranks or bounds, \"informs\" that it never lifts a state. Every method says why it is weak.",
        ),
        says(DEFERENCE),
    ]
}

fn symbol(c: &Calc, name: &str) -> Cell {
    vec![Inline::Symbol(Formula::named(&c.signs(), name))]
}

fn method(c: &Calc) -> Vec<Block> {
    let heading = Block::Heading { level: 1, text: cell(format!("{} ({})", c.title, c.id)), anchor: Some(c.id.into()) };
    let range = |s: &crate::compute::calc::Symbol| {
        let kind = match (s.whole, s.many) {
            (true, true) => ", whole numbers",
            (true, false) => ", a whole number",
            (false, true) => ", a list",
            (false, false) => "",
        };
        format!("{} to {}{kind}", compact(s.low), compact(s.high))
    };
    let symbols =
        c.symbols.iter().map(|s| vec![symbol(c, s.symbol), cell(unit(s.unit)), cell(range(s)), cell(s.meaning)]);
    let outputs = c.outputs.iter().map(|o| vec![symbol(c, o.symbol), cell(unit(o.unit)), cell(o.meaning)]);
    let strength = match c.strength {
        Strength::Decides => "decides",
        Strength::Screens => "screens: ranks or bounds",
        Strength::Informs => "informs: never lifts a state",
    };
    let cited: Vec<&str> = c.sources.iter().map(|k| sources::find(k).map_or(*k, |s| s.text)).collect();
    let mut out = vec![
        heading,
        Block::Formula(c.formulas()),
        table(format!("Inputs of {}", c.id), &["Symbol", "Unit", "Range", "Meaning"], &[], symbols.collect()),
        table(format!("Results of {}", c.id), &["Symbol", "Unit", "Meaning"], &[], outputs.collect()),
        Block::List {
            ordered: false,
            items: vec![
                labelled("Strength", strength),
                labelled("Holds when", c.holds_when),
                labelled("Weak because", c.weak_because),
                labelled("Sources", cited.join("; ")),
            ],
        },
        checks(c),
    ];
    out.extend(c.example().map(Block::Code));
    out
}

fn checks(c: &Calc) -> Block {
    let mut rows = Vec::new();
    for k in c.checks {
        for (i, (output, value)) in k.expected.iter().enumerate() {
            let given = if i == 0 { inputs(k.inputs) } else { "the same".into() };
            let allowed = k.absolute + k.relative * value.abs();
            rows.push(vec![
                cell(given),
                cell(format!("{output} = {}", compact(*value))),
                cell(significant(allowed, 2)),
                cell(k.source),
                cell(k.known.word()),
            ]);
        }
    }
    table(format!("Checks of {}", c.id), &["For", "Known answer", "Within", "Source", "Standing"], &[], rows)
}
