//! Takes a table; gives the class that says how much room its longest words need, so that paper cuts nothing off.

use super::inline::one_word;
use crate::model::document::{Inline, Sheet, Table};
use crate::render::plan::words;
use crate::render::words::{INPUTS, OUTPUTS};

/// Letters that fit side by side on a sheet of paper, at the common and at the small size.
const PAPER: usize = 100;
const SMALL: usize = 118;
/// Letters that fit side by side on a phone, at the size of a small table.
const PHONE: usize = 40;
/// The same, where the columns are four.
const FEW: usize = 52;
/// The longest word that a head may have.
const HEAD: usize = 16;

/// "roomy", "small" or "tight", and "few" for what a phone shows whole; a tight table breaks words anywhere, a torn one its heads too.
pub fn table(t: &Table) -> &'static str {
    let column = |c: usize| {
        let head = t.head.get(c).map_or(0, |h| word(h));
        let cells = t.rows.iter().filter_map(|row| row.get(c)).map(|cell| longest(cell));
        cells.chain([head]).max().unwrap_or(0) + 2
    };
    let columns = t.head.len();
    if t.head.iter().any(|h| word(h) > HEAD) {
        return "tight torn";
    }
    match (0..columns).map(column).sum::<usize>() {
        // Narrow screens let tables of few columns fold, not scroll.
        sum if columns <= 3 && sum > PHONE => "tight",
        // Four columns of short words need no scrolling either.
        sum if columns == 4 && sum <= FEW => "roomy few",
        sum if sum <= PAPER => "roomy",
        sum if sum <= SMALL => "small",
        _ => "tight",
    }
}

/// The same for the tables of a calculation sheet, which never scroll.
pub fn sheet(s: &Sheet) -> &'static str {
    let mut inputs = INPUTS.map(word);
    for (symbol, value, meaning, origin) in &s.inputs {
        let found = [word(symbol), word(value), word(meaning), longest(origin)];
        inputs.iter_mut().zip(found).for_each(|(most, n)| *most = n.max(*most));
    }
    let mut outputs = OUTPUTS.map(word);
    for (symbol, value, meaning) in &s.outputs {
        let found = [word(symbol), word(value), word(meaning)];
        outputs.iter_mut().zip(found).for_each(|(most, n)| *most = n.max(*most));
    }
    let most = inputs.iter().sum::<usize>().max(outputs.iter().sum());
    if most <= PHONE { "roomy" } else { "tight" }
}

fn longest(text: &[Inline]) -> usize {
    let mut long = 0;
    for i in text {
        long = long.max(match i {
            Inline::Text(t) => word(t),
            Inline::To { text, .. } if one_word(text) => words(text).chars().count(),
            Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::To { text: inner, .. } => longest(inner),
            // Its small sign stands behind the last word.
            Inline::Value { text, .. } => word(text) + 5,
            Inline::State(_) => 19,
            // Code and places are broken anywhere.
            Inline::Code(t) => word(t).min(11),
            Inline::Place(_) => 8,
            Inline::Cover(_) => 2,
            Inline::Symbol(f) => word(&f.text),
            Inline::Here(_) | Inline::Break => 0,
        });
    }
    long
}

/// Letters of the longest piece that a browser keeps on one line.
fn word(text: &str) -> usize {
    let pieces = text.split(|c: char| c.is_whitespace() || c == '-');
    pieces.map(|piece| piece.chars().count()).max().unwrap_or(0)
}
