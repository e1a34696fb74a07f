//! Takes spread and difference sought; gives the readings needed in each of two groups.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], e: &'static [(&'static str, f64)]) -> Check {
    Check { inputs: i, expected: e, relative: 0.0, absolute: 0.0, source: "trade", known: Known::Practice }
}

pub const CALC: Calc = Calc {
    id: "group_size",
    title: "Readings for two groups",
    formula: &["n = -floor(-2 * ((z(1 - alpha / 2) + z(power)) * s / delta)^2)"],
    closed: true,
    symbols: &[
        one("delta", "difference of means to be found", "=", 1e-6, 1e6),
        one("s", "standard deviation within a group", "=", 1e-6, 1e6),
        one("alpha", "two-sided chance of a false finding", "1", 0.0001, 0.5),
        one("power", "chance of finding the difference", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("n", "readings in each group", "1")],
    holds_when: "readings are independent, normal and of equal spread; spread known beforehand",
    strength: Strength::Screens,
    weak_because: "by the normal distribution: for fewer than twenty add one, see the power by Student's t",
    sources: &["trade"],
    checks: &[
        case(&[("delta", 0.3), ("s", 0.35), ("alpha", 0.05), ("power", 0.8)], &[("n", 22.0)]),
        case(&[("delta", 0.5), ("s", 0.35), ("alpha", 0.05), ("power", 0.8)], &[("n", 8.0)]),
        case(&[("delta", 1.0), ("s", 0.35), ("alpha", 0.05), ("power", 0.8)], &[("n", 2.0)]),
    ],
    run: |a| Ok(vec![n(a.one("delta"), a.one("s"), a.one("alpha"), a.one("power"))]),
};

/// Readings in each group.
pub fn n(delta: f64, s: f64, alpha: f64, power: f64) -> f64 {
    let root = (normal_quantile(1.0 - alpha / 2.0) + normal_quantile(power)) * s / delta;
    (2.0 * root * root).ceil()
}
