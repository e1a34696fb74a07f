//! Takes an amount and a share; gives that share of it.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "share_of",
    title: "Share of an amount",
    formula: &["G = g * S"],
    closed: true,
    symbols: &[
        one("g", "share", "1", 0.0, 1.0),
        one("S", "amount", "=", -10000000000.0, 10000000000.0),
    ],
    outputs: &[gives("G", "that share", "=")],
    holds_when: "the share is agreed",
    strength: Strength::Informs,
    weak_because: "agreements end",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("g", 0.5), ("S", 1000.0)],
            expected: &[("G", 500.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("g") * a.one("S")]),
};
