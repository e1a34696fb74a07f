//! Takes a cost a year and boards; gives the cost of one board.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "cost_per_board",
    title: "Cost of one board",
    formula: &["c = C / B"],
    closed: true,
    symbols: &[
        one("C", "cost a year", "=/a", -10000000000.0, 10000000000.0),
        one("B", "boards a year", "1/a", 0.001, 100000000.0),
    ],
    outputs: &[gives("c", "cost of one board", "=")],
    holds_when: "all of these boards are washed there",
    strength: Strength::Informs,
    weak_because: "an average is no saving: most of it stays when one board leaves",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("C", 222834.0), ("B", 44200.0)],
            expected: &[("c", 5.0415)],
            relative: 0.0,
            absolute: 5e-05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("C") / a.one("B")]),
};
