//! Takes the ends of an axis; gives where a value stands on it, and the axis drawn with its ticks and its unit.

use super::{FAINT, GREY, INK, line, number, tenths};
use crate::render::html::escape;

/// Width of a picture with one axis, in pixels: as wide as a phone.
pub const WIDTH: i64 = 360;
/// Width of the same picture where there is more room: on a screen and on paper.
pub const BROAD: i64 = 740;
/// Where the axis begins, and where it ends on a picture as wide as a phone, in tenths of a pixel.
pub const LEFT: i64 = 120;
pub const RIGHT: i64 = right(WIDTH);
/// Height of ticks, their numbers and the unit below an axis, in tenths.
pub const FOOT: i64 = 360;

/// Where the axis ends on a picture of some width, in tenths of a pixel.
pub const fn right(width: i64) -> i64 {
    width * 10 - LEFT
}

/// An axis from left to right.
pub struct Axis {
    pub low: f64,
    pub high: f64,
    right: i64,
}

impl Axis {
    /// An axis that can't be drawn is replaced by 0 to 1.
    pub fn of(low: f64, high: f64) -> Self {
        let sane = low < high && (high - low).is_finite();
        let (low, high) = if sane { (low, high) } else { (0.0, 1.0) };
        Self { low, high, right: RIGHT }
    }

    /// The same axis on a picture of another width, in pixels.
    pub fn on(self, width: i64) -> Self {
        Self { right: right(width), ..self }
    }

    /// An axis that holds all of these that are finite, with a share of its length free at both ends.
    pub fn around(values: impl Iterator<Item = f64>, room: f64) -> Self {
        let ends = (f64::INFINITY, f64::NEG_INFINITY);
        let (low, high) = values.filter(|v| v.is_finite()).fold(ends, |e, v| (e.0.min(v), e.1.max(v)));
        let free = (high - low) * room;
        Self::of(low - free, high + free)
    }

    /// Where a value stands, in tenths of a pixel; the nearest end for what lies outside.
    pub fn x(&self, v: f64) -> i64 {
        let share = (v - self.low) / (self.high - self.low);
        LEFT + (share.clamp(0.0, 1.0) * (self.right - LEFT) as f64).round() as i64
    }

    /// Grid from `top` to `bottom`, ticks with their numbers below, the unit in the middle.
    pub fn draw(&self, top: i64, bottom: i64, unit: &str) -> String {
        let mut out = String::new();
        for tick in ticks(self.low, self.high) {
            let at = self.x(tick);
            out.push_str(&line((at, top), (at, bottom), FAINT, " stroke-width=\"0.6\""));
            out.push_str(&line((at, bottom), (at, bottom + 30), INK, " stroke-width=\"0.8\""));
            let anchor = if at > self.right - 100 { "end" } else { "middle" };
            out.push_str(&format!(
                "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\">{}</text>",
                tenths(at),
                tenths(bottom + 140),
                number(tick)
            ));
        }
        out.push_str(&line((LEFT, bottom), (self.right, bottom), GREY, " stroke-width=\"0.8\""));
        let (middle, y) = (tenths((LEFT + self.right) / 2), tenths(bottom + 280));
        out.push_str(&format!("<text x=\"{middle}\" y=\"{y}\" text-anchor=\"middle\">{}</text>", escape(unit)));
        out
    }
}

/// Round numbers between two others.
pub fn ticks(low: f64, high: f64) -> impl Iterator<Item = f64> {
    let step = step(high - low);
    let first = (low / step).ceil();
    (0..12).map(move |i| (first + f64::from(i)) * step).take_while(move |&tick| tick <= high + step * 1e-6)
}

/// A step of 1, 2 or 5 times a power of ten that gives four to ten ticks.
fn step(range: f64) -> f64 {
    let mut step = 1e-12;
    for _ in 0..40 {
        for times in [1.0, 2.0, 5.0] {
            if range / (step * times) <= 8.0 {
                return step * times;
            }
        }
        step *= 10.0;
    }
    range
}
