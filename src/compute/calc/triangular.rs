//! Takes least, likeliest and most; gives mean and variance of the triangle between them.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::distribution::Distribution;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "triangular",
    title: "Triangular distribution",
    formula: &[
        "mean = (low + mode + high) / 3",
        "var = ((mode - low)^2 + (mode - low) * (high - mode) + (high - mode)^2) / 18",
    ],
    closed: true,
    symbols: &[
        one("low", "least value", "=", -1e6, 1e6),
        one("mode", "likeliest value", "=", -1e6, 1e6),
        one("high", "most", "=", -1e6, 1e6),
    ],
    outputs: &[gives("mean", "mean", "="), gives("var", "variance", "=2")],
    holds_when: "low <= mode <= high and low < high",
    strength: Strength::Informs,
    weak_because: "three guesses, not data",
    sources: &["trade"],
    checks: &[Check {
        // Case dist_1_triangular of the reference set t07.
        inputs: &[("low", 0.42), ("mode", 0.47), ("high", 0.6)],
        expected: &[("mean", 0.49666666666666665), ("var", 0.001438888888888889)],
        relative: 1e-12,
        absolute: 0.0,
        source: "trade",
        known: Known::Reference,
    }],
    run: |a| {
        let (low, mode, high) = (a.one("low"), a.one("mode"), a.one("high"));
        if !(low <= mode && mode <= high && low < high) {
            return Err("low, mode and high are not in rising order".into());
        }
        let d = Distribution::Triangular { low, mode, high };
        Ok(vec![d.mean(), d.variance()])
    },
};
