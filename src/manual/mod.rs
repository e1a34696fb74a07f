//! Takes the calculations; gives what the tool says of itself: the page of methods and the record of its self-test.

mod methods;
mod qualification;

pub use methods::methods;
pub use qualification::record;

use crate::model::document::{Block, Chapter, Inline, Table};

type Cell = Vec<Inline>;

fn text(s: impl Into<String>) -> Inline {
    Inline::Text(s.into())
}

fn cell(s: impl Into<String>) -> Cell {
    vec![text(s)]
}

fn says(s: impl Into<String>) -> Block {
    Block::Paragraph(cell(s))
}

fn labelled(label: &str, rest: impl Into<String>) -> Vec<Block> {
    vec![Block::Paragraph(vec![Inline::Strong(cell(format!("{label}: "))), text(rest)])]
}

fn table(caption: impl Into<String>, head: &[&str], numeric: &[usize], rows: Vec<Vec<Cell>>) -> Block {
    Block::Table(Table {
        caption: caption.into(),
        head: head.iter().map(|h| (*h).to_string()).collect(),
        numeric: (0..head.len()).map(|i| numeric.contains(&i)).collect(),
        wide: head.len() > 8,
        rows,
    })
}

/// A chapter for every reader.
fn chapter(name: &str, number: usize, title: &str, blocks: Vec<Block>) -> Chapter {
    let (number, audience) = (number.to_string(), "all".to_string());
    Chapter { name: name.into(), number, title: title.into(), audience, blocks }
}

/// A unit in words where the calculation leaves it to its readings.
pub fn unit(u: &str) -> &str {
    match u {
        "=" => "as readings",
        "=2" => "readings squared",
        "=/a" => "amount a year",
        "=/h" => "amount an hour",
        "=/kWh" => "amount a kWh",
        "=/m3" => "amount a m3",
        own => own,
    }
}

/// Values of a check by symbol, long lists shortened.
fn inputs(all: &[(&'static str, f64)]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in all {
        if !names.contains(name) {
            names.push(name);
        }
    }
    let one = |name: &str| {
        let v: Vec<String> = all.iter().filter(|a| a.0 == name).map(|a| crate::quantity::compact(a.1)).collect();
        let rest = if v.len() > 6 { format!(", ... {} values", v.len()) } else { String::new() };
        format!("{name} = {}{rest}", v[..v.len().min(6)].join(", "))
    };
    names.into_iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What the tool is and is not, for the foot of its papers.
const DEFERENCE: &str = "galipot supports licensed practice, the purchased standards and local codes, and replaces none of \
     them. Where they differ from this page, they decide.";
