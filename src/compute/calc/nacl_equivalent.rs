//! Takes the conductivity of an extract in water; gives the sodium chloride that would show it.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "nacl_equivalent",
    title: "Sodium chloride equivalent of a conductivity",
    formula: &["w = kappa * 58.44 / L0"],
    closed: true,
    symbols: &[
        one("kappa", "conductivity less that of the blank", "uS/cm", 0.0, 1e4),
        one("L0", "limiting molar conductivity of sodium chloride", "S cm2/mol", 50.0, 300.0),
    ],
    outputs: &[gives("w", "sodium chloride", "mg/L")],
    holds_when: "in water at 25 degC, highly diluted; not in mixtures of alcohol and water",
    strength: Strength::Informs,
    weak_because: "no ion of a residue need be sodium or chloride; equivalents of different instruments don't compare",
    sources: &["trade"],
    checks: &[Check {
        inputs: &[("kappa", 2.163), ("L0", 126.4)],
        expected: &[("w", 1.0)],
        relative: 0.0,
        absolute: 5e-4,
        source: "trade",
        known: Known::Memory,
    }],
    run: |a| Ok(vec![w(a.one("kappa"), a.one("L0"))]),
};

/// Sodium chloride in mg/L from uS/cm and S cm2/mol.
pub fn w(kappa: f64, l0: f64) -> f64 {
    kappa * 58.44 / l0
}
