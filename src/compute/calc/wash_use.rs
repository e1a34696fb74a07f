//! Takes hours or loads a year and what one of them uses; gives what some months use beside money.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "wash_use",
    title: "What washing uses beside money",
    formula: &["H = n * h * T / 12", "W = n * w * T / 12", "E = phi * W", "K = n * P * f * T / 12", "S = n * s * T / 12"],
    closed: true,
    symbols: &[
        one("n", "hours of a belt, or loads, a year", "1/a", 0.0, 10000000.0),
        one("h", "hours of one of them", "h", 0.0, 24.0),
        one("T", "months", "1", 0.0, 360.0),
        one("w", "water of one", "m3", 0.0, 100.0),
        one("phi", "share of the water that is discharged", "1", 0.0, 1.0),
        one("P", "energy of one at full load", "kWh", 0.0, 10000.0),
        one("f", "mean share of it", "1", 0.0, 1.0),
        one("s", "saponifier of one", "l", 0.0, 1000.0),
    ],
    outputs: &[
        gives("H", "hours of machines", "h"),
        gives("W", "water", "m3"),
        gives("E", "effluent", "m3"),
        gives("K", "energy", "kWh"),
        gives("S", "saponifier", "l"),
    ],
    holds_when: "every hour, or every load, uses the same",
    strength: Strength::Informs,
    weak_because: "water and energy of one are means; start, drain and standby are in them or are missing",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("n", 4200.0), ("h", 1.0), ("T", 6.0), ("w", 0.6), ("phi", 0.92), ("P", 78.0), ("f", 0.755), ("s", 1.1)],
            expected: &[("H", 2100.0), ("W", 1260.0), ("E", 1159.2), ("K", 123669.0), ("S", 2310.0)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let n = a.one("n") * a.one("T") / 12.0;
        let water = n * a.one("w");
        Ok(vec![n * a.one("h"), water, a.one("phi") * water, n * a.one("P") * a.one("f"), n * a.one("s")])
    },
};
