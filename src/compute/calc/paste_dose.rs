//! Takes paste volume and area; gives the dose of residue.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "paste_dose",
    title: "Dose of paste residue",
    formula: &["dose = 1000 * m_res * V / A"],
    closed: true,
    symbols: &[
        one("m_res", "residue per paste", "mg/mm3", 0.001, 2.0),
        one("V", "paste volume", "mm3", 0.001, 100000.0),
        one("A", "area", "cm2", 0.001, 5000.0),
    ],
    outputs: &[gives("dose", "residue per area", "ug/cm2")],
    holds_when: "residue spreads evenly over the area",
    strength: Strength::Screens,
    weak_because: "an average: under a body the local dose is far higher",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("m_res", 0.237), ("V", 310.0), ("A", 240.0)],
            expected: &[("dose", 306.0)],
            relative: 0.0,
            absolute: 0.6,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![dose(a.one("m_res"), a.one("V"), a.one("A"))]),
};

/// Residue per area in ug/cm2 from mg/mm3, mm3 and cm2.
pub fn dose(m_res: f64, v: f64, a: f64) -> f64 {
    1000.0 * m_res * v / a
}
