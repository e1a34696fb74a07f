//! Takes costs; gives their sum.

use super::{Calc, Check, Known, gives, many};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "cost_sum",
    title: "Sum of costs",
    formula: &["C = sum(c)"],
    closed: true,
    symbols: &[
        many("c", "cost of a part", "=", -10000000000.0, 10000000000.0),
    ],
    outputs: &[gives("C", "all of them", "=")],
    holds_when: "no part is counted twice",
    strength: Strength::Informs,
    weak_because: "it is as sure as its least sure part",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("c", 8820.0), ("c", 21500.0), ("c", 6400.0), ("c", 10200.0), ("c", 7800.0), ("c", 2300.0), ("c", 4800.0)],
            expected: &[("C", 61820.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.many("c").iter().sum()]),
};
