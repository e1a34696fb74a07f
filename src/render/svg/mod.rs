//! Takes a figure; gives it as SVG: one file for the archive, or the parts that the HTML page arranges.
//!
//! Coordinates are whole tenths of a pixel, so that the same readings give the same bytes everywhere.

mod axis;
mod bars;
mod combs;
mod curve;
mod dots;
mod histogram;
mod timeline;
mod tornado;
mod waterfall;

use crate::model::document::{Figure, Plot};
use crate::render::html::escape;
use crate::render::words::key;

const INK: &str = "#1b1b1b";
const GREY: &str = "#5c5c5c";
const FAINT: &str = "#d9d9d9";

/// The whole figure as a file of its own, with its key.
pub fn file(f: &Figure) -> String {
    let (width, height, body) = whole(&f.plot, axis::BROAD);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" font-family=\"sans-serif\" font-size=\"10\" fill=\"{INK}\">\n\
         <title>{}</title>\n<desc>{} {}</desc>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n{body}</svg>\n",
        escape(&f.caption),
        escape(&f.alternative),
        escape(&key(&f.plot)),
    )
}

/// The parts of a figure, each a picture of its own for a page that sets them side by side or one below the other.
pub fn parts(f: &Figure) -> Vec<String> {
    match &f.plot {
        Plot::Combs { panels, .. } => {
            let axes = combs::Axes::of(&f.plot);
            let (width, height) = (combs::WIDTH, combs::HEIGHT);
            let part = |p| picture(width, height, &combs::words(&axes, p), &combs::panel(&axes, p));
            panels.iter().map(part).collect()
        }
        one => {
            let (width, height, body) = whole(one, axis::BROAD);
            vec![picture(width, height, &f.caption, &body)]
        }
    }
}

/// The same picture drawn for a phone; none where there is only one.
pub fn slim(f: &Figure) -> Option<String> {
    if matches!(f.plot, Plot::Combs { .. } | Plot::Dots { .. }) {
        return None;
    }
    let (width, height, body) = whole(&f.plot, axis::WIDTH);
    Some(picture(width, height, &f.caption, &body))
}

/// All of a plot in one picture: width, height, content. Plots that fit any width are drawn for the one that is asked for.
fn whole(plot: &Plot, wide: i64) -> (i64, i64, String) {
    match plot {
        Plot::Combs { panels, .. } => combs::sheet(&combs::Axes::of(plot), panels),
        Plot::Dots { rows, limit, unit, low, high } => dots::picture(rows, *limit, unit, *low, *high),
        Plot::Waterfall { from, steps, to, unit } => waterfall::picture(from, steps, to, unit, wide),
        Plot::Tornado { bars, centre, unit } => tornado::picture(bars, *centre, unit, wide),
        Plot::Histogram { bins, marks, unit } => histogram::picture(bins, marks, unit, wide),
        Plot::Timeline { months, kinds, tracks, events } => timeline::picture(*months, kinds, tracks, events, wide),
    }
}

fn picture(width: i64, height: i64, words: &str, body: &str) -> String {
    let words = escape(if words.trim().is_empty() { "Figure" } else { words });
    format!(
        "<svg role=\"img\" aria-label=\"{words}\" viewBox=\"0 0 {width} {height}\" font-size=\"10\" fill=\"{INK}\">\
         <title>{words}</title>{body}</svg>"
    )
}

/// A length in tenths of a pixel as SVG prints it.
fn tenths(v: i64) -> String {
    match v % 10 {
        0 => (v / 10).to_string(),
        part => format!("{}{}.{}", if v < 0 { "-" } else { "" }, (v / 10).abs(), part.abs()),
    }
}

/// A straight line between two points, in tenths.
fn line(from: (i64, i64), to: (i64, i64), stroke: &str, more: &str) -> String {
    let (x1, y1, x2, y2) = (tenths(from.0), tenths(from.1), tenths(to.0), tenths(to.1));
    format!("<path d=\"M{x1} {y1}L{x2} {y2}\" stroke=\"{stroke}\"{more}/>")
}

/// A text on a white halo, so that curves behind it don't make it unreadable.
fn label(x: i64, y: i64, anchor: &str, words: &str) -> String {
    let words = escape(words);
    format!(
        "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" stroke=\"#fff\" stroke-width=\"3\" \
         paint-order=\"stroke\">{words}</text>",
        tenths(x),
        tenths(y)
    )
}

/// A number as engineers write it: no needless zeros, powers of ten for the very small and the very large.
fn number(v: f64) -> String {
    let trim = |t: &str| t.trim_end_matches('0').trim_end_matches('.').to_owned();
    if v != 0.0 && !(1e-3..1e6).contains(&v.abs()) {
        let text = format!("{v:.2e}");
        return match text.split_once('e') {
            Some((digits, power)) => format!("{}e{power}", trim(digits)),
            None => text,
        };
    }
    let text = trim(&format!("{v:.3}"));
    if text == "-0" { "0".into() } else { text }
}

/// Hatching of a band between two heights, as one path of slanted strokes.
fn hatch(left: i64, right: i64, top: i64, bottom: i64) -> String {
    let height = bottom - top;
    if height <= 0 {
        return String::new();
    }
    let mut d = String::new();
    let mut x = left;
    while x + height <= right {
        d.push_str(&format!("M{} {}l{} -{}", tenths(x), tenths(bottom), tenths(height), tenths(height)));
        x += 40;
    }
    format!("<path d=\"{d}\" stroke=\"{INK}\" stroke-width=\"0.6\" fill=\"none\"/>")
}

/// Lines as long as `most` letters of common width, broken at spaces where there are any.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let most = most.max(2) as i64 * COMMON;
    let mut lines = vec![String::new()];
    let mut long = 0;
    for word in text.split(' ') {
        let mut pieces = vec![(String::new(), 0)];
        for c in word.chars() {
            let wide = breadth(c);
            match pieces.last_mut() {
                Some((piece, sum)) if *sum + wide <= most || piece.is_empty() => {
                    piece.push(c);
                    *sum += wide;
                }
                _ => pieces.push((c.to_string(), wide)),
            }
        }
        for (piece, wide) in pieces {
            match lines.last_mut() {
                Some(last) if long > 0 && long + COMMON / 2 + wide <= most => {
                    last.push(' ');
                    last.push_str(&piece);
                    long += COMMON / 2 + wide;
                }
                Some(last) if long == 0 => {
                    last.push_str(&piece);
                    long = wide;
                }
                _ => {
                    lines.push(piece);
                    long = wide;
                }
            }
        }
    }
    lines
}

/// Width of a common letter, in hundredths of a pixel at the size of all words.
const COMMON: i64 = 580;

/// About the width of a letter, rather too much than too little; what is not Latin is taken for wide.
fn breadth(c: char) -> i64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' => 320,
        'f' | 't' | 'r' | 'I' | '(' | ')' | '[' | ']' | '/' | '-' => 420,
        'm' | 'w' | 'M' | 'W' | '@' | '%' => 1000,
        c if c.is_ascii_uppercase() => 760,
        c if c.is_ascii() => 620,
        _ => 1000,
    }
}
