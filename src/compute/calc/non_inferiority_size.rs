//! Takes a share and a margin; gives the boards needed in each arm to show that the new process is not worse.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "non_inferiority_size",
    title: "Boards for non-inferiority",
    formula: &["n = -floor(-2 * (z(conf) + z(power))^2 * p * (1 - p) / (margin / 100)^2)"],
    closed: true,
    symbols: &[
        one("p", "share of events, the same in both processes", "1", 1e-6, 0.5),
        one("margin", "difference that does not matter, in points of percent", "%", 0.001, 50.0),
        one("conf", "one-sided confidence", "1", 0.5, 0.9999),
        one("power", "chance of showing it when both are equal", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("n", "boards in each arm", "1")],
    holds_when: "boards are independent, events not too rare for the normal distribution",
    strength: Strength::Screens,
    weak_because: "if the new process is a little worse, more boards are needed, or none are enough",
    sources: &["trade"],
    checks: &[
        Check {
            // 0.4 points at 0.6 %.
            inputs: &[("p", 0.006), ("margin", 0.4), ("conf", 0.95), ("power", 0.8)],
            expected: &[("n", 4610.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "trade",
            known: Known::Practice,
        },
        Check {
            // 2 (1.6449 + 1.2816)^2 * 0.25 / 0.01 = 428.2.
            inputs: &[("p", 0.5), ("margin", 10.0), ("conf", 0.95), ("power", 0.9)],
            expected: &[("n", 429.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![n(a.one("p"), a.one("margin"), a.one("conf"), a.one("power"))]),
};

/// Boards in each arm; margin in percent.
pub fn n(p: f64, margin: f64, conf: f64, power: f64) -> f64 {
    let z = normal_quantile(conf) + normal_quantile(power);
    let share = margin / 100.0;
    (2.0 * z * z * p * (1.0 - p) / (share * share)).ceil()
}
