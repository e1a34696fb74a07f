//! Takes boards washed outside; gives the cost of a year.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "outside_year",
    title: "Cost of a year of washing outside",
    formula: &["C = F + B * (c_b + c_t)"],
    closed: true,
    symbols: &[
        one("F", "cost of a year whatever is sent", "=/a", 0.0, 1000000000.0),
        one("B", "boards a year", "1/a", 0.0, 10000000.0),
        one("c_b", "price of a board", "=", 0.0, 100000.0),
        one("c_t", "its transport", "=", 0.0, 100000.0),
    ],
    outputs: &[gives("C", "cost of a year", "=/a")],
    holds_when: "lots are not below the least one",
    strength: Strength::Informs,
    weak_because: "time to wash and damage on the way are not in it",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("F", 4000.0), ("B", 5200.0), ("c_b", 6.9), ("c_t", 0.5)],
            expected: &[("C", 42480.0)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("F") + a.one("B") * (a.one("c_b") + a.one("c_t"))]),
};
