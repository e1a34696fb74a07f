//! Takes what parts use beside money; gives what they use together.

use super::{Calc, Check, Known, gives, many};
use crate::model::workings::Strength;

const MOST: f64 = 1e12;

pub const CALC: Calc = Calc {
    id: "use_sum",
    title: "Use of several parts together",
    formula: &["sum_H = sum(H)", "sum_W = sum(W)", "sum_E = sum(E)", "sum_K = sum(K)", "sum_S = sum(S)"],
    closed: true,
    symbols: &[
        many("H", "hours of machines", "h", 0.0, MOST),
        many("W", "water", "m3", 0.0, MOST),
        many("E", "effluent", "m3", 0.0, MOST),
        many("K", "energy", "kWh", 0.0, MOST),
        many("S", "saponifier", "l", 0.0, MOST),
    ],
    outputs: &[
        gives("sum_H", "all hours", "h"),
        gives("sum_W", "all water", "m3"),
        gives("sum_E", "all effluent", "m3"),
        gives("sum_K", "all energy", "kWh"),
        gives("sum_S", "all saponifier", "l"),
    ],
    holds_when: "no part is counted twice",
    strength: Strength::Informs,
    weak_because: "it is as sure as its least sure part",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("H", 2100.0), ("W", 1260.0), ("E", 1159.2), ("K", 123669.0), ("S", 0.0), ("H", 400.0), ("W", 97.5), ("E", 97.5), ("K", 5850.0), ("S", 292.5)],
            expected: &[("sum_H", 2500.0), ("sum_W", 1357.5), ("sum_E", 1256.7), ("sum_K", 129519.0), ("sum_S", 292.5)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(["H", "W", "E", "K", "S"].iter().map(|s| a.many(s).iter().sum()).collect()),
};
