//! Takes mean logarithms of resistance before and after bias; gives the ratio of the geometric means.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "ecm_ratio",
    title: "Ratio of insulation after to before bias",
    formula: &["r = 10^(lg_end - lg_start)"],
    closed: true,
    symbols: &[
        one("lg_end", "mean decimal logarithm of resistance after the bias", "log10 ohm", 3.0, 16.0),
        one("lg_start", "mean decimal logarithm of resistance before the bias", "log10 ohm", 3.0, 16.0),
    ],
    outputs: &[gives("r", "ratio of geometric means", "1")],
    holds_when: "the same combs are read at both times and none stood at the ceiling before the bias",
    strength: Strength::Decides,
    weak_because: "a geometric mean hides one comb, and the ratio passes when the start is already bad",
    sources: &["IPC-TM-650-2.6.14.1"],
    checks: &[
        Check {
            // Means of six combs: 9.75 9.41 9.98 9.62 9.70 9.83 after, 10.12 9.88 10.31 9.95 10.02 10.20 before.
            inputs: &[("lg_end", 9.715), ("lg_start", 10.08)],
            expected: &[("r", 0.43)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![r(a.one("lg_end"), a.one("lg_start"))]),
};

/// Ratio of geometric means, plain number.
pub fn r(lg_end: f64, lg_start: f64) -> f64 {
    libm::pow(10.0, lg_end - lg_start)
}
