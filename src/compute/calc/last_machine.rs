//! Takes machines used at peak and machines needed; gives how much of the last one is used.

use super::{Calc, Check, Known, gives, one, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "last_machine",
    title: "Used share of the last machine",
    formula: &["f = x - n + 1"],
    closed: true,
    symbols: &[one("x", "machines used at peak", "1", 0.0, 1e6), whole("n", "machines needed", 0.0, 1e6)],
    outputs: &[gives("f", "used share of the last machine", "1")],
    holds_when: "all machines but the last one are full at peak",
    strength: Strength::Informs,
    weak_because: "a last machine that is hardly used is a price of the peak, which may be smoothed",
    sources: &["trade"],
    checks: &[Check {
        // 109 % of one machine: two are needed, and of the second one 9 % is used.
        inputs: &[("x", 1.0948), ("n", 2.0)],
        expected: &[("f", 0.0948)],
        relative: 0.0,
        absolute: 1e-12,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![a.one("x") - a.one("n") + 1.0]),
};
