//! Takes leakage through a pair and a feedback resistor; gives the error at the output of a transimpedance amplifier.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "transimpedance_error",
    title: "Error of a transimpedance amplifier",
    formula: &["I = V / R_pair", "dV = I * R_fb"],
    closed: true,
    symbols: &[
        one("V", "voltage of the neighbour", "V", 0.0, 5000.0),
        one("R_pair", "resistance of the pair", "ohm", 1000.0, 1e+20),
        one("R_fb", "feedback resistor", "ohm", 1.0, 10000000000000.0),
    ],
    outputs: &[gives("I", "leakage", "A"), gives("dV", "error at the output", "V")],
    holds_when: "the input stays at virtual ground",
    strength: Strength::Decides,
    weak_because: "a sheet model, as pair_leakage",
    sources: &["house"],
    checks: &[
        Check {
            // 24.5 mV.
            inputs: &[("V", 5.0), ("R_pair", 20400000000.0), ("R_fb", 100000000.0)],
            expected: &[("I", 2.45e-10), ("dV", 0.0245)],
            relative: 0.002,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let i = a.one("V") / a.one("R_pair");
        Ok(vec![i, dv(i, a.one("R_fb"))])
    },
};

/// Error in volt from ampere and ohm.
pub fn dv(i: f64, r_fb: f64) -> f64 {
    i * r_fb
}
