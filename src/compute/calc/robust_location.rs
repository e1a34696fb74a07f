//! Takes readings; gives median and median absolute deviation, which single wild readings do not move.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::median;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "robust_location",
    title: "Median and robust spread",
    formula: &["median = median(x); mad = median(|x - median|); s = mad / z(0.75)"],
    closed: false,
    symbols: &[many("x", "readings", "=", -1e15, 1e15)],
    outputs: &[
        gives("median", "median", "="),
        gives("mad", "median absolute deviation", "="),
        gives("s", "spread, equal to the standard deviation of normal readings", "="),
    ],
    holds_when: "fewer than half of the readings are wild",
    strength: Strength::Informs,
    weak_because: "hides the wild readings, which may be the very failures sought",
    sources: &["Hampel1974"],
    checks: &[
        Check {
            inputs: &[("x", 1.0), ("x", 1.0), ("x", 2.0), ("x", 2.0), ("x", 4.0), ("x", 6.0), ("x", 9.0)],
            expected: &[("median", 2.0), ("mad", 1.0), ("s", 1.482602218505602)],
            relative: 1e-14,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Case loc_a of tests/reference/t03_trend_location.json.
            inputs: &[("x", 4.2), ("x", 4.4), ("x", 3.9), ("x", 4.1), ("x", 4.3), ("x", 9.8)],
            expected: &[("median", 4.25), ("mad", 0.15), ("s", 0.2223903327758408)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let (m, mad) = location(&a.many("x"));
        Ok(vec![m, mad, mad / NORMAL])
    },
};

/// Median absolute deviation of the standard normal distribution, its quantile of 0.75.
pub const NORMAL: f64 = 0.674_489_750_196_081_7;

/// (median, median absolute deviation); NaN when empty.
pub fn location(x: &[f64]) -> (f64, f64) {
    let m = median(x);
    let off: Vec<f64> = x.iter().map(|v| (v - m).abs()).collect();
    (m, median(&off))
}
