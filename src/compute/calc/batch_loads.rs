//! Takes boards a year and boards of a load, or of a panel; gives loads, or panels, a year.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "batch_loads",
    title: "Loads, or panels, a year",
    formula: &["L = B / b"],
    closed: true,
    symbols: &[
        one("B", "boards a year", "1/a", 0.0, 10000000.0),
        one("b", "boards in a load, or on a panel", "1", 1.0, 10000.0),
    ],
    outputs: &[gives("L", "loads, or panels, a year", "1/a")],
    holds_when: "every load, and every panel, is full",
    strength: Strength::Informs,
    weak_because: "lots that do not fill a basket need more",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("B", 5200.0), ("b", 16.0)],
            expected: &[("L", 325.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("B", 38000.0), ("b", 20.0)],
            expected: &[("L", 1900.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("B") / a.one("b")]),
};
