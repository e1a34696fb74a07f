//! Takes a rectangular aperture; gives opening over wall area.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "area_ratio_rectangle",
    title: "Area ratio of a rectangular aperture",
    formula: &["AR = L * W / (2 * T * (L + W))"],
    closed: true,
    symbols: &[
        one("L", "length", "mm", 0.05, 50.0),
        one("W", "width", "mm", 0.05, 50.0),
        one("T", "thickness of the foil", "mm", 0.04, 0.3),
    ],
    outputs: &[gives("AR", "area ratio", "1")],
    holds_when: "walls are straight and rounded corners are negligible",
    strength: Strength::Screens,
    weak_because: "measured transfer decides, not the ratio",
    sources: &["IPC-7525"],
    checks: &[
        Check {
            inputs: &[("L", 0.55), ("W", 0.23), ("T", 0.1)],
            expected: &[("AR", 0.81)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![ar(a.one("L"), a.one("W"), a.one("T"))]),
};

/// Area ratio from lengths in one unit.
pub fn ar(l: f64, w: f64, t: f64) -> f64 {
    l * w / (2.0 * t * (l + w))
}
