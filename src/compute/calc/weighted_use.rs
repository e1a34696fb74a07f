//! Takes what a path uses beside money and its chance; gives its part of what is expected.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

const MOST: f64 = 1e12;

pub const CALC: Calc = Calc {
    id: "weighted_use",
    title: "Use by its chance",
    formula: &["p_H = p * H", "p_W = p * W", "p_E = p * E", "p_K = p * K", "p_S = p * S"],
    closed: true,
    symbols: &[
        one("p", "chance", "1", 0.0, 1.0),
        one("H", "hours of machines", "h", 0.0, MOST),
        one("W", "water", "m3", 0.0, MOST),
        one("E", "effluent", "m3", 0.0, MOST),
        one("K", "energy", "kWh", 0.0, MOST),
        one("S", "saponifier", "l", 0.0, MOST),
    ],
    outputs: &[
        gives("p_H", "part of the expected hours", "h"),
        gives("p_W", "part of the expected water", "m3"),
        gives("p_E", "part of the expected effluent", "m3"),
        gives("p_K", "part of the expected energy", "kWh"),
        gives("p_S", "part of the expected saponifier", "l"),
    ],
    holds_when: "the chance is that of the whole path",
    strength: Strength::Informs,
    weak_because: "an expectation is no forecast: one path comes, not the mean of them",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("p", 0.65), ("H", 2000.0), ("W", 1200.0), ("E", 1100.0), ("K", 120000.0), ("S", 40.0)],
            expected: &[("p_H", 1300.0), ("p_W", 780.0), ("p_E", 715.0), ("p_K", 78000.0), ("p_S", 26.0)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(["H", "W", "E", "K", "S"].iter().map(|s| a.one("p") * a.one(s)).collect()),
};
