//! Takes what a belt costs by the year and by the hour; gives the cost of a year.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "belt_year",
    title: "Cost of a year of a belt washer",
    formula: &["C = F + H * c_h"],
    closed: true,
    symbols: &[
        one("F", "cost that falls as long as it is kept", "=/a", 0.0, 1000000000.0),
        one("H", "hours kept running", "h/a", 0.0, 8784.0),
        one("c_h", "cost of an hour", "=/h", 0.0, 10000.0),
    ],
    outputs: &[gives("C", "cost of a year", "=/a")],
    holds_when: "hours follow the shifts, not the boards",
    strength: Strength::Informs,
    weak_because: "hours that are not run are not always saved",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("F", 61820.0), ("H", 4200.0), ("c_h", 38.3366667)],
            expected: &[("C", 222834.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("F") + a.one("H") * a.one("c_h")]),
};
