//! Takes mean and mean moving range; gives the limits of an individuals chart.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "individuals_limits",
    title: "Limits of an individuals chart",
    formula: &["UCL = mean + 2.66 * MR", "LCL = mean - 2.66 * MR"],
    closed: true,
    symbols: &[
        one("mean", "mean", "=", -1000000000000000.0, 1000000000000000.0),
        one("MR", "mean moving range", "=", 0.0, 1000000000000000.0),
    ],
    outputs: &[gives("UCL", "upper control limit", "="), gives("LCL", "lower control limit", "=")],
    holds_when: "points are in the order in which they arose and the process was steady",
    strength: Strength::Decides,
    weak_because: "limits of a short history move",
    sources: &["NIST-6.3.2.2"],
    checks: &[
        Check {
            // The handbook divides by d2 = 1.128; 2.66 is 3/d2 rounded, hence the wider tolerance.
            inputs: &[("mean", 50.81), ("MR", 1.8778)],
            expected: &[("UCL", 55.8041), ("LCL", 45.8159)],
            relative: 0.0,
            absolute: 0.0015,
            source: "NIST-6.3.2.2",
            known: Known::Memory,
        },
        Check {
            inputs: &[("mean", 0.426), ("MR", 0.0455)],
            expected: &[("UCL", 0.547)],
            relative: 0.0,
            absolute: 0.0005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (u, l) = limits(a.one("mean"), a.one("MR"));
        Ok(vec![u, l])
    },
};

/// (upper, lower) limit in the unit of the points.
pub fn limits(mean: f64, mr: f64) -> (f64, f64) {
    (mean + 2.66 * mr, mean - 2.66 * mr)
}
