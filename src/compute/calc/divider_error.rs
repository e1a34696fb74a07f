//! Takes one leg of a divider and the leakage path beside it; gives the relative error.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "divider_error",
    title: "Error of a divider",
    formula: &["err = 100 * R / (R + R_pair)"],
    closed: true,
    symbols: &[
        one("R", "one leg of a divider", "ohm", 1.0, 10000000000000.0),
        one("R_pair", "resistance of the pair", "ohm", 1000.0, 1e+20),
    ],
    outputs: &[gives("err", "error, share of the value", "%")],
    holds_when: "the pair lies across the resistor",
    strength: Strength::Decides,
    weak_because: "a sheet model, as pair_leakage",
    sources: &["house"],
    checks: &[
        Check {
            // 10 Mohm shunted by 20.4 Gohm.
            inputs: &[("R", 10000000.0), ("R_pair", 20400000000.0)],
            expected: &[("err", 0.049)],
            relative: 0.002,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![err(a.one("R"), a.one("R_pair"))]),
};

/// Error in percent from two resistances in one unit.
pub fn err(r: f64, r_pair: f64) -> f64 {
    100.0 * r / (r + r_pair)
}
