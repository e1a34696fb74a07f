//! Takes the sum of readings and their number; gives their mean.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "mean_value",
    title: "Mean",
    formula: &["mean = sum_x / n"],
    closed: true,
    symbols: &[
        one("sum_x", "sum of the readings", "=", -1e+18, 1e+18),
        one("n", "readings", "1", 1.0, 10000000.0),
    ],
    outputs: &[gives("mean", "mean", "=")],
    holds_when: "every reading counts alike",
    strength: Strength::Decides,
    weak_because: "a mean hides the worst place",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("sum_x", 28.86), ("n", 3.0)],
            expected: &[("mean", 9.62)],
            relative: 1e-09,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![mean(a.one("sum_x"), a.one("n"))]),
};

/// Mean in the unit of the readings.
pub fn mean(sum_x: f64, n: f64) -> f64 {
    sum_x / n
}
