//! Takes a mass under one body; gives its content there and on the average of the board.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "local_content",
    title: "Local and average content",
    formula: &["local = m / A_local", "average = m / A_board", "ratio = local / average"],
    closed: true,
    symbols: &[
        one("m", "mass under the body", "ug", 1e-06, 1000000.0),
        one("A_local", "free area under the body", "cm2", 0.0001, 100.0),
        one("A_board", "area of the board, both sides", "cm2", 0.01, 100000.0),
    ],
    outputs: &[gives("local", "content under the body", "ug/cm2"), gives("average", "content of the board average", "ug/cm2"), gives("ratio", "local over average", "1")],
    holds_when: "the mass stays under the body",
    strength: Strength::Screens,
    weak_because: "extraction of a whole board cannot see the place that fails",
    sources: &["house"],
    checks: &[
        Check {
            // 25 ug of weak acids under a QFN: 137 there, 0.10 on average.
            inputs: &[("m", 25.0), ("A_local", 0.1819), ("A_board", 240.0)],
            expected: &[("local", 137.0), ("average", 0.104)],
            relative: 0.005,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (local, average) = (a.one("m") / a.one("A_local"), a.one("m") / a.one("A_board"));
        Ok(vec![local, average, local / average])
    },
};

