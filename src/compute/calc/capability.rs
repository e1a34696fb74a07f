//! Takes mean, spread and specification; gives the capability index and its lower confidence bound.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "capability",
    title: "Capability with its lower bound",
    formula: &["Cpk = min(USL - mean, mean - LSL) / (3 * s)", "lower = Cpk - z(conf) * sqrt(1 / (9 * n) + Cpk^2 / (2 * (n - 1)))"],
    closed: true,
    symbols: &[
        one("mean", "mean", "=", -1000000000000.0, 1000000000000.0),
        one("s", "overall standard deviation", "=", 1e-30, 1e12),
        one("n", "readings", "1", 2.0, 10000000.0),
        one("LSL", "lower specification limit", "=", -1000000000000000.0, 1000000000000000.0),
        one("USL", "upper specification limit", "=", -1000000000000000.0, 1000000000000000.0),
        one("conf", "one-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("Cpk", "capability index of the overall spread", "1"), gives("lower", "lower confidence bound", "1")],
    holds_when: "the process is steady and readings are normal; the spread is that of all lots together",
    strength: Strength::Decides,
    weak_because: "spread between lots needs many lots to be seen",
    sources: &["Bissell1990"],
    checks: &[
        Check {
            // Case cap_nist_flow of tests/reference/t04_control.json, ppk and ppk_lower95_bissell.
            inputs: &[("mean", 50.81), ("s", 2.0338523927649117), ("n", 10.0), ("LSL", 40.0), ("USL", 60.0), ("conf", 0.95)],
            expected: &[("Cpk", 1.5061728885688197), ("lower", 0.8970392774803074)],
            relative: 1e-08,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        if a.one("LSL") >= a.one("USL") {
            return Err("LSL must be below USL".into());
        }
        let (c, l) = cpk(a.one("mean"), a.one("s"), a.one("n"), a.one("LSL"), a.one("USL"), a.one("conf"));
        Ok(vec![c, l])
    },
};

/// (index, lower confidence bound), plain numbers.
pub fn cpk(mean: f64, s: f64, n: f64, lsl: f64, usl: f64, conf: f64) -> (f64, f64) {
    let index = (usl - mean).min(mean - lsl) / (3.0 * s);
    let error = (1.0 / (9.0 * n) + index * index / (2.0 * (n - 1.0))).sqrt();
    (index, index - normal_quantile(conf) * error)
}
