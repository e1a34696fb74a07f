//! Takes statistic, guard band and limit; gives the margin, positive on the side that meets the limit.

use super::{Calc, Check, Known, gives, margin_range::settled, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "margin_lower",
    title: "Margin above a lower limit",
    formula: &["margin = x - g - LIM"],
    closed: true,
    symbols: &[
        one("x", "statistic that must not fall below the limit", "=", -1e18, 1e18),
        one("g", "guard band", "=", 0.0, 1e18),
        one("LIM", "limit", "=", -1e18, 1e18),
    ],
    outputs: &[gives("margin", "margin; met when not negative", "=")],
    holds_when: "statistic and limit are of one quantity on one geometry",
    strength: Strength::Decides,
    weak_because: "no better than statistic, guard band and limit",
    sources: &["ILAC-G8", "JCGM106"],
    checks: &[Check {
        inputs: &[("x", 8.41), ("g", 0.12), ("LIM", 8.0)],
        expected: &[("margin", 0.29)],
        relative: 1e-9,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![margin(a.one("x"), a.one("g"), a.one("LIM"))]),
};

/// Margin in the unit of the statistic.
pub fn margin(x: f64, g: f64, lim: f64) -> f64 {
    settled(x - g - lim, x, lim)
}
