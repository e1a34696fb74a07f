//! Takes concentration in an extract; gives the ion on the surface, per area.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "ionic_content",
    title: "Ionic content",
    formula: &["c = max(C - C_blank, LOD) * V * DF / A"],
    closed: true,
    symbols: &[
        one("C", "concentration in the extract", "mg/L", 0.0, 1000000.0),
        one("C_blank", "concentration in the blank", "mg/L", 0.0, 1000000.0),
        one("LOD", "limit of detection", "mg/L", 0.0, 1000000.0),
        one("V", "volume of the extract", "mL", 0.01, 100000.0),
        one("DF", "dilution before injection", "1", 1.0, 1000000.0),
        one("A", "extracted area", "cm2", 0.001, 100000.0),
    ],
    outputs: &[gives("c", "ion per area", "ug/cm2")],
    holds_when: "the area is that which the limit counts",
    strength: Strength::Decides,
    weak_because: "extraction under bodies is incomplete; what is not detected counts as the limit of detection",
    sources: &["IPC-TM-650-2.3.28"],
    checks: &[
        Check {
            // Case cl_low of the reference set t11 (GUM), value only.
            inputs: &[("C", 0.412), ("C_blank", 0.035), ("LOD", 0.01), ("V", 50.0), ("DF", 1.0), ("A", 103.2)],
            expected: &[("c", 0.18265503875968994)],
            relative: 1e-09,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
        Check {
            inputs: &[("C", 0.01), ("C_blank", 0.02), ("LOD", 0.03), ("V", 100.0), ("DF", 2.0), ("A", 10.0)],
            expected: &[("c", 0.6)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![c(a.one("C"), a.one("C_blank"), a.one("LOD"), a.one("V"), a.one("DF"), a.one("A"))]),
};

/// Ion per area in ug/cm2 (mg/L times mL is ug).
pub fn c(conc: f64, blank: f64, lod: f64, v: f64, df: f64, area: f64) -> f64 {
    (conc - blank).max(lod) * v * df / area
}
