//! Takes a series of log10 resistance; gives its slope over the logarithm of time at its end.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::least_squares;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "drift_slope",
    title: "Drift of the last 72 hours",
    formula: &["slope of the least-squares line of x over log10(t), t > 0 and t >= t_last - 72 h"],
    closed: false,
    symbols: &[
        many("t", "time", "h", -100000.0, 100000.0),
        many("x", "decimal logarithm of resistance", "log10 ohm", -20.0, 20.0),
    ],
    outputs: &[gives("slope", "decades per decade of time, negative when it falls", "dec")],
    holds_when: "the series is long beside 72 h or all of it is used",
    strength: Strength::Screens,
    weak_because: "a short stretch says little of years",
    sources: &["house"],
    checks: &[
        Check {
            // x = log10 t has slope 1.
            inputs: &[("t", 100.0), ("t", 120.0), ("t", 140.0), ("t", 160.0), ("x", 2.0), ("x", 2.0791812460476247), ("x", 2.146128035678238), ("x", 2.2041199826559246)],
            expected: &[("slope", 1.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (t, x) = (a.many("t"), a.many("x"));
        if t.len() != x.len() {
            return Err("t and x need the same number of values".into());
        }
        Ok(vec![slope(&t, &x)])
    },
};

/// Hours at the end of a series that the slope is taken over.
pub const LAST: f64 = 72.0;

/// Slope in decades per decade; NaN with fewer than two readings in the stretch.
pub fn slope(t: &[f64], x: &[f64]) -> f64 {
    let end = t.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let stretch = || t.iter().zip(x).filter(|(t, _)| **t > 0.0 && **t >= end - LAST);
    let lg: Vec<f64> = stretch().map(|p| libm::log10(*p.0)).collect();
    let y: Vec<f64> = stretch().map(|p| *p.1).collect();
    least_squares(&lg, &y).1
}
