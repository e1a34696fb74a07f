//! Takes two groups of readings; gives the difference of their means with interval, spreads not assumed equal.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::maths::{mean, sd, t_cdf, t_quantile};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "welch",
    title: "Difference of two means",
    formula: &[
        "diff = mean(a) - mean(b); se^2 = s_a^2/n_a + s_b^2/n_b; nu = se^4 / (s_a^4/(n_a^2 (n_a - 1)) + s_b^4/(n_b^2 (n_b - 1))); low, high = diff -+ t((1 + conf) / 2, nu) * se; p = P(|T| > |diff| / se)",
    ],
    closed: false,
    symbols: &[
        many("a", "readings of the first group", "=", -1e15, 1e15),
        many("b", "readings of the second group", "=", -1e15, 1e15),
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("diff", "mean of the first less that of the second", "="),
        gives("low", "lower bound", "="),
        gives("high", "upper bound", "="),
        gives("t", "Student's t", "1"),
        gives("nu", "degrees of freedom", "1"),
        gives("p", "two-sided chance", "1"),
    ],
    holds_when: "readings are independent and near normal on the scale used",
    strength: Strength::Decides,
    weak_because: "combs of one board are not independent: take board means first",
    sources: &["Welch1947"],
    checks: &[
        Check {
            // Case welch_small of tests/reference/t03_trend_location.json.
            inputs: &[("a", 8.61), ("a", 8.72), ("a", 8.55), ("a", 8.9), ("a", 8.67), ("b", 9.02), ("b", 8.95), ("b", 9.11), ("b", 8.88), ("b", 9.2), ("b", 9.05), ("conf", 0.95)],
            expected: &[("t", -4.560976331618261), ("nu", 7.961139228569567), ("p", 0.001870817433828027), ("low", -0.5195783882373265), ("high", -0.17042161176266765)],
            relative: 1e-9,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
        Check {
            // Equal spreads and numbers: nu = 4, se = 1/sqrt 1.5, diff = -3.
            inputs: &[("a", 1.0), ("a", 2.0), ("a", 3.0), ("b", 4.0), ("b", 5.0), ("b", 6.0), ("conf", 0.95)],
            expected: &[("diff", -3.0), ("t", -3.6742346141747673), ("nu", 4.0)],
            relative: 1e-14,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let d = difference(&a.many("a"), &a.many("b"), a.one("conf"))?;
        Ok(vec![d.diff, d.low, d.high, d.t, d.nu, d.p])
    },
};

/// Difference of means with what belongs to it.
#[derive(Debug, Clone, Copy)]
pub struct Difference {
    pub diff: f64,
    /// Standard error.
    pub error: f64,
    pub t: f64,
    pub nu: f64,
    pub p: f64,
    pub low: f64,
    pub high: f64,
}

/// Mean of `a` less mean of `b`.
///
/// # Errors
/// Fewer than two readings in a group, or no spread in either.
pub fn difference(a: &[f64], b: &[f64], conf: f64) -> Result<Difference, String> {
    if a.len() < 2 || b.len() < 2 {
        return Err("each group needs two readings".into());
    }
    let part = |x: &[f64]| {
        let s = sd(x);
        s * s / x.len() as f64
    };
    let (va, vb) = (part(a), part(b));
    let square = va + vb;
    if square.is_nan() || square <= 0.0 || !square.is_finite() {
        return Err("neither group has any spread".into());
    }
    // Shares first, so that squares of tiny spreads do not vanish.
    let (fa, fb) = (va / square, vb / square);
    let nu = 1.0 / (fa * fa / (a.len() - 1) as f64 + fb * fb / (b.len() - 1) as f64);
    let diff = mean(a) - mean(b);
    let error = square.sqrt();
    let t = diff / error;
    let half = t_quantile(0.5 + 0.5 * conf, nu) * error;
    let p = (2.0 * t_cdf(-t.abs(), nu)).min(1.0);
    Ok(Difference { diff, error, t, nu, p, low: diff - half, high: diff + half })
}
