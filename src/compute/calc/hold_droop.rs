//! Takes leakage and a hold capacitor; gives how fast the held voltage moves.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "hold_droop",
    title: "Droop of a sample-and-hold",
    formula: &["rate = I / C"],
    closed: true,
    symbols: &[
        one("I", "leakage", "A", 0.0, 0.001),
        one("C", "capacitor", "F", 1e-15, 1.0),
    ],
    outputs: &[gives("rate", "change of the held voltage", "V/s")],
    holds_when: "leakage stays the same while the voltage moves",
    strength: Strength::Decides,
    weak_because: "a sheet model, as pair_leakage",
    sources: &["house"],
    checks: &[
        Check {
            // 245 pA on 1 nF.
            inputs: &[("I", 2.45e-10), ("C", 1e-09)],
            expected: &[("rate", 0.245)],
            relative: 1e-09,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![rate(a.one("I"), a.one("C"))]),
};

/// Change in volt per second.
pub fn rate(i: f64, c: f64) -> f64 {
    i / c
}
