//! Takes statistic, guard band and limit; gives the margin, positive on the side that meets the limit.

use super::{Calc, Check, Known, gives, margin_range::settled, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "margin_upper",
    title: "Margin below an upper limit",
    formula: &["margin = LIM - g - x"],
    closed: true,
    symbols: &[
        one("x", "statistic that must not exceed the limit", "=", -1e18, 1e18),
        one("g", "guard band", "=", 0.0, 1e18),
        one("LIM", "limit", "=", -1e18, 1e18),
    ],
    outputs: &[gives("margin", "margin; met when not negative", "=")],
    holds_when: "statistic and limit are of one quantity on one geometry",
    strength: Strength::Decides,
    weak_because: "no better than statistic, guard band and limit",
    sources: &["ILAC-G8", "JCGM106"],
    checks: &[Check {
        inputs: &[("x", 8.1), ("g", 0.2), ("LIM", 8.0)],
        expected: &[("margin", -0.3)],
        relative: 1e-9,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![margin(a.one("x"), a.one("g"), a.one("LIM"))]),
};

/// Margin in the unit of the statistic.
pub fn margin(x: f64, g: f64, lim: f64) -> f64 {
    settled(lim - g - x, x, lim)
}
