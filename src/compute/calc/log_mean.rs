//! Takes the sum of decimal logarithms and their number; gives the geometric mean.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "log_mean",
    title: "Geometric mean",
    formula: &["GM = 10^(sum_lg / n)"],
    closed: true,
    symbols: &[
        one("sum_lg", "sum of the decimal logarithms", "1", -300.0, 300.0),
        one("n", "readings", "1", 1.0, 10000000.0),
    ],
    outputs: &[gives("GM", "geometric mean", "=")],
    holds_when: "readings are positive",
    strength: Strength::Decides,
    weak_because: "a geometric mean hides one bad place",
    sources: &["IPC-TM-650-2.6.14.1"],
    checks: &[
        Check {
            // Geometric mean of 1 and 100.
            inputs: &[("sum_lg", 2.0), ("n", 2.0)],
            expected: &[("GM", 10.0)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![gm(a.one("sum_lg"), a.one("n"))]),
};

/// Geometric mean in the unit of the readings.
pub fn gm(sum_lg: f64, n: f64) -> f64 {
    libm::pow(10.0, sum_lg / n)
}
