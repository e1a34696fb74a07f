//! Takes statistic, guard band and both ends of a range; gives the margin to the nearer end.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "margin_range",
    title: "Margin inside a range",
    formula: &["margin = min(x - g - LOW, HIGH - g - x)"],
    closed: true,
    symbols: &[
        one("x", "statistic that must lie in the range", "=", -1e18, 1e18),
        one("g", "guard band", "=", 0.0, 1e18),
        one("LOW", "lower end", "=", -1e18, 1e18),
        one("HIGH", "upper end", "=", -1e18, 1e18),
    ],
    outputs: &[gives("margin", "margin; met when not negative", "=")],
    holds_when: "statistic and range are of one quantity",
    strength: Strength::Decides,
    weak_because: "no better than statistic, guard band and range",
    sources: &["ILAC-G8", "JCGM106"],
    checks: &[Check {
        inputs: &[("x", 241.0), ("g", 1.0), ("LOW", 235.0), ("HIGH", 250.0)],
        expected: &[("margin", 5.0)],
        relative: 1e-12,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![margin(a.one("x"), a.one("g"), a.one("LOW"), a.one("HIGH"))]),
};

/// Margin in the unit of the statistic.
pub fn margin(x: f64, g: f64, low: f64, high: f64) -> f64 {
    settled(x - g - low, x, low).min(settled(high - g - x, x, high))
}

/// A margin that is no more than rounding of its terms is zero.
pub fn settled(margin: f64, x: f64, lim: f64) -> f64 {
    if margin.abs() <= 1e-13 * x.abs().max(lim.abs()) { 0.0 } else { margin }
}
