//! Takes two costs; gives what the second saves.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "saving",
    title: "Saving",
    formula: &["S = C_0 - C"],
    closed: true,
    symbols: &[
        one("C_0", "cost that it is measured against", "=", -10000000000.0, 10000000000.0),
        one("C", "cost", "=", -10000000000.0, 10000000000.0),
    ],
    outputs: &[gives("S", "saving", "=")],
    holds_when: "both count the same things over the same time",
    strength: Strength::Informs,
    weak_because: "it is no surer than the less sure of the two costs",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("C_0", 1279600.0), ("C", 779700.0)],
            expected: &[("S", 499900.0)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("C_0") - a.one("C")]),
};
