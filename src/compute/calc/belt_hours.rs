//! Takes panels a year and how many a belt washes in an hour; gives the hours that they need.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "belt_hours",
    title: "Hours of a belt that follows its panels",
    formula: &["H = N / q"],
    closed: true,
    symbols: &[
        one("N", "panels a year", "1/a", 0.0, 100000000.0),
        one("q", "panels in an hour", "1/h", 0.01, 100000.0),
    ],
    outputs: &[gives("H", "hours a year", "h/a")],
    holds_when: "panels come one behind the other",
    strength: Strength::Informs,
    weak_because: "real lots leave gaps on the belt",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("N", 44200.0), ("q", 442.0)],
            expected: &[("H", 100.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("N") / a.one("q")]),
};
