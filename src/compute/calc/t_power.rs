//! Takes readings, spread and a difference; gives the chance that Student's t finds it.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::{noncentral_t_cdf, t_quantile};
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], power: &'static [(&'static str, f64)]) -> Check {
    Check { inputs: i, expected: power, relative: 1e-8, absolute: 0.0, source: "house", known: Known::Reference }
}

pub const CALC: Calc = Calc {
    id: "t_power",
    title: "Power of Student's t",
    formula: &[
        "power = P(|T| > t(1 - alpha / 2, nu)), T noncentral with delta / (s sqrt(groups / n)) and nu = groups (n - 1)",
    ],
    closed: false,
    symbols: &[
        whole("groups", "1 for pairs, 2 for two groups", 1.0, 2.0),
        whole("n", "pairs, or readings in each group", 2.0, 1e7),
        one("delta", "true difference", "=", 0.0, 1e6),
        one("s", "standard deviation of the differences, or within a group", "=", 1e-6, 1e6),
        one("alpha", "two-sided chance of a false finding", "1", 0.0001, 0.5),
    ],
    outputs: &[gives("power", "chance of finding the difference", "1")],
    holds_when: "readings are independent and normal, groups of equal spread",
    strength: Strength::Screens,
    weak_because: "the spread is known only after the test",
    sources: &["Cohen1988"],
    checks: &[
        // statsmodels 0.15 TTestIndPower().power(0.3/0.35, 22, 0.05) and TTestPower().power(0.5/0.35, 6, 0.05).
        case(&[("groups", 2.0), ("n", 22.0), ("delta", 0.3), ("s", 0.35), ("alpha", 0.05)], &[("power", 0.7931267487492647)]),
        case(&[("groups", 1.0), ("n", 6.0), ("delta", 0.5), ("s", 0.35), ("alpha", 0.05)], &[("power", 0.7968476452101234)]),
        Check {
            // No difference: the chance of a false finding.
            inputs: &[("groups", 2.0), ("n", 9.0), ("delta", 0.0), ("s", 1.0), ("alpha", 0.1)],
            expected: &[("power", 0.1)],
            relative: 1e-9,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![power(a.one("groups"), a.one("n"), a.one("delta"), a.one("s"), a.one("alpha"))]),
};

/// Chance, 0 to 1, that a two-sided test finds the difference.
pub fn power(groups: f64, n: f64, delta: f64, s: f64, alpha: f64) -> f64 {
    let nu = groups * (n - 1.0);
    let shift = delta / s * (n / groups).sqrt();
    let t = t_quantile(1.0 - 0.5 * alpha, nu);
    // Beyond 1e3 deviations it is certain.
    if shift > t * 10.0 + 1e3 {
        return 1.0;
    }
    (1.0 - noncentral_t_cdf(t, nu, shift) + noncentral_t_cdf(-t, nu, shift)).clamp(0.0, 1.0)
}
