//! Takes readings clustered on boards; gives the number of independent readings that they are worth.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "cluster_size",
    title: "Effective number of readings",
    formula: &["n_eff = floor(n / (1 + (m - 1) * r))"],
    closed: true,
    symbols: &[
        one("n", "readings", "1", 1.0, 1e7),
        one("m", "readings on a board, weighted by size", "1", 1.0, 1e6),
        one("r", "intraclass correlation", "1", 0.0, 1.0),
    ],
    outputs: &[gives("n_eff", "effective number of readings", "1")],
    holds_when: "boards carry about equally many readings",
    strength: Strength::Decides,
    weak_because: "an approximation: readings of one board are not independent",
    sources: &["house"],
    checks: &[Check {
        inputs: &[("n", 24.0), ("m", 3.0), ("r", 0.40)],
        expected: &[("n_eff", 13.0)],
        relative: 0.0,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![n_eff(a.one("n"), a.one("m"), a.one("r"))]),
};

/// Readings divided by the design effect, rounded down.
pub fn n_eff(n: f64, m: f64, r: f64) -> f64 {
    (n / (1.0 + (m - 1.0) * r)).floor()
}
