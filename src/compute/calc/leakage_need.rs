//! Takes voltage and leakage budget of a pair; gives the resistance that it needs, and that of a comb.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "leakage_need",
    title: "Resistance that a pair needs",
    formula: &["R_need = V / I_max", "R_comb = 10 * R_need * facing / (spacing * N)"],
    closed: true,
    symbols: &[
        one("V", "voltage across the pair", "V", 0.001, 5000.0),
        one("I_max", "leakage that the circuit bears", "A", 1e-15, 0.001),
        one("spacing", "spacing of the pair", "mm", 0.05, 20.0),
        one("facing", "length over which the conductors face", "mm", 0.05, 500.0),
        one("N", "squares of the comb", "1", 0.5, 20000.0),
    ],
    outputs: &[gives("R_need", "resistance that the pair needs", "ohm"), gives("R_comb", "resistance that a comb must show, ten times margin", "ohm")],
    holds_when: "as for pair_leakage",
    strength: Strength::Decides,
    weak_because: "a sheet model, as pair_leakage",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("V", 620.0), ("I_max", 2.5e-11), ("spacing", 0.9), ("facing", 3.0), ("N", 1020.0)],
            expected: &[("R_need", 25000000000000.0), ("R_comb", 794328234724.2821)],
            relative: 0.03,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (r, c) = need(a.one("V"), a.one("I_max"), a.one("spacing"), a.one("facing"), a.one("N"));
        Ok(vec![r, c])
    },
};

/// (ohm of the pair, ohm of the comb) from volt, ampere, lengths in one unit, squares.
pub fn need(v: f64, i_max: f64, spacing: f64, facing: f64, n: f64) -> (f64, f64) {
    let r_need = v / i_max;
    (r_need, 10.0 * r_need * facing / (spacing * n))
}
