//! Takes counts between ends; gives upright bars with a share axis, and marked numbers above them.

use super::axis::{Axis, FOOT, LEFT, RIGHT, WIDTH, ticks};
use super::bars::{Surface, bar};
use super::{FAINT, INK, label, line, number, tenths};

/// Height of the bars, in tenths of a pixel.
const HIGH: i64 = 1500;

/// The picture: width, height, content. Bars that lie below nothing are hatched.
pub fn picture(bins: &[(f64, f64, usize)], marks: &[(String, f64)], unit: &str) -> (i64, i64, String) {
    let sane = |b: &&(f64, f64, usize)| b.0.is_finite() && b.1.is_finite() && b.0 < b.1;
    let bins: Vec<_> = bins.iter().filter(sane).collect();
    let marks: Vec<_> = marks.iter().filter(|m| m.1.is_finite()).collect();
    let axis = Axis::around(bins.iter().flat_map(|b| [b.0, b.1]).chain(marks.iter().map(|m| m.1)), 0.03);
    let all: usize = bins.iter().map(|b| b.2).sum();
    let most = bins.iter().map(|b| b.2).max().unwrap_or(0).max(1);
    let top = 60 + 130 * marks.len() as i64;
    let bottom = top + HIGH + 40;
    let y = |count: f64| bottom - (count / most as f64 * HIGH as f64).round() as i64;
    let mut out = axis.draw(top, bottom, unit);
    if all > 0 {
        let highest = most as f64 / all as f64 * 100.0;
        for share in ticks(0.0, highest).filter(|t| *t > 0.0) {
            let at = y(share / 100.0 * all as f64);
            out.push_str(&line((LEFT, at), (RIGHT, at), FAINT, " stroke-width=\"0.6\""));
            out.push_str(&format!("<text x=\"{}\" y=\"{}\">{} %</text>", tenths(LEFT), tenths(at - 20), number(share)));
        }
    }
    for b in &bins {
        let surface = if b.1 <= 0.0 { Surface::Slanted } else { Surface::Grey };
        out.push_str(&bar(axis.x(b.0), axis.x(b.1), y(b.2 as f64), bottom, surface));
    }
    for (i, (name, at)) in marks.iter().enumerate() {
        let (x, height) = (axis.x(*at), 130 * (i as i64 + 1));
        let style = if *at == 0.0 { " stroke-width=\"2\"" } else { " stroke-width=\"1\" stroke-dasharray=\"4 2\"" };
        out.push_str(&line((x, height - 80), (x, bottom), INK, style));
        let (anchor, aside) = if x > (LEFT + RIGHT) / 2 { ("end", -30) } else { ("start", 30) };
        out.push_str(&label(x + aside, height, anchor, name));
    }
    (WIDTH, (bottom + FOOT) / 10, out)
}
