//! Takes the type of a solder powder; gives its grains and the smallest aperture that they pass.

use super::{Calc, Check, Known, gives, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "powder_type",
    title: "Grains and smallest aperture of a powder",
    formula: &["grains of 80 percent of the powder, in um: type 3 25-45, 4 20-38, 5 15-25, 6 5-15, 7 2-11; W = 5 times the largest"],
    closed: false,
    symbols: &[
        whole("type", "type of the powder", 3.0, 7.0),
    ],
    outputs: &[gives("low", "smallest grain of the main range", "um"), gives("high", "largest grain of the main range", "um"), gives("W", "smallest aperture", "um")],
    holds_when: "round grains; five abreast",
    strength: Strength::Screens,
    weak_because: "the five-grain rule is custom, not measurement",
    sources: &["J-STD-005", "trade"],
    checks: &[
        Check {
            // Type 3.
            inputs: &[("type", 3.0)],
            expected: &[("low", 25.0), ("high", 45.0), ("W", 225.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "J-STD-005",
            known: Known::Seen,
        },
        Check {
            // Type 4.
            inputs: &[("type", 4.0)],
            expected: &[("low", 20.0), ("high", 38.0), ("W", 190.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "J-STD-005",
            known: Known::Seen,
        },
        Check {
            // Type 5.
            inputs: &[("type", 5.0)],
            expected: &[("low", 15.0), ("high", 25.0), ("W", 125.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "J-STD-005",
            known: Known::Seen,
        },
        Check {
            // Type 6.
            inputs: &[("type", 6.0)],
            expected: &[("low", 5.0), ("high", 15.0), ("W", 75.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "J-STD-005",
            known: Known::Seen,
        },
        Check {
            // Type 7.
            inputs: &[("type", 7.0)],
            expected: &[("low", 2.0), ("high", 11.0), ("W", 55.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "J-STD-005",
            known: Known::Seen,
        },
    ],
    run: |a| {
        let (low, high) = grains(a.one("type")).ok_or("no such type")?;
        Ok(vec![low, high, smallest_aperture(high)])
    },
};

/// Main range of grains in um; none for a type without one.
pub fn grains(kind: f64) -> Option<(f64, f64)> {
    match kind as i64 {
        3 => Some((25.0, 45.0)),
        4 => Some((20.0, 38.0)),
        5 => Some((15.0, 25.0)),
        6 => Some((5.0, 15.0)),
        7 => Some((2.0, 11.0)),
        _ => None,
    }
}

/// Smallest aperture for a largest grain, both in um.
pub fn smallest_aperture(largest: f64) -> f64 {
    5.0 * largest
}
