//! Takes observed and chance agreement; gives agreement beyond chance.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "kappa",
    title: "Agreement beyond chance",
    formula: &["kappa = (po - pe) / (1 - pe)"],
    closed: true,
    symbols: &[
        one("po", "share of items rated alike", "1", 0.0, 1.0),
        one("pe", "share expected by chance", "1", 0.0, 0.999999),
    ],
    outputs: &[gives("kappa", "Cohen's kappa", "1")],
    holds_when: "items were rated independently and the reference is right",
    strength: Strength::Decides,
    weak_because: "depends on how often each rating occurs",
    sources: &["Cohen1960"],
    checks: &[
        Check {
            inputs: &[("po", 0.9), ("pe", 0.62)],
            expected: &[("kappa", 0.74)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![kappa(a.one("po"), a.one("pe"))]),
};

/// Cohen's kappa, plain number; 1 is full agreement.
pub fn kappa(po: f64, pe: f64) -> f64 {
    (po - pe) / (1.0 - pe)
}
