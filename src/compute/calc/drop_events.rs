//! Takes a series of log10 resistance; gives the sudden drops in it.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::rolling_median;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "drop_events",
    title: "Drops of resistance",
    formula: &["event: neighbouring readings with x <= b - 0.5, b the higher of the median of nine readings around and of the nine up to now"],
    closed: false,
    symbols: &[
        many("x", "decimal logarithm of resistance, in order of time", "log10 ohm", -20.0, 20.0),
    ],
    outputs: &[gives("events", "number of drops", "1"), gives("deepest", "depth of the deepest drop", "dec")],
    holds_when: "readings are raw, not smoothed",
    strength: Strength::Decides,
    weak_because: "a drop shorter than the interval is seen by chance only",
    sources: &["house"],
    checks: &[
        Check {
            // A drop of 1.8 decades over two readings that recovers.
            inputs: &[("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 7.7), ("x", 7.7), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5)],
            expected: &[("events", 1.0), ("deepest", 1.8)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // 0.4 decades are none.
            inputs: &[("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.1), ("x", 9.1), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5), ("x", 9.5)],
            expected: &[("events", 0.0), ("deepest", 0.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let d = drops(&a.many("x"));
        Ok(vec![d.len() as f64, d.iter().map(|d| d.depth).fold(0.0, f64::max)])
    },
};

/// A drop: indices of its first and last reading, its depth in decades, and whether a later reading is back up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    pub first: usize,
    pub last: usize,
    pub depth: f64,
    pub recovered: bool,
}

/// Depth that makes a drop, in decades.
pub const DEPTH: f64 = 0.5;

/// All drops of a series of log10 resistance, in order of time.
pub fn drops(x: &[f64]) -> Vec<Drop> {
    let around = rolling_median(x, 4, 4);
    let before = rolling_median(x, 8, 0);
    let mut out: Vec<Drop> = Vec::new();
    let mut base = f64::NAN;
    for i in 0..x.len() {
        let depth = around[i].max(before[i]) - x[i];
        if depth < DEPTH {
            if let Some(d) = out.last_mut()
                && x[i] > base - DEPTH
            {
                d.recovered = true;
            }
            continue;
        }
        match out.last_mut() {
            Some(d) if d.last + 1 == i => {
                d.last = i;
                d.depth = d.depth.max(depth);
            }
            _ => {
                base = around[i].max(before[i]);
                out.push(Drop { first: i, last: i, depth, recovered: false });
            }
        }
    }
    out
}
