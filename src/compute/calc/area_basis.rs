//! Takes the sides of a board and the area that a report counts; gives which basis the report has.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "area_basis",
    title: "Area basis",
    formula: &["both = 2 * L * W / 100", "ratio = A / both"],
    closed: true,
    symbols: &[
        one("L", "length of the board", "mm", 1.0, 1000.0),
        one("W", "width of the board", "mm", 1.0, 1000.0),
        one("A", "area that the report counts", "cm2", 0.01, 100000.0),
    ],
    outputs: &[gives("both", "both sides of the board", "cm2"), gives("ratio", "reported over both sides: 1 both sides, 0.5 one side, 0.155 both in square inches", "1")],
    holds_when: "a rectangle; components are not counted",
    strength: Strength::Decides,
    weak_because: "tall components add area that no basis counts",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("L", 120.0), ("W", 100.0), ("A", 240.0)],
            expected: &[("both", 240.0), ("ratio", 1.0)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Square inches.
            inputs: &[("L", 120.0), ("W", 100.0), ("A", 37.2)],
            expected: &[("ratio", 0.155)],
            relative: 0.001,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let both = both(a.one("L"), a.one("W"));
        Ok(vec![both, a.one("A") / both])
    },
};

/// Both sides in cm2 from mm.
pub fn both(l: f64, w: f64) -> f64 {
    2.0 * l * w / 100.0
}
