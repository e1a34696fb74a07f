//! Takes the expected mean and spread and a number of readings; gives the margin to expect of a tolerance bound.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::{noncentral_t_cdf, tolerance_k};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "tolerance_plan",
    title: "Margin to expect of a tolerance bound",
    formula: &[
        "k = tolerance factor of n, p, conf; margin = d - k * s; power = P(T >= k sqrt(n)), T noncentral with d sqrt(n) / s and n - 1 degrees of freedom",
    ],
    closed: false,
    symbols: &[
        one("d", "distance of the true mean from the limit, on the good side, guard band taken off", "=", 0.0, 1e6),
        one("s", "true standard deviation", "=", 1e-6, 1e6),
        one("n", "independent readings", "1", 2.0, 1e7),
        one("p", "share of the population that the bound covers", "1", 0.5, 0.9999),
        one("conf", "confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("k", "tolerance factor", "1"),
        gives("margin", "distance of the bound from the limit to expect", "="),
        gives("power", "chance that the bound meets the limit", "1"),
    ],
    holds_when: "readings are independent and normal on the scale used",
    strength: Strength::Screens,
    weak_because: "mean and spread are guesses before the test",
    sources: &["ISO16269-6"],
    checks: &[
        Check {
            // The rule of eight boards of three combs: 0.4 decades of margin at a spread of 0.33 and 1.45 decades.
            inputs: &[("d", 1.45), ("s", 0.33), ("n", 24.0), ("p", 0.99), ("conf", 0.95)],
            expected: &[("k", 3.181), ("margin", 0.4)],
            relative: 0.0,
            absolute: 6e-4,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            // scipy 1.17, nct.sf(k * sqrt(24), 23, 1.45 / 0.33 * sqrt(24)).
            inputs: &[("d", 1.45), ("s", 0.33), ("n", 24.0), ("p", 0.99), ("conf", 0.95)],
            expected: &[("power", 0.9909977343637301)],
            relative: 1e-8,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let (d, s, n) = (a.one("d"), a.one("s"), a.one("n"));
        let k = tolerance_k(n, a.one("p"), a.one("conf"));
        Ok(vec![k, d - k * s, power(d, s, n, k)])
    },
};

/// Chance, 0 to 1, that mean - `k` s of `n` readings lies above the limit, `d` below the true mean.
pub fn power(d: f64, s: f64, n: f64, k: f64) -> f64 {
    let root = n.sqrt();
    // The spread found is hardly ever more than a hundred times the true one, nor is the mean far off.
    if d / s > 100.0 * k.abs() + 100.0 {
        return 1.0;
    }
    1.0 - noncentral_t_cdf(k * root, n - 1.0, d / s * root)
}
