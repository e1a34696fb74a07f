//! Takes a round aperture; gives opening over wall area.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "area_ratio_circle",
    title: "Area ratio of a round aperture",
    formula: &["AR = D / (4 * T)"],
    closed: true,
    symbols: &[
        one("D", "diameter", "mm", 0.05, 50.0),
        one("T", "thickness of the foil", "mm", 0.04, 0.3),
    ],
    outputs: &[gives("AR", "area ratio", "1")],
    holds_when: "walls are straight",
    strength: Strength::Screens,
    weak_because: "measured transfer decides, not the ratio",
    sources: &["IPC-7525"],
    checks: &[
        Check {
            inputs: &[("D", 0.22), ("T", 0.1)],
            expected: &[("AR", 0.55)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("D", 0.22), ("T", 0.08)],
            expected: &[("AR", 0.69)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![ar(a.one("D"), a.one("T"))]),
};

/// Area ratio from lengths in one unit.
pub fn ar(d: f64, t: f64) -> f64 {
    d / (4.0 * t)
}
