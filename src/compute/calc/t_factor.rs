//! Takes confidence and degrees of freedom; gives the two-sided factor of Student's t.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::t_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "t_factor",
    title: "Student's factor",
    formula: &["q = t(0.5 + 0.5 * conf, nu)"],
    closed: true,
    symbols: &[
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
        one("nu", "degrees of freedom", "1", 1.0, 10000000.0),
    ],
    outputs: &[gives("q", "factor", "1")],
    holds_when: "readings are independent and about normal",
    strength: Strength::Decides,
    weak_because: "small samples lean on the normal shape",
    sources: &["NIST-7.2.6.3"],
    checks: &[
        Check {
            inputs: &[("conf", 0.95), ("nu", 7.0)],
            expected: &[("q", 2.365)],
            relative: 0.0,
            absolute: 0.0005,
            source: "trade",
            known: Known::Memory,
        },
        Check {
            inputs: &[("conf", 0.95), ("nu", 10.0)],
            expected: &[("q", 2.228)],
            relative: 0.0,
            absolute: 0.0005,
            source: "trade",
            known: Known::Memory,
        },
    ],
    run: |a| Ok(vec![q(a.one("conf"), a.one("nu"))]),
};

/// Two-sided factor of Student's t.
pub fn q(conf: f64, nu: f64) -> f64 {
    t_quantile(0.5 + 0.5 * conf, nu)
}
