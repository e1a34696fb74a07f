//! Takes the voltage left across a guard; gives the leakage that still flows.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "guard_leakage",
    title: "Leakage with a guard",
    formula: &["I = dV / R_pair", "R_eff = V / I"],
    closed: true,
    symbols: &[
        one("dV", "voltage left across the guard", "V", 1e-9, 0.1),
        one("V", "working voltage of the pair", "V", 0.0, 5000.0),
        one("R_pair", "resistance between guard and node", "ohm", 1000.0, 1e+20),
    ],
    outputs: &[
        gives("I", "leakage", "A"),
        gives("R_eff", "resistance that the guard makes of the pair at its working voltage", "ohm"),
    ],
    holds_when: "the guard surrounds the node on the surface",
    strength: Strength::Decides,
    weak_because: "a gap in the guard undoes it",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("dV", 0.002), ("V", 5.0), ("R_pair", 20400000000.0)],
            expected: &[("I", 9.8e-14)],
            relative: 0.005,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("dV", 0.002), ("V", 5.0), ("R_pair", 17478691322.82828)],
            expected: &[("I", 1.1e-13)],
            relative: 0.05,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let i = i(a.one("dV"), a.one("R_pair"));
        Ok(vec![i, a.one("V") / i])
    },
};

/// Leakage in ampere.
pub fn i(dv: f64, r_pair: f64) -> f64 {
    dv / r_pair
}
