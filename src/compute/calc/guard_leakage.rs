//! Takes the voltage left across a guard; gives the leakage that still flows.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "guard_leakage",
    title: "Leakage with a guard",
    formula: &["I = dV / R_pair"],
    closed: true,
    symbols: &[
        one("dV", "voltage left across the guard", "V", 0.0, 0.1),
        one("R_pair", "resistance between guard and node", "ohm", 1000.0, 1e+20),
    ],
    outputs: &[gives("I", "leakage", "A")],
    holds_when: "the guard surrounds the node on the surface",
    strength: Strength::Decides,
    weak_because: "a gap in the guard undoes it",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("dV", 0.002), ("R_pair", 20400000000.0)],
            expected: &[("I", 9.8e-14)],
            relative: 0.005,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("dV", 0.002), ("R_pair", 17478691322.82828)],
            expected: &[("I", 1.1e-13)],
            relative: 0.05,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![i(a.one("dV"), a.one("R_pair"))]),
};

/// Leakage in ampere.
pub fn i(dv: f64, r_pair: f64) -> f64 {
    dv / r_pair
}
