//! Takes a cost and its chance; gives its part of the expected cost.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "weighted_cost",
    title: "Cost by its chance",
    formula: &["E = p * C"],
    closed: true,
    symbols: &[
        one("p", "chance", "1", 0.0, 1.0),
        one("C", "cost", "=", -10000000000.0, 10000000000.0),
    ],
    outputs: &[gives("E", "part of the expected cost", "=")],
    holds_when: "the chance is that of the whole path",
    strength: Strength::Informs,
    weak_because: "an expectation is no forecast: one path comes, not the mean of them",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("p", 0.65), ("C", 624800.0)],
            expected: &[("E", 406120.0)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("p") * a.one("C")]),
};
