//! Takes two amounts and the causes between them; gives floating bars, each from where the one before it ends.

use super::axis::{Axis, FOOT};
use super::bars::{Surface, amount, bar, joint, named};

/// Height of a bar, in tenths of a pixel.
const HIGH: i64 = 110;

/// The picture: width, height, content. What costs more is hatched, what costs less is plain, the two amounts are grey.
pub fn picture(
    from: &(String, f64),
    steps: &[(String, f64)],
    to: &(String, f64),
    unit: &str,
    width: i64,
) -> (i64, i64, String) {
    let mut ends = vec![0.0, from.1, to.1];
    let mut at = from.1;
    for (_, step) in steps.iter().filter(|s| s.1.is_finite()) {
        at += step;
        ends.push(at);
    }
    let axis = Axis::around(ends.into_iter(), 0.02).on(width);
    let mut out = String::new();
    let mut y = 60;
    let mut row = |name: &str, shown: String, a: f64, b: f64, surface: Surface| {
        let (words, below) = named(name, &shown, y, width);
        out.push_str(&words);
        let top = below + 40;
        if a.is_finite() && b.is_finite() {
            out.push_str(&bar(axis.x(a), axis.x(b), top, top + HIGH, surface));
            out.push_str(&joint(axis.x(b), top + HIGH, top + HIGH + 60));
        }
        y = top + HIGH + 40;
    };
    row(&from.0, amount(from.1, false), 0.0, from.1, Surface::Grey);
    let mut at = from.1;
    for (name, step) in steps {
        let surface = if *step > 0.0 { Surface::Slanted } else { Surface::Plain };
        row(name, amount(*step, true), at, at + step, surface);
        at += if step.is_finite() { *step } else { 0.0 };
    }
    row(&to.0, amount(to.1, false), 0.0, to.1, Surface::Grey);
    let bottom = y + 20;
    (width, (bottom + FOOT) / 10, axis.draw(60, bottom, unit) + &out)
}
