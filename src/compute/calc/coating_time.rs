//! Takes thickness and diffusion of a coating; gives the time that moisture needs through it.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "coating_time",
    title: "Time for moisture through a coating",
    formula: &["t = (d / 1e6)^2 / (2 * D)"],
    closed: true,
    symbols: &[
        one("d", "thickness", "um", 0.1, 10000.0),
        one("D", "diffusion of water in the coating", "m2/s", 1e-18, 1e-08),
    ],
    outputs: &[gives("t", "time until the residue sees the humidity outside", "s")],
    holds_when: "diffusion only, no cracks, no uptake by the coating itself",
    strength: Strength::Informs,
    weak_because: "a coating slows moisture, it does not stop it",
    sources: &["trade"],
    checks: &[
        Check {
            // 50 um at 1e-12 m2/s: about 21 minutes.
            inputs: &[("d", 50.0), ("D", 1e-12)],
            expected: &[("t", 1250.0)],
            relative: 1e-09,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![t(a.one("d"), a.one("D"))]),
};

/// Time in s from um and m2/s.
pub fn t(d: f64, diffusion: f64) -> f64 {
    (d / 1e6) * (d / 1e6) / (2.0 * diffusion)
}
