//! Takes reliability, confidence and allowed failures; gives the number of trials needed.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::{Decimal, beta_tails, complement, tail_at_most};
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

/// Most trials that are looked for.
const MOST: f64 = 1e12;

/// Least number of trials with the tail at most 1 - `c`, for the decimals `r` and `c` as they are written: where
/// doubles are too near to tell, whole numbers decide. Infinite when more than 1e12 would be needed.
pub fn n(r: f64, c: f64, k: f64) -> f64 {
    let allowed = complement(c);
    let enough = |n: f64| {
        let t = tail(n, r, k);
        if (t - allowed).abs() > 1e-9 * allowed {
            return t <= allowed;
        }
        match (Decimal::of(r), Decimal::of(c)) {
            (Some(r), Some(c)) if n * f64::from(r.places) * (k + 1.0) <= EXACT => {
                tail_at_most(n as u64, r, k as u64, c)
            }
            _ => t <= allowed,
        }
    };
    let mut high = k + 1.0;
    while !enough(high) && high < MOST {
        high *= 2.0;
    }
    if !enough(high) {
        return f64::INFINITY;
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

/// Digits, over all terms, up to which whole numbers are worth their time. Equality needs few: with no failure allowed
/// it can't happen beyond 60 trials.
const EXACT: f64 = 40_000.0;

/// Chance of at most `k` failures in `n` trials of reliability `r`: term by term for few, else by the incomplete beta
/// function.
pub fn tail(n: f64, r: f64, k: f64) -> f64 {
    if n <= k {
        return 1.0;
    }
    let q = complement(r);
    let log_term = n * libm::log1p(-q);
    if k > 200.0 || log_term < -600.0 {
        return beta_tails(n - k, k + 1.0, r, q).0;
    }
    let mut term = libm::exp(log_term);
    let mut sum = term;
    let mut i = 0.0;
    while i < k {
        term *= (n - i) / (i + 1.0) * q / r;
        sum += term;
        i += 1.0;
    }
    sum
}
