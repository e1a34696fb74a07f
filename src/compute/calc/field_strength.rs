//! Takes voltage and spacing; gives the mean field between two conductors.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "field_strength",
    title: "Field strength",
    formula: &["E = V_peak / spacing"],
    closed: true,
    symbols: &[
        one("V_peak", "highest voltage", "V", 0.0, 5000.0),
        one("spacing", "smallest spacing", "mm", 0.05, 20.0),
    ],
    outputs: &[gives("E", "mean field", "V/mm")],
    holds_when: "conductors face each other evenly; edges see more",
    strength: Strength::Decides,
    weak_because: "a mean field: edges are higher; above about 50 V another mechanism appears",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("V_peak", 3.3), ("spacing", 0.2)],
            expected: &[("E", 16.5)],
            relative: 0.0,
            absolute: 0.05,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("V_peak", 60.0), ("spacing", 0.15)],
            expected: &[("E", 400.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("V_peak", 620.0), ("spacing", 0.9)],
            expected: &[("E", 689.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("V_peak", 12.0), ("spacing", 0.2)],
            expected: &[("E", 60.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![e(a.one("V_peak"), a.one("spacing"))]),
};

/// Mean field in V/mm.
pub fn e(v_peak: f64, spacing: f64) -> f64 {
    v_peak / spacing
}
