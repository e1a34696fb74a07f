//! Takes failures and trials; gives the one-sided upper bound of the failure share, and the reliability shown.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::{beta_quantile, complement};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "proportion_upper",
    title: "Upper bound of a failure share",
    formula: &["upper such that P(X <= k; n, upper) = 1 - C, X binomial; reliability = 1 - upper"],
    closed: false,
    symbols: &[
        whole("k", "failures", 0.0, 1000000000.0),
        whole("n", "trials", 1.0, 1000000000.0),
        one("C", "one-sided confidence", "1", 0.01, 0.9999),
    ],
    outputs: &[
        gives("upper", "upper bound of the failure share", "1"),
        gives("reliability", "reliability shown", "1"),
    ],
    holds_when: "trials are independent and alike",
    strength: Strength::Decides,
    weak_because: "few trials show little, even without a failure",
    sources: &["ClopperPearson1934"],
    checks: &[
        Check {
            // 1 - 0.05^(1/12).
            inputs: &[("k", 0.0), ("n", 12.0), ("C", 0.95)],
            expected: &[("upper", 0.220922)],
            relative: 0.0,
            absolute: 5e-7,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Case upper1_n24_c0.95 of tests/reference/t02_proportions.json.
            inputs: &[("k", 1.0), ("n", 24.0), ("C", 0.95)],
            expected: &[("upper", 0.18289246975564633), ("reliability", 0.8171075302443537)],
            relative: 1e-11,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        if a.one("k") > a.one("n") {
            return Err("more failures than trials".into());
        }
        let u = upper(a.one("k"), a.one("n"), a.one("C"));
        Ok(vec![u, 1.0 - u])
    },
};

/// Upper bound of the failure share, 0 to 1.
pub fn upper(k: f64, n: f64, conf: f64) -> f64 {
    if k <= 0.0 {
        return -libm::expm1(libm::log(complement(conf)) / n);
    }
    if k >= n { 1.0 } else { beta_quantile(k + 1.0, n - k, conf) }
}
