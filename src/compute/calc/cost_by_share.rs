//! Takes the cost of a year, all panels or loads of it and the boards on one; gives the average cost of a board.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "cost_by_share",
    title: "Average cost of a board by its share of panels or loads",
    formula: &["c = C / N / b"],
    closed: true,
    symbols: &[
        one("C", "cost a year", "=/a", -1e10, 1e10),
        one("N", "panels or loads a year", "1/a", 0.001, 1e8),
        one("b", "boards on one panel or in one load", "1", 1.0, 1e4),
    ],
    outputs: &[gives("c", "average cost of one board", "=")],
    holds_when: "a panel, or a load, costs the same whatever is on it",
    strength: Strength::Informs,
    weak_because: "an average is no saving: most of it stays when one board leaves",
    sources: &["trade"],
    checks: &[Check {
        // 222 835.82 a year over 44 200 panels is 5.0415 a panel; four boards on one.
        inputs: &[("C", 222835.82), ("N", 44200.0), ("b", 4.0)],
        expected: &[("c", 1.2604)],
        relative: 0.0,
        absolute: 5e-5,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![a.one("C") / a.one("N") / a.one("b")]),
};
