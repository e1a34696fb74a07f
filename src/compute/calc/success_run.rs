//! Takes reliability, confidence and allowed failures; gives the number of trials needed.

use super::{Calc, Check, Known, gives, one, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "success_run",
    title: "Success-run sample size",
    formula: &["least n with P(X <= k; n, 1 - R) <= 1 - C, X binomial"],
    closed: false,
    symbols: &[
        one("R", "reliability to be shown", "1", 0.5, 0.9999),
        one("C", "confidence", "1", 0.01, 0.9999),
        whole("k", "failures allowed", 0.0, 100.0),
    ],
    outputs: &[gives("n", "trials needed", "1")],
    holds_when: "trials are independent and alike",
    strength: Strength::Screens,
    weak_because: "says nothing of degrees of failure",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("R", 0.9), ("C", 0.9), ("k", 0.0)],
            expected: &[("n", 22.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            inputs: &[("R", 0.9), ("C", 0.95), ("k", 0.0)],
            expected: &[("n", 29.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            inputs: &[("R", 0.95), ("C", 0.9), ("k", 0.0)],
            expected: &[("n", 45.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            inputs: &[("R", 0.95), ("C", 0.95), ("k", 0.0)],
            expected: &[("n", 59.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            inputs: &[("R", 0.99), ("C", 0.95), ("k", 0.0)],
            expected: &[("n", 299.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            // An exact boundary that the logarithm in doubles misses.
            inputs: &[("R", 0.8), ("C", 0.36), ("k", 0.0)],
            expected: &[("n", 2.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![n(a.one("R"), a.one("C"), a.one("k"))]),
};

/// Least number of trials, decided by the binomial tail; equality within 1e-12 counts as reached, because R and C are
/// decimals.
pub fn n(r: f64, c: f64, k: f64) -> f64 {
    let enough = |n: f64| tail(n, r, k) <= (1.0 - c) * (1.0 + 1e-12);
    let mut high = k + 1.0;
    while !enough(high) && high < 1e8 {
        high *= 2.0;
    }
    let mut low = k;
    while high - low > 1.0 {
        let mid = (0.5 * (low + high)).floor();
        if enough(mid) {
            high = mid;
        } else {
            low = mid;
        }
    }
    high
}

/// Chance of at most `k` failures in `n` trials of reliability `r`, summed term by term.
pub fn tail(n: f64, r: f64, k: f64) -> f64 {
    if n <= k {
        return 1.0;
    }
    let mut term = libm::exp(n * libm::log(r));
    let mut sum = term;
    let mut i = 0.0;
    while i < k {
        term *= (n - i) / (i + 1.0) * (1.0 - r) / r;
        sum += term;
        i += 1.0;
    }
    sum
}
