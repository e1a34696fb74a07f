//! Takes gaps, overlap and spacing of a comb; gives its squares.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "comb_squares",
    title: "Squares of a comb",
    formula: &["N = gaps * overlap / space"],
    closed: true,
    symbols: &[
        one("gaps", "number of gaps", "1", 1.0, 500.0),
        one("overlap", "overlap length of one gap", "mm", 0.1, 200.0),
        one("space", "spacing", "mm", 0.05, 20.0),
    ],
    outputs: &[gives("N", "squares", "1")],
    holds_when: "all gaps are alike; never inferred from the spacing alone",
    strength: Strength::Decides,
    weak_because: "neglects the ends of the fingers",
    sources: &["IEC61189-5-501"],
    checks: &[
        Check {
            inputs: &[("gaps", 34.0), ("overlap", 15.0), ("space", 0.5)],
            expected: &[("N", 1020.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "IEC61189-5-501",
            known: Known::Seen,
        },
    ],
    run: |a| Ok(vec![n(a.one("gaps"), a.one("overlap"), a.one("space"))]),
};

/// Squares, plain number.
pub fn n(gaps: f64, overlap: f64, space: f64) -> f64 {
    gaps * overlap / space
}
