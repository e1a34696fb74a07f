//! Takes measured and predicted content; gives their ratio.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "mass_balance",
    title: "Ionic mass balance",
    formula: &["ratio = c / c_pred"],
    closed: true,
    symbols: &[
        one("c", "measured content", "ug/cm2", 0.0, 1000000.0),
        one("c_pred", "content predicted from doses", "ug/cm2", 1e-06, 1000000.0),
    ],
    outputs: &[gives("ratio", "measured over predicted", "1")],
    holds_when: "both count the same area",
    strength: Strength::Decides,
    weak_because: "the share that extraction reaches under bodies is not known",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("c", 8.9), ("c_pred", 10.2)],
            expected: &[("ratio", 0.87)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![ratio(a.one("c"), a.one("c_pred"))]),
};

/// Measured over predicted, plain number.
pub fn ratio(c: f64, c_pred: f64) -> f64 {
    c / c_pred
}
