//! Takes number of readings, coverage and confidence; gives the exact one-sided tolerance factor k.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::tolerance_k;
use crate::model::workings::Strength;

const fn table(n: &'static [(&'static str, f64)], k: &'static [(&'static str, f64)]) -> Check {
    Check { inputs: n, expected: k, relative: 0.0, absolute: 6e-6, source: "ISO16269-6", known: Known::Reference }
}

pub const CALC: Calc = Calc {
    id: "tolerance_factor",
    title: "One-sided tolerance factor",
    formula: &["k such that P(T <= k * sqrt(n)) = conf, T noncentral Student's t with n - 1 degrees of freedom and noncentrality z(p) * sqrt(n)"],
    closed: false,
    symbols: &[
        whole("n", "independent readings (effective number)", 2.0, 1e7),
        one("p", "share of the population that the bound covers", "1", 0.5, 0.9999),
        one("conf", "confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("k", "standard deviations between mean and bound", "1")],
    holds_when: "readings are independent and normally distributed on the scale used",
    strength: Strength::Decides,
    weak_because: "exact only for a normal population; the lower tail of a real one is never fully known",
    sources: &["ISO16269-6", "NIST-7.2.6.3"],
    checks: &[
        table(&[("n", 3.0), ("p", 0.95), ("conf", 0.95)], &[("k", 7.65590)]),
        table(&[("n", 5.0), ("p", 0.95), ("conf", 0.95)], &[("k", 4.20268)]),
        table(&[("n", 8.0), ("p", 0.95), ("conf", 0.95)], &[("k", 3.18729)]),
        table(&[("n", 10.0), ("p", 0.95), ("conf", 0.95)], &[("k", 2.91096)]),
        table(&[("n", 20.0), ("p", 0.95), ("conf", 0.95)], &[("k", 2.39600)]),
        table(&[("n", 30.0), ("p", 0.95), ("conf", 0.95)], &[("k", 2.21984)]),
        table(&[("n", 50.0), ("p", 0.95), ("conf", 0.95)], &[("k", 2.06499)]),
        table(&[("n", 100.0), ("p", 0.95), ("conf", 0.95)], &[("k", 1.92654)]),
        table(&[("n", 8.0), ("p", 0.99), ("conf", 0.95)], &[("k", 4.35386)]),
        table(&[("n", 12.0), ("p", 0.99), ("conf", 0.95)], &[("k", 3.74708)]),
        table(&[("n", 20.0), ("p", 0.99), ("conf", 0.95)], &[("k", 3.29516)]),
        Check {
            // The handbook prints the approximation 1.8751896; the exact factor was recomputed.
            inputs: &[("n", 43.0), ("p", 0.90), ("conf", 0.99)],
            expected: &[("k", 1.8739536)],
            relative: 0.0,
            absolute: 5e-7,
            source: "NIST-7.2.6.3",
            known: Known::Reference,
        },
        Check {
            inputs: &[("n", 43.0), ("p", 0.90), ("conf", 0.99)],
            expected: &[("k", 1.8751896)],
            relative: 1e-3,
            absolute: 0.0,
            source: "NIST-7.2.6.3",
            known: Known::Seen,
        },
    ],
    run: |a| Ok(vec![k(a.one("n"), a.one("p"), a.one("conf"))]),
};

/// k of ISO 16269-6, plain number; NaN outside n >= 2, 0 < p, conf < 1.
pub fn k(n: f64, p: f64, conf: f64) -> f64 {
    tolerance_k(n, p, conf)
}
