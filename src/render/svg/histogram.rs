//! Takes counts between ends; gives upright bars with a share axis, and marked numbers above them.

use super::axis::{Axis, FOOT, LEFT, right, ticks};
use super::bars::{Surface, bar};
use super::{FAINT, INK, label, line, number};

/// Height of the bars, in tenths of a pixel.
const HIGH: i64 = 1500;

/// The picture: width, height, content. Bars that lie below nothing are hatched.
pub fn picture(bins: &[(f64, f64, usize)], marks: &[(String, f64)], unit: &str, width: i64) -> (i64, i64, String) {
    let sane = |b: &&(f64, f64, usize)| b.0.is_finite() && b.1.is_finite() && b.0 < b.1;
    let bins: Vec<_> = bins.iter().filter(sane).collect();
    let marks = marks.iter().filter(|m| m.1.is_finite());
    let ends = bins.iter().flat_map(|b| [b.0, b.1]).chain(marks.clone().map(|m| m.1));
    let axis = Axis::around(ends, 0.1).on(width);
    // Names at the left half point right and at the right half left; in this order no upright crosses a name of its half.
    let half = (LEFT + right(width)) / 2;
    let (mut marks, mut behind): (Vec<_>, Vec<_>) = marks.partition(|m| axis.x(m.1) <= half);
    marks.sort_by(|a, b| a.1.total_cmp(&b.1));
    behind.sort_by(|a, b| b.1.total_cmp(&a.1));
    marks.extend(behind);
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
            // A line that begins behind the number: beside it a tick would be read as a minus.
            out.push_str(&line((LEFT + 320, at), (right(width), at), FAINT, " stroke-width=\"0.6\""));
            out.push_str(&label(LEFT, at + 35, "start", &format!("{} %", number(share))));
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
        let (anchor, aside) = if x > half { ("end", -30) } else { ("start", 30) };
        out.push_str(&label(x + aside, height, anchor, name));
    }
    (width, (bottom + FOOT) / 10, out)
}
