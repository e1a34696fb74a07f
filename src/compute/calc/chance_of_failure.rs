//! Takes the chance of success; gives that of failure.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "chance_of_failure",
    title: "Chance of failure",
    formula: &["q = 1 - p"],
    closed: true,
    symbols: &[
        one("p", "chance of success", "1", 0.0, 1.0),
    ],
    outputs: &[gives("q", "chance of failure", "1")],
    holds_when: "there is nothing between success and failure",
    strength: Strength::Informs,
    weak_because: "a chance is a judgement",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("p", 0.65)],
            expected: &[("q", 0.35)],
            relative: 0.0,
            absolute: 1e-12,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![1.0 - a.one("p")]),
};
