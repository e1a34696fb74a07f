//! Takes paired differences; gives the largest mean shift that they allow.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "paired_shift",
    title: "Paired shift",
    formula: &["shift = abs(d) + q * s / sqrt(n)"],
    closed: true,
    symbols: &[
        one("d", "mean of the paired differences", "=", -1000000000000.0, 1000000000000.0),
        one("s", "standard deviation of the differences", "=", 0.0, 1000000000000.0),
        one("n", "pairs", "1", 2.0, 10000000.0),
        one("q", "Student's factor", "1", 0.0, 10000.0),
    ],
    outputs: &[gives("shift", "bound of the mean shift", "=")],
    holds_when: "each difference is of one and the same board",
    strength: Strength::Decides,
    weak_because: "washing changes more than the residue; the same board measured again unwashed shows how much",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("d", -3.1), ("s", 0.35), ("n", 8.0), ("q", 2.365)],
            expected: &[("shift", 3.3927)],
            relative: 0.0,
            absolute: 5e-05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![shift(a.one("d"), a.one("s"), a.one("n"), a.one("q"))]),
};

/// Bound of the mean shift in the unit of the differences.
pub fn shift(d: f64, s: f64, n: f64, q: f64) -> f64 {
    d.abs() + q * s / n.sqrt()
}
