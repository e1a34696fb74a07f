//! Takes a value as written in the site; gives it back, so that pages can cite it like a computed one.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "as_given",
    title: "Value as written",
    formula: &["value = given"],
    closed: true,
    symbols: &[one("given", "value as written", "=", -1e18, 1e18)],
    outputs: &[gives("value", "value", "=")],
    holds_when: "always",
    strength: Strength::Decides,
    weak_because: "no better than what was written",
    sources: &["house"],
    checks: &[Check {
        inputs: &[("given", 36.7)],
        expected: &[("value", 36.7)],
        relative: 0.0,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![value(a.one("given"))]),
};

/// The value itself.
pub fn value(given: f64) -> f64 {
    given
}
