//! Takes a measurement uncertainty; gives the guard band by which a value is moved towards its limit.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "guard_band",
    title: "Guard band",
    formula: &["g = f * u"],
    closed: true,
    symbols: &[
        one("f", "factor: 1.64 one-sided, 2 for the expanded uncertainty", "1", 0.0, 4.0),
        one("u", "standard uncertainty of a reading", "=", 0.0, 1e18),
    ],
    outputs: &[gives("g", "guard band", "=")],
    holds_when: "the uncertainty is normal and stated for the readings that are compared",
    strength: Strength::Decides,
    weak_because: "the uncertainty is the laboratory's statement",
    sources: &["ILAC-G8", "JCGM106"],
    checks: &[Check {
        inputs: &[("f", 2.0), ("u", 0.1)],
        expected: &[("g", 0.2)],
        relative: 1e-12,
        absolute: 0.0,
        source: "ILAC-G8",
        known: Known::Seen,
    }],
    run: |a| Ok(vec![g(a.one("f"), a.one("u"))]),
};

/// Guard band in the unit of the uncertainty.
pub fn g(f: f64, u: f64) -> f64 {
    f * u
}
