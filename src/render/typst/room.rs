//! Takes a table; gives the widths of its columns and the size of its letters, so that paper cuts nothing off.
//!
//! Lengths are tenths of a point. Each column gets the room of its longest word, and what is left goes to those whose
//! text would fill more lines.

use super::inline::LONGEST;
use super::letters::width;
use crate::model::document::{Inline, Sheet, Table};
use crate::render::words::{INPUTS, OUTPUTS};

/// Room between the margins, upright and turned, and in a column of sheets.
const UPRIGHT: i64 = 5100;
const TURNED: i64 = 7560;
const SHEET: i64 = 2400;
/// Sizes of letters and gaps beside a cell that are tried, the best first.
const SIZES: [(i64, i64); 4] = [(80, 34), (70, 34), (70, 15), (65, 15)];
const TURNED_SIZES: [(i64, i64); 3] = [(70, 15), (60, 15), (50, 8)];
/// The small tables of a sheet have one size.
const SHEET_SIZE: (i64, i64) = (65, 23);
/// A row with a cell of more lines may break over two pages.
const LINES: i64 = 40;

/// A text that is rather not broken, in thousandths of the size of its letters: about 19 of them.
const SHORT: i64 = 9000;

/// How a table stands on paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fit {
    pub size: i64,
    pub gap: i64,
    pub turned: bool,
    pub long: bool,
    widths: Vec<i64>,
}

impl Fit {
    /// Widths of the columns as shares of the whole.
    pub fn columns(&self) -> String {
        self.widths.iter().map(|w| format!("{w}fr, ")).collect()
    }
}

/// A length as Typst prints it, in points.
pub fn tenths(v: i64) -> String {
    format!("{}.{}", v / 10, v % 10)
}

/// Least and full width of a column, in thousandths of the size of its letters.
type Need = (i64, i64);

/// The best size at which every longest word has its room.
pub fn table(t: &Table) -> Fit {
    let need = |c: usize| {
        let head = t.head.get(c).map_or((0, 0), |h| more(words(h), 107));
        let cells = t.rows.iter().filter_map(|row| row.get(c)).map(|cell| cell_need(cell));
        cells.fold(head, wider)
    };
    let needs: Vec<Need> = (0..t.head.len()).map(need).collect();
    let first = if t.wide { 2 } else { 0 };
    let upright = SIZES[first..].iter().map(|s| (*s, UPRIGHT, false));
    let turned = TURNED_SIZES.iter().map(|s| (*s, TURNED, true));
    let mut last = None;
    for (size, room, turn) in upright.chain(turned) {
        let (fit, fits) = fitted(&needs, size, room, turn);
        if fits {
            return fit;
        }
        last = Some(fit);
    }
    last.unwrap_or_else(|| fitted(&needs, SIZES[0], UPRIGHT, false).0)
}

/// The inputs of a sheet.
pub fn inputs(s: &Sheet) -> Fit {
    let mut needs = INPUTS.map(|h| more(words(h), 107));
    for (symbol, value, meaning, origin) in &s.inputs {
        let found = [more(words(symbol), 120), words(value), words(meaning), cell_need(origin)];
        needs.iter_mut().zip(found).for_each(|(n, f)| *n = wider(*n, f));
    }
    fitted(&needs, SHEET_SIZE, SHEET, false).0
}

/// The results of a sheet.
pub fn outputs(s: &Sheet) -> Fit {
    let mut needs = OUTPUTS.map(|h| more(words(h), 107));
    for (symbol, value, meaning) in &s.outputs {
        let found = [more(words(symbol), 120), words(value), words(meaning)];
        needs.iter_mut().zip(found).for_each(|(n, f)| *n = wider(*n, f));
    }
    fitted(&needs, SHEET_SIZE, SHEET, false).0
}

/// Shares out a room; and whether every longest word fits.
fn fitted(needs: &[Need], (size, gap): (i64, i64), room: i64, turned: bool) -> (Fit, bool) {
    let beside = 2 * gap;
    let inside = (room - beside * needs.len() as i64).max(1);
    let at_size = |n: i64| (n * size + 999) / 1000 + 2;
    let needs: Vec<Need> = needs.iter().map(|n| (at_size(n.0), at_size(n.1.max(n.0)))).collect();
    let (least, full) = needs.iter().fold((0, 0), |sum, n| (sum.0 + n.0, sum.1 + n.1));
    let widths: Vec<i64> = if full <= inside {
        needs.iter().map(|n| n.1 + (inside - full) * n.1 / full.max(1)).collect()
    } else {
        // Short texts stand on one line where that leaves room for the long ones.
        let eased: Vec<i64> = needs.iter().map(|n| n.1.min(n.0.max(at_size(SHORT)))).collect();
        let sum: i64 = eased.iter().sum();
        let (base, sum) =
            if 3 * sum <= 2 * inside { (eased, sum) } else { (needs.iter().map(|n| n.0).collect(), least) };
        // A single endless text must not leave the others with one word to a line.
        let wishes: Vec<i64> = needs.iter().zip(&base).map(|(n, b)| (n.1.min(b + inside) - b).max(0)).collect();
        let wished = wishes.iter().sum::<i64>().max(1);
        base.iter().zip(&wishes).map(|(b, w)| b + (inside - sum).max(0) * w / wished).collect()
    };
    let long = needs.iter().zip(&widths).any(|(n, w)| n.1 / w.max(&1) > LINES);
    (Fit { size, gap, turned, long, widths: widths.into_iter().map(|w| w + beside).collect() }, least <= inside)
}

fn wider(a: Need, b: Need) -> Need {
    (a.0.max(b.0), a.1.max(b.1))
}

fn more((least, full): Need, percent: i64) -> Need {
    (least * percent / 100, full * percent / 100)
}

/// Need of plain words: what stays on one line is a word, or the part of a long one that `t` of the paper keeps whole.
fn words(text: &str) -> Need {
    (text.split_whitespace().map(piece).max().unwrap_or(0), width(text))
}

fn piece(word: &str) -> i64 {
    if word.chars().count() <= LONGEST {
        return width(word);
    }
    let mut longest = 0;
    let mut part = String::new();
    let mut letters = 0;
    for c in word.chars() {
        let sign = "/_.:,;=|-".contains(c);
        let ends = part.ends_with(|l| "/_.:,;=|-".contains(l));
        if !sign && (ends || letters == 12) {
            longest = longest.max(width(&part));
            part.clear();
            letters = 0;
        }
        letters += i32::from(!sign);
        part.push(c);
    }
    longest.max(width(&part))
}

fn cell_need(text: &[Inline]) -> Need {
    // The widest line of those that breaks divide.
    let lines = text.split(|i| *i == Inline::Break).map(|line| {
        let each = line.iter().map(inline);
        each.fold((0, 0), |sum: Need, n| (sum.0.max(n.0), sum.1 + n.1))
    });
    lines.fold((0, 0), wider)
}

fn inline(i: &Inline) -> Need {
    match i {
        Inline::Text(t) => words(t),
        Inline::Strong(inner) => more(cell_need(inner), 107),
        Inline::Emphasis(inner) | Inline::To { text: inner, .. } => cell_need(inner),
        Inline::Value { text, .. } => {
            let (least, full) = words(text);
            (least + 2200, full + 2200)
        }
        Inline::State(s) => {
            let all = 2100 + width(s.word());
            (all, all)
        }
        // Letters of one width are wider, but set smaller.
        Inline::Code(t) => more(words(t), 125),
        Inline::Place(t) => more(words(t), 115),
        Inline::Cover(_) => (1500, 1500),
        Inline::Symbol(f) => more(words(&f.text), 120),
        Inline::Here(_) | Inline::Break => (0, 0),
    }
}
