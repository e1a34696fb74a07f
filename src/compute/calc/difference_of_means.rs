//! Takes the means of fresh and aged readings; gives what ageing took away.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "difference_of_means",
    title: "Difference of means",
    formula: &["drop = mean_fresh - mean_aged"],
    closed: true,
    symbols: &[
        one("mean_fresh", "mean of the fresh readings", "=", -1000000.0, 1000000.0),
        one("mean_aged", "mean of the aged readings", "=", -1000000.0, 1000000.0),
    ],
    outputs: &[gives("drop", "drop from fresh to aged", "=")],
    holds_when: "fresh and aged boards were built alike and measured in one protocol",
    strength: Strength::Decides,
    weak_because: "fresh and aged boards are different boards",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("mean_fresh", 9.62), ("mean_aged", 9.41)],
            expected: &[("drop", 0.21)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![drop(a.one("mean_fresh"), a.one("mean_aged"))]),
};

/// Drop in the unit of the readings, positive when ageing lowers them.
pub fn drop(mean_fresh: f64, mean_aged: f64) -> f64 {
    mean_fresh - mean_aged
}
