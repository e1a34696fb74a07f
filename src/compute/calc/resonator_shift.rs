//! Takes the share of field energy in a film of residue; gives the shift of a resonance.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "resonator_shift",
    title: "Shift of a resonance under residue",
    formula: &["shift = -0.5 * q * (ec - 1) / e_eff", "df = shift * f"],
    closed: true,
    symbols: &[
        one("q", "share of the field energy in the film", "1", 0.0, 0.5),
        one("ec", "relative permittivity of the residue", "1", 1.0, 20.0),
        one("e_eff", "effective permittivity of the line", "1", 1.0, 128.0),
        one("f", "frequency", "MHz", 0.001, 300000.0),
    ],
    outputs: &[gives("shift", "relative shift", "1"), gives("df", "shift", "MHz")],
    holds_when: "the film is thin and the field in it is that of the bare line",
    strength: Strength::Screens,
    weak_because: "an order of magnitude; pairs of the same board before and after washing decide",
    sources: &["house"],
    checks: &[
        Check {
            // -0.41 percent, -3.6 MHz at 868.
            inputs: &[("q", 0.012), ("ec", 2.9), ("e_eff", 2.75), ("f", 868.0)],
            expected: &[("shift", -0.0041), ("df", -3.6)],
            relative: 0.013,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("q", 0.012), ("ec", 2.9), ("e_eff", 2.75), ("f", 2440.0)],
            expected: &[("df", -10.1)],
            relative: 0.0,
            absolute: 0.05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let s = shift(a.one("q"), a.one("ec"), a.one("e_eff"));
        Ok(vec![s, s * a.one("f")])
    },
};

/// Relative shift, negative when the resonance falls.
pub fn shift(q: f64, ec: f64, e_eff: f64) -> f64 {
    -0.5 * q * (ec - 1.0) / e_eff
}
