//! Takes loads, time and peak; gives how much of how many batch machines they use.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "batch_machines",
    title: "Batch machines needed",
    formula: &["L_1 = 60 * h * u / t", "x = L * p / L_1", "n = -floor(0.000000001 - x)"],
    closed: true,
    symbols: &[
        one("h", "manned hours", "h/a", 1.0, 8784.0),
        one("u", "share of them in which it can wash", "1", 0.05, 1.0),
        one("t", "time of a load", "min", 1.0, 1440.0),
        one("L", "loads a year", "1/a", 0.0, 1000000.0),
        one("p", "busiest week over the mean week", "1", 1.0, 10.0),
    ],
    outputs: &[gives("L_1", "loads a year of one machine", "1/a"), gives("x", "machines used at peak", "1"), gives("n", "machines needed", "1")],
    holds_when: "work of the busiest week is done in that week",
    strength: Strength::Informs,
    weak_because: "work can be put off, at the price of time to wash",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("h", 3150.0), ("u", 0.9), ("t", 62.0), ("L", 2225.0), ("p", 1.35)],
            expected: &[("L_1", 2743.0), ("x", 1.095), ("n", 2.0)],
            relative: 0.0,
            absolute: 0.6,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let one = 60.0 * a.one("h") * a.one("u") / a.one("t");
        let used = a.one("L") * a.one("p") / one;
        Ok(vec![one, used, machines(used)])
    },
};

/// Whole machines for a load, a billionth of one being no reason for another.
pub fn machines(used: f64) -> f64 {
    -(1e-9 - used).floor()
}
