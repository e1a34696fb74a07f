//! Takes the factor of a month and two months; gives the sum of its powers from one to the other.

use super::{Calc, Check, Known, gives, one, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "span_factor",
    title: "Discounted months",
    formula: &["s = sum of w^m, m from a to b; 0 when b is before a"],
    closed: false,
    symbols: &[
        one("w", "factor of a month", "1", 0.5, 1.5),
        whole("a", "first month", 0.0, 360.0),
        whole("b", "last month", 0.0, 360.0),
    ],
    outputs: &[gives("s", "discounted months", "1")],
    holds_when: "payments fall at the ends of months",
    strength: Strength::Informs,
    weak_because: "rates hold for the whole time",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("w", 1.0), ("a", 1.0), ("b", 72.0)],
            expected: &[("s", 72.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("w", 0.5), ("a", 1.0), ("b", 3.0)],
            expected: &[("s", 0.875)],
            relative: 0.0,
            absolute: 1e-12,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![span(a.one("w"), a.one("a") as u32, a.one("b") as u32)]),
};

/// Sum of powers of `w` from month `a` to month `b`.
pub fn span(w: f64, a: u32, b: u32) -> f64 {
    (a..=b).map(|m| libm::pow(w, f64::from(m))).sum()
}
