//! Takes an amount and a price; gives what it costs.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "cost_item",
    title: "Cost of an amount",
    formula: &["C = n * p"],
    closed: true,
    symbols: &[
        one("n", "amount", "1", 0.0, 1000000000.0),
        one("p", "price of one", "=", -1e9, 1e9),
    ],
    outputs: &[gives("C", "cost", "=")],
    holds_when: "the price holds for the whole amount",
    strength: Strength::Informs,
    weak_because: "a price is of its day",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("n", 42.0), ("p", 210.0)],
            expected: &[("C", 8820.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("n") * a.one("p")]),
};
