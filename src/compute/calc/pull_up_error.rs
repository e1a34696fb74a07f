//! Takes a pull-up and the leakage path beside it; gives the relative error.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "pull_up_error",
    title: "Error of a pull-up",
    formula: &["err = 1000000 * R / (R + R_pair)"],
    closed: true,
    symbols: &[
        one("R", "a pull-up", "ohm", 1.0, 10000000000000.0),
        one("R_pair", "resistance of the pair", "ohm", 1000.0, 1e+20),
    ],
    outputs: &[gives("err", "error, share of the value", "ppm")],
    holds_when: "the pair pulls to ground",
    strength: Strength::Decides,
    weak_because: "a sheet model, as pair_leakage",
    sources: &["house"],
    checks: &[
        Check {
            // 1 Mohm to 3.3 V: 49 ppm.
            inputs: &[("R", 1000000.0), ("R_pair", 20400000000.0)],
            expected: &[("err", 49.0)],
            relative: 0.002,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![err(a.one("R"), a.one("R_pair"))]),
};

/// Error in ppm from two resistances in one unit.
pub fn err(r: f64, r_pair: f64) -> f64 {
    1000000.0 * r / (r + r_pair)
}
