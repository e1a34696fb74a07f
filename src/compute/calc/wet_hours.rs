//! Takes hours of the climate bins in which residue takes up water; gives their sum.

use super::{Calc, Check, Known, gives, many};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "wet_hours",
    title: "Wet hours a year",
    formula: &["wet = sum(h)"],
    closed: true,
    symbols: &[
        many("h", "hours of a bin whose surface humidity is at least the lowest deliquescence less 5 %RH", "h", 0.0, 8800.0),
    ],
    outputs: &[gives("wet", "wet hours a year", "h")],
    holds_when: "the deliquescence of the driest acid is known",
    strength: Strength::Decides,
    weak_because: "mixtures deliquesce earlier than their acids",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("h", 60.0), ("h", 200.0)],
            expected: &[("wet", 260.0)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![wet(&a.many("h"))]),
};

/// Sum of the hours.
pub fn wet(h: &[f64]) -> f64 {
    h.iter().sum()
}
