//! Takes a discount rate and a rise of prices a year; gives the factors of one month.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "month_factors",
    title: "Factors of a month",
    formula: &["v = (1 + i)^(-1 / 12)", "w = ((1 + e) / (1 + i))^(1 / 12)"],
    closed: true,
    symbols: &[
        one("i", "discount rate a year", "1", 0.0, 1.0),
        one("e", "rise of recurring costs a year", "1", -0.2, 0.5),
    ],
    outputs: &[gives("v", "factor on what is paid once", "1"), gives("w", "factor on what recurs", "1")],
    holds_when: "rates hold for the whole time",
    strength: Strength::Informs,
    weak_because: "a rate is a choice of the house",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("i", 0.09), ("e", 0.0)],
            expected: &[("v", 0.99284425), ("w", 0.99284425)],
            relative: 0.0,
            absolute: 5e-9,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (up, down) = (1.0 + a.one("e"), 1.0 + a.one("i"));
        Ok(vec![libm::pow(down, -1.0 / 12.0), libm::pow(up / down, 1.0 / 12.0)])
    },
};
