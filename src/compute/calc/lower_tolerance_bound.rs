//! Takes mean, spread and factor; gives the bound above which the stated share of the population lies.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], e: &'static [(&'static str, f64)]) -> Check {
    Check { inputs: i, expected: e, relative: 0.0, absolute: 0.006, source: "house", known: Known::Hand }
}

pub const CALC: Calc = Calc {
    id: "lower_tolerance_bound",
    title: "Lower tolerance bound",
    formula: &["LTB = mean - k * s"],
    closed: true,
    symbols: &[
        one("mean", "mean of the readings", "=", -1e18, 1e18),
        one("k", "tolerance factor", "1", -1e5, 1e5),
        one("s", "standard deviation of the readings, n - 1 in the denominator", "=", 0.0, 1e18),
    ],
    outputs: &[gives("LTB", "lower tolerance bound", "=")],
    holds_when: "readings are normally distributed on the scale used and not cut off by the instrument",
    strength: Strength::Decides,
    weak_because: "assumes a normal population; combs are not real conductor pairs",
    sources: &["ISO16269-6"],
    checks: &[
        case(&[("mean", 9.62), ("k", 3.659), ("s", 0.33)], &[("LTB", 8.41)]),
        case(&[("mean", 9.62), ("k", 3.181), ("s", 0.33)], &[("LTB", 8.57)]),
        case(&[("mean", 9.60), ("k", 4.354), ("s", 0.35)], &[("LTB", 8.08)]),
    ],
    run: |a| Ok(vec![ltb(a.one("mean"), a.one("k"), a.one("s"))]),
};

/// Lower tolerance bound in the unit of the readings.
pub fn ltb(mean: f64, k: f64, s: f64) -> f64 {
    mean - k * s
}
