//! Takes life of an event and interval of reading; gives the chance that the event is seen.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "detection_probability",
    title: "Chance of seeing a short event",
    formula: &["P = min(1, tau / d)"],
    closed: true,
    symbols: &[
        one("tau", "life of the event", "min", 0.001, 1000000.0),
        one("d", "interval between readings", "min", 0.001, 1000000.0),
    ],
    outputs: &[gives("P", "chance that at least one reading falls into it", "1")],
    holds_when: "readings are at even intervals and the event begins at any time",
    strength: Strength::Screens,
    weak_because: "the life of an unseen event is not known",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("tau", 5.0), ("d", 20.0)],
            expected: &[("P", 0.25)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("tau", 5.0), ("d", 60.0)],
            expected: &[("P", 0.08)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("tau", 2.0), ("d", 1440.0)],
            expected: &[("P", 0.0014)],
            relative: 0.0,
            absolute: 5e-05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![p(a.one("tau"), a.one("d"))]),
};

/// Chance, 0 to 1.
pub fn p(tau: f64, d: f64) -> f64 {
    (tau / d).min(1.0)
}
