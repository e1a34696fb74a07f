//! Takes a cost a year and discounted months; gives its present value.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "recurring_value",
    title: "Present value of a recurring cost",
    formula: &["V = C / 12 * s"],
    closed: true,
    symbols: &[
        one("C", "cost a year", "=/a", -10000000000.0, 10000000000.0),
        one("s", "discounted months", "1", 0.0, 10000.0),
    ],
    outputs: &[gives("V", "present value", "=")],
    holds_when: "a twelfth is paid in every month",
    strength: Strength::Informs,
    weak_because: "it goes on as planned only if volumes do",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("C", 222834.0), ("s", 55.0)],
            expected: &[("V", 1021322.5)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("C") / 12.0 * a.one("s")]),
};
