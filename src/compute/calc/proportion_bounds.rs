//! Takes events and trials; gives the exact bounds of the share.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::beta_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "proportion_bounds",
    title: "Exact bounds of a proportion",
    formula: &["low and high such that P(X >= k; low) = P(X <= k; high) = (1 - conf) / 2, X binomial"],
    closed: false,
    symbols: &[
        whole("k", "events", 0.0, 1000000000.0),
        whole("n", "trials", 1.0, 1000000000.0),
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("low", "lower bound", "1"), gives("high", "upper bound", "1")],
    holds_when: "trials are independent",
    strength: Strength::Decides,
    weak_because: "wide for few trials",
    sources: &["ClopperPearson1934", "Loader2000"],
    checks: &[
        Check {
            inputs: &[("k", 4.0), ("n", 20.0), ("conf", 0.9)],
            expected: &[("low", 0.071354), ("high", 0.401028)],
            relative: 0.0,
            absolute: 5e-07,
            source: "NIST-7.2.4",
            known: Known::Seen,
        },
        Check {
            // Zero of twelve, one-sided 95 percent.
            inputs: &[("k", 0.0), ("n", 12.0), ("conf", 0.9)],
            expected: &[("low", 0.0), ("high", 0.220922)],
            relative: 0.0,
            absolute: 5e-07,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Poisson limit: half the chi-square quantiles 1.237344 and 17.534546 with 6 and 8 degrees of freedom, over n.
            inputs: &[("k", 3.0), ("n", 10000000.0), ("conf", 0.95)],
            expected: &[("low", 6.186721e-08), ("high", 8.767273e-07)],
            relative: 2e-06,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        if a.one("k") > a.one("n") {
            return Err("more events than trials".into());
        }
        let (l, h) = bounds(a.one("k"), a.one("n"), a.one("conf"));
        Ok(vec![l, h])
    },
};

/// (lower, upper) bound of Clopper and Pearson; ends for any counts.
pub fn bounds(k: f64, n: f64, conf: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - conf);
    let low = if k <= 0.0 { 0.0 } else { beta_quantile(k, n - k + 1.0, tail) };
    let high = if k >= n { 1.0 } else { beta_quantile(k + 1.0, n - k, 1.0 - tail) };
    (low, high)
}
