//! Takes mean, spread and factor; gives the bound below which the stated share of the population lies.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "upper_tolerance_bound",
    title: "Upper tolerance bound",
    formula: &["UTB = mean + k * s"],
    closed: true,
    symbols: &[
        one("mean", "mean of the readings", "=", -1e18, 1e18),
        one("k", "tolerance factor", "1", -1e5, 1e5),
        one("s", "standard deviation of the readings, n - 1 in the denominator", "=", 0.0, 1e18),
    ],
    outputs: &[gives("UTB", "upper tolerance bound", "=")],
    holds_when: "readings are normally distributed on the scale used",
    strength: Strength::Decides,
    weak_because: "assumes a normal population",
    sources: &["ISO16269-6"],
    checks: &[Check {
        inputs: &[("mean", 97.07), ("k", 1.8739536), ("s", 0.0268)],
        expected: &[("UTB", 97.1202)],
        relative: 0.0,
        absolute: 5e-5,
        source: "NIST-7.2.6.3",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![utb(a.one("mean"), a.one("k"), a.one("s"))]),
};

/// Upper tolerance bound in the unit of the readings.
pub fn utb(mean: f64, k: f64, s: f64) -> f64 {
    mean + k * s
}
