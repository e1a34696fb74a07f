//! Takes least, likeliest and most; gives mean and variance of the beta distribution between them.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::distribution::{Distribution, pert_shape};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "pert",
    title: "PERT distribution",
    formula: &[
        "alpha = 1 + lambda * (mode - low) / (high - low)",
        "beta = 1 + lambda * (high - mode) / (high - low)",
        "mean = (low + lambda * mode + high) / (lambda + 2)",
        "var = (high - low)^2 * alpha * beta / ((alpha + beta)^2 * (alpha + beta + 1))",
    ],
    closed: true,
    symbols: &[
        one("low", "least value", "=", -1e6, 1e6),
        one("mode", "likeliest value", "=", -1e6, 1e6),
        one("high", "most", "=", -1e6, 1e6),
        one("lambda", "weight of the likeliest value, 4 by custom", "1", 0.01, 100.0),
    ],
    outputs: &[
        gives("alpha", "first exponent and 1", "1"),
        gives("beta", "second exponent and 1", "1"),
        gives("mean", "mean", "="),
        gives("var", "variance", "=2"),
    ],
    holds_when: "low <= mode <= high and low < high",
    strength: Strength::Informs,
    weak_because: "three guesses, not data",
    sources: &["trade"],
    checks: &[Check {
        // Case dist_2_pert of the reference set t07.
        inputs: &[("low", 0.3), ("mode", 0.38), ("high", 0.65), ("lambda", 4.0)],
        expected: &[("mean", 0.4116666666666667), ("var", 0.0038019841269841276)],
        relative: 1e-12,
        absolute: 0.0,
        source: "trade",
        known: Known::Reference,
    }],
    run: |a| {
        let (low, mode, high, lambda) = (a.one("low"), a.one("mode"), a.one("high"), a.one("lambda"));
        if !(low <= mode && mode <= high && low < high) {
            return Err("low, mode and high are not in rising order".into());
        }
        let (alpha, beta) = pert_shape(low, mode, high, lambda);
        let d = Distribution::Pert { low, mode, high, lambda };
        Ok(vec![alpha, beta, d.mean(), d.variance()])
    },
};
