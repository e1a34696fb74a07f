//! Takes words and numbers; gives the inlines, cells, tables and lists of a document.

use crate::diag::At;
use crate::model::document::{Behind, Block, Inline, Table};
use crate::model::workings::WorkingId;
pub use crate::quantity::is_log;
use crate::quantity::{Quantity, signed, significant};

/// A cell of a table, or a line.
pub type Cell = Vec<Inline>;

pub fn text(s: impl Into<String>) -> Inline {
    Inline::Text(s.into())
}

/// A cell of plain words.
pub fn cell(s: impl Into<String>) -> Cell {
    vec![text(s)]
}

pub fn strong(s: impl Into<String>) -> Inline {
    Inline::Strong(vec![text(s)])
}

/// A line that begins with a strong label.
pub fn labelled(label: &str, rest: Cell) -> Cell {
    let mut line = vec![strong(format!("{label}: "))];
    line.extend(rest);
    line
}

/// A paragraph of plain words.
pub fn says(s: impl Into<String>) -> Block {
    Block::Paragraph(cell(s))
}

pub fn heading(level: u8, s: impl Into<String>) -> Block {
    Block::Heading { level, text: cell(s), anchor: None }
}

pub fn list(items: Vec<Cell>) -> Block {
    Block::List { ordered: false, items: items.into_iter().map(|i| vec![Block::Paragraph(i)]).collect() }
}

/// Cells one after another with words between.
pub fn joined(cells: impl IntoIterator<Item = Cell>, between: &str) -> Cell {
    let mut out = Vec::new();
    for c in cells.into_iter().filter(|c| !c.is_empty()) {
        if !out.is_empty() {
            out.push(text(between));
        }
        out.extend(c);
    }
    out
}

/// A table; `numeric` names the columns that hold numbers. Columns are given as "name" each.
pub fn table(caption: &str, head: &[&str], numeric: &[usize], rows: Vec<Vec<Cell>>) -> Block {
    Block::Table(Table {
        caption: caption.to_string(),
        head: head.iter().map(|h| (*h).to_string()).collect(),
        numeric: (0..head.len()).map(|i| numeric.contains(&i)).collect(),
        wide: head.len() > 8,
        rows,
    })
}

/// A table, or the sentence that says why there is none.
pub fn table_or(caption: &str, head: &[&str], numeric: &[usize], rows: Vec<Vec<Cell>>, empty: &str) -> Vec<Block> {
    if rows.is_empty() { vec![says(empty)] } else { vec![table(caption, head, numeric, rows)] }
}

/// A list, or the sentence that says why there is none.
pub fn list_or(items: Vec<Cell>, empty: &str) -> Vec<Block> {
    if items.is_empty() { vec![says(empty)] } else { vec![list(items)] }
}

/// A link inside the document.
pub fn to(anchor: impl Into<String>, s: impl Into<String>) -> Inline {
    Inline::To { anchor: anchor.into(), text: cell(s) }
}

/// A spot that links point at.
pub fn here(anchor: impl Into<String>) -> Inline {
    Inline::Here(anchor.into())
}

/// A number as it is printed: two places for logarithms, three significant digits otherwise.
pub fn number(x: f64, unit: &str) -> String {
    if !x.is_finite() {
        return "not given".into();
    }
    if is_log(unit) {
        return format!("{x:.2}");
    }
    // Whole numbers stay whole: a count is no measurement.
    if x.fract() == 0.0 && x.abs() < 1e5 { format!("{x:.0}") } else { significant(x, 3) }
}

/// The unit behind a number: nothing for plain numbers.
pub fn unit_text(unit: &str) -> String {
    match unit {
        "" | "1" => String::new(),
        u => format!(" {u}"),
    }
}

/// Number and unit as text.
pub fn quantity_text(x: f64, unit: &str) -> String {
    if x.is_finite() { format!("{}{}", number(x, unit), unit_text(unit)) } else { number(x, unit) }
}

/// A margin with its sign; differences of logarithms are decades.
pub fn margin_text(x: f64, unit: &str) -> String {
    if !x.is_finite() {
        return "not given".into();
    }
    let digits = if is_log(unit) && x.abs() >= 0.005 {
        if x > 0.0 { format!("+{x:.2}") } else { format!("{x:.2}") }
    } else {
        signed(x, 2)
    };
    if is_log(unit) { format!("{digits} dec") } else { format!("{digits}{}", unit_text(unit)) }
}

/// A number that a working stands behind; words when there is no number.
pub fn worked(x: f64, unit: &str, id: WorkingId) -> Inline {
    behind(x, quantity_text(x, unit), id)
}

/// As [`worked`], the number alone.
pub fn worked_bare(x: f64, unit: &str, id: WorkingId) -> Inline {
    behind(x, number(x, unit), id)
}

/// As [`worked`], with its sign.
pub fn worked_margin(x: f64, unit: &str, id: WorkingId) -> Inline {
    behind(x, margin_text(x, unit), id)
}

fn behind(x: f64, shown: String, id: WorkingId) -> Inline {
    if x.is_finite() { Inline::Value { text: shown, behind: Behind::Working(id) } } else { text(shown) }
}

/// A number that stands at a place in the evidence.
pub fn placed(shown: impl Into<String>, place: String, at: At) -> Inline {
    Inline::Value { text: shown.into(), behind: Behind::Place(place, at) }
}

/// A count that the page itself shows.
pub fn count(n: usize) -> Inline {
    Inline::Value { text: n.to_string(), behind: Behind::Count }
}

/// A quantity as it was written, in its file.
pub fn written(q: &Quantity, place: String) -> Inline {
    placed(q.written.clone(), place, q.at)
}

/// "1 run", "2 runs".
pub fn many(n: usize, one: &str, more: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {more}") }
}

/// The words of inlines alone.
pub fn plain(inlines: &[Inline]) -> String {
    let mut out = String::new();
    for i in inlines {
        match i {
            Inline::Text(t) | Inline::Code(t) | Inline::Place(t) | Inline::Value { text: t, .. } => out.push_str(t),
            Inline::Strong(t) | Inline::Emphasis(t) | Inline::To { text: t, .. } => out.push_str(&plain(t)),
            Inline::State(s) => out.push_str(s.letter()),
            Inline::Cover(c) => out.push_str(c.sign()),
            Inline::Break => out.push(' '),
            Inline::Symbol(f) => out.push_str(&f.text),
            Inline::Here(_) => {}
        }
    }
    out
}
