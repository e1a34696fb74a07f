//! Takes mean and spread of logarithms; gives the upper tolerance bound of a lognormal population.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "upper_tolerance_bound_log",
    title: "Upper tolerance bound of logarithms",
    formula: &["UTB = 10^(mean_lg + k * s_lg)"],
    closed: true,
    symbols: &[
        one("mean_lg", "mean of the decimal logarithms", "1", -6.0, 6.0),
        one("k", "tolerance factor", "1", 0.0, 50.0),
        one("s_lg", "standard deviation of the decimal logarithms", "1", 0.0, 2.0),
    ],
    outputs: &[gives("UTB", "upper tolerance bound", "=")],
    holds_when: "readings are positive and their logarithms normally distributed",
    strength: Strength::Decides,
    weak_because: "assumes a lognormal population; readings below detection count as the limit of detection",
    sources: &["ISO16269-6"],
    checks: &[Check {
        inputs: &[("mean_lg", 0.0), ("k", 2.0), ("s_lg", 0.5)],
        expected: &[("UTB", 10.0)],
        relative: 1e-12,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![utb(a.one("mean_lg"), a.one("k"), a.one("s_lg"))]),
};

/// Upper tolerance bound in the unit of the readings.
pub fn utb(mean_lg: f64, k: f64, s_lg: f64) -> f64 {
    libm::pow(10.0, mean_lg + k * s_lg)
}
