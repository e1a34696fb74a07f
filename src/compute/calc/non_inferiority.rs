//! Takes counts of two arms; gives the difference of their shares and its one-sided upper bound.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "non_inferiority",
    title: "Non-inferiority of two proportions",
    formula: &["p1 = x1 / n1", "p2 = x2 / n2", "low1 = (p1 + z(conf)^2 / (2 * n1) - z(conf) * sqrt(p1 * (1 - p1) / n1 + z(conf)^2 / (4 * n1^2))) / (1 + z(conf)^2 / n1)", "high2 = (p2 + z(conf)^2 / (2 * n2) + z(conf) * sqrt(p2 * (1 - p2) / n2 + z(conf)^2 / (4 * n2^2))) / (1 + z(conf)^2 / n2)", "diff = 100 * (p2 - p1)", "upper = diff + 100 * sqrt((high2 - p2)^2 + (p1 - low1)^2)"],
    closed: true,
    symbols: &[
        whole("x1", "events, old process", 0.0, 1000000000.0),
        whole("n1", "boards, old process", 1.0, 1000000000.0),
        whole("x2", "events, new process", 0.0, 1000000000.0),
        whole("n2", "boards, new process", 1.0, 1000000000.0),
        one("conf", "one-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("p1", "share, old process", "1"), gives("p2", "share, new process", "1"), gives("low1", "lower Wilson bound, old process", "1"), gives("high2", "upper Wilson bound, new process", "1"), gives("diff", "difference", "%"), gives("upper", "upper bound of the difference", "%")],
    holds_when: "boards are independent and both arms were counted alike",
    strength: Strength::Decides,
    weak_because: "retests hide events, and escapes matter more",
    sources: &["Newcombe1998"],
    checks: &[
        Check {
            inputs: &[("x1", 11.0), ("n1", 1800.0), ("x2", 15.0), ("n2", 1800.0), ("conf", 0.95)],
            expected: &[("diff", 0.22), ("upper", 0.72)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("x1", 22.0), ("n1", 4800.0), ("x2", 26.0), ("n2", 4800.0), ("conf", 0.95)],
            expected: &[("upper", 0.33)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Case newcombe_3_24_0_24_0.9 of tests/reference/t02_proportions.json.
            inputs: &[("x1", 0.0), ("n1", 24.0), ("x2", 3.0), ("n2", 24.0), ("conf", 0.95)],
            expected: &[("diff", 12.5), ("upper", 27.490262824711614)],
            relative: 0.0,
            absolute: 1e-08,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        if a.one("x1") > a.one("n1") || a.one("x2") > a.one("n2") {
            return Err("more events than boards".into());
        }
        Ok(newcombe(a.one("x1"), a.one("n1"), a.one("x2"), a.one("n2"), a.one("conf")).to_vec())
    },
};

/// (p1, p2, lower Wilson bound of p1, upper of p2, difference and its upper bound in percent).
pub fn newcombe(x1: f64, n1: f64, x2: f64, n2: f64, conf: f64) -> [f64; 6] {
    let z = normal_quantile(conf);
    let (p1, p2) = (x1 / n1, x2 / n2);
    let (low1, high2) = (wilson(p1, n1, -z), wilson(p2, n2, z));
    let diff = 100.0 * (p2 - p1);
    let spread = ((high2 - p2) * (high2 - p2) + (p1 - low1) * (p1 - low1)).sqrt();
    [p1, p2, low1, high2, diff, diff + 100.0 * spread]
}

/// One end of Wilson's interval: the lower for a negative `z`.
pub fn wilson(p: f64, n: f64, z: f64) -> f64 {
    let root = (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    (p + z * z / (2.0 * n) + z * root) / (1.0 + z * z / n)
}
