//! Takes areas read from a photograph; gives the share that residue covers.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "residue_cover",
    title: "Residue cover",
    formula: &["cover = 100 * A_res / (A_res + A_clean)"],
    closed: true,
    symbols: &[
        one("A_res", "area with residue", "mm2", 0.0, 1000000.0),
        one("A_clean", "area without", "mm2", 1e-06, 1000000.0),
    ],
    outputs: &[gives("cover", "covered share", "%")],
    holds_when: "light and threshold are the same for all photographs",
    strength: Strength::Informs,
    weak_because: "a trend only: area says nothing of thickness or of what the residue is",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("A_res", 3.0), ("A_clean", 9.0)],
            expected: &[("cover", 25.0)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![100.0 * a.one("A_res") / (a.one("A_res") + a.one("A_clean"))]),
};

