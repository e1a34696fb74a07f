//! Takes how a number moves with each of several others; gives bars around it, with those others' values at the ends.

use super::axis::{Axis, FOOT};
use super::bars::{Surface, bar, named};
use super::{INK, label, line, number};
use crate::model::document::Swing;

/// Height of a bar, in tenths of a pixel.
const HIGH: i64 = 110;

/// The picture: width, height, content. The part for the high value is hatched, that for the low one plain.
pub fn picture(bars: &[Swing], centre: f64, unit: &str, width: i64) -> (i64, i64, String) {
    let ends = bars.iter().flat_map(|b| [b.at_low, b.at_high]).chain([centre]);
    let axis = Axis::around(ends, 0.2).on(width);
    let mut out = String::new();
    let mut y = 190;
    for b in bars {
        let (words, below) = named(&b.name, "", y, width);
        out.push_str(&words);
        let (top, bottom) = (below + 40, below + 40 + HIGH);
        let sides = [(b.at_low, &b.low, Surface::Plain), (b.at_high, &b.high, Surface::Slanted)];
        for (at, _, surface) in sides.into_iter().filter(|s| s.0.is_finite() && centre.is_finite()) {
            out.push_str(&bar(axis.x(centre), axis.x(at), top, bottom, surface));
        }
        // The value that gives less stands at the left.
        let (left, right) = if b.at_low <= b.at_high { (sides[0], sides[1]) } else { (sides[1], sides[0]) };
        for ((at, shown, _), anchor, aside) in [(left, "end", -30), (right, "start", 30)] {
            if at.is_finite() {
                out.push_str(&label(axis.x(at) + aside, bottom - 20, anchor, shown));
            }
        }
        y = bottom + 30;
    }
    let bottom = y + 30;
    let mut all = axis.draw(190, bottom, unit);
    if centre.is_finite() {
        let x = axis.x(centre);
        all.push_str(&line((x, 160), (x, bottom), INK, " stroke-width=\"1.8\""));
        all.push_str(&label(
            x,
            120,
            "middle",
            &format!("as stated: {} {unit}", number((centre * 10.0).round() / 10.0)),
        ));
    }
    (width, (bottom + FOOT) / 10, all + &out)
}
