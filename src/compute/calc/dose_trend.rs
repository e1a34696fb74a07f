//! Takes means at several doses; gives the line through them and its lower tolerance bound at a dose.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::maths::least_squares;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "dose_trend",
    title: "Linear trend over doses",
    formula: &["mean(dose) = a + b * dose by least squares; LTB = a + b * x - k * s"],
    closed: false,
    symbols: &[
        many("dose", "dose", "ug/cm2", 0.0, 1000000.0),
        many("mean", "mean of the readings at that dose", "=", -20.0, 20.0),
        one("s", "pooled standard deviation within a dose", "=", 0.0, 20.0),
        one("k", "tolerance factor", "1", 0.0, 100000.0),
        one("x", "dose at which the bound is wanted", "ug/cm2", 0.0, 1000000.0),
    ],
    outputs: &[gives("a", "intercept", "="), gives("b", "slope", "dec per ug/cm2"), gives("LTB", "lower tolerance bound at dose x", "=")],
    holds_when: "three doses at least, the wanted dose lies between them, the trend is straight",
    strength: Strength::Screens,
    weak_because: "a straight line through few doses; the spread at a dose never tested is assumed",
    sources: &["house"],
    checks: &[
        Check {
            // 8.10 after a guard band of 0.12.
            inputs: &[("dose", 0.0), ("dose", 100.0), ("dose", 200.0), ("mean", 9.6), ("mean", 9.3), ("mean", 9.02), ("s", 0.2484), ("k", 3.659), ("x", 160.0)],
            expected: &[("b", -0.0029), ("LTB", 8.22)],
            relative: 0.0,
            absolute: 0.006,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (dose, mean) = (a.many("dose"), a.many("mean"));
        let (i, b, ltb) = bound(&dose, &mean, a.one("s"), a.one("k"), a.one("x"))
            .ok_or("needs a mean at each of three doses at least, and x between them")?;
        Ok(vec![i, b, ltb])
    },
};

/// (intercept, slope, bound at `x`); none with fewer than three different doses or `x` outside them.
pub fn bound(dose: &[f64], mean: &[f64], s: f64, k: f64, x: f64) -> Option<(f64, f64, f64)> {
    let mut different = dose.to_vec();
    different.sort_by(f64::total_cmp);
    different.dedup();
    let (low, high) = (different.first()?, different.last()?);
    if dose.len() != mean.len() || different.len() < 3 || x < *low || x > *high {
        return None;
    }
    let (a, b) = least_squares(dose, mean);
    Some((a, b, a + b * x - k * s))
}
