//! Takes two chances that do not hang together; gives the chance of both.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "joint_chance",
    title: "Chance of both",
    formula: &["p = p_1 * p_2"],
    closed: true,
    symbols: &[
        one("p_1", "one chance", "1", 0.0, 1.0),
        one("p_2", "the other", "1", 0.0, 1.0),
    ],
    outputs: &[gives("p", "chance of both", "1")],
    holds_when: "one says nothing of the other",
    strength: Strength::Informs,
    weak_because: "tests of one board often fail together",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("p_1", 0.35), ("p_2", 0.7)],
            expected: &[("p", 0.245)],
            relative: 0.0,
            absolute: 1e-12,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("p_1") * a.one("p_2")]),
};
