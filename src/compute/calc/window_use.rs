//! Takes a value and its window; gives how much of the half-width it uses.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "window_use",
    title: "Window use",
    formula: &["use = 100 * abs(x - (low + high) / 2) / ((high - low) / 2)"],
    closed: true,
    symbols: &[
        one("x", "value", "=", -1000000.0, 1000000.0),
        one("low", "lower end", "=", -1000000.0, 1000000.0),
        one("high", "upper end", "=", -1000000.0, 1000000.0),
    ],
    outputs: &[gives("use", "distance from the centre, share of the half-width", "%")],
    holds_when: "both ends of the window are real limits",
    strength: Strength::Decides,
    weak_because: "a window of solder, not of residue: both are needed",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("x", 241.0), ("low", 235.0), ("high", 250.0)],
            expected: &[("use", 20.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("x", 58.0), ("low", 45.0), ("high", 80.0)],
            expected: &[("use", 26.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("x", 72.0), ("low", 60.0), ("high", 110.0)],
            expected: &[("use", 52.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("x", 1.9), ("low", 0.8), ("high", 2.5)],
            expected: &[("use", 29.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        if a.one("low") >= a.one("high") {
            return Err("low must be below high".into());
        }
        Ok(vec![percent(a.one("x"), a.one("low"), a.one("high"))])
    },
};

/// Window use in percent; 100 at either end.
pub fn percent(x: f64, low: f64, high: f64) -> f64 {
    100.0 * (x - (low + high) / 2.0).abs() / ((high - low) / 2.0)
}
