//! Takes the spread of paired differences and a shift sought; gives the pairs needed.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], e: &'static [(&'static str, f64)]) -> Check {
    Check { inputs: i, expected: e, relative: 0.0, absolute: 0.0, source: "trade", known: Known::Practice }
}

pub const CALC: Calc = Calc {
    id: "paired_size",
    title: "Pairs for a shift",
    formula: &["n = -floor(-((z(1 - alpha / 2) + z(power)) * s / delta)^2)"],
    closed: true,
    symbols: &[
        one("delta", "mean shift to be found", "=", 1e-6, 1e6),
        one("s", "standard deviation of the differences", "=", 1e-6, 1e6),
        one("alpha", "two-sided chance of a false finding", "1", 0.0001, 0.5),
        one("power", "chance of finding the shift", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("n", "pairs", "1")],
    holds_when: "differences are independent and normal, their spread known beforehand",
    strength: Strength::Screens,
    weak_because: "by the normal distribution: for fewer than twenty add two, see the power by Student's t",
    sources: &["trade"],
    checks: &[
        case(&[("delta", 0.5), ("s", 0.35), ("alpha", 0.05), ("power", 0.9)], &[("n", 6.0)]),
        case(&[("delta", 0.25), ("s", 0.35), ("alpha", 0.05), ("power", 0.9)], &[("n", 21.0)]),
        case(&[("delta", 0.5), ("s", 0.8), ("alpha", 0.05), ("power", 0.9)], &[("n", 27.0)]),
    ],
    run: |a| Ok(vec![n(a.one("delta"), a.one("s"), a.one("alpha"), a.one("power"))]),
};

/// Pairs needed.
pub fn n(delta: f64, s: f64, alpha: f64, power: f64) -> f64 {
    let root = (normal_quantile(1.0 - alpha / 2.0) + normal_quantile(power)) * s / delta;
    (root * root).ceil()
}
