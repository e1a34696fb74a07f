//! Takes events and trials; gives Wilson's score interval of the share.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "wilson_interval",
    title: "Score interval of a proportion",
    formula: &[
        "low = (k / n + z((1 + conf) / 2)^2 / (2 * n) - z((1 + conf) / 2) * sqrt(k / n * (1 - k / n) / n + z((1 + conf) / 2)^2 / (4 * n^2))) / (1 + z((1 + conf) / 2)^2 / n)",
        "high = (k / n + z((1 + conf) / 2)^2 / (2 * n) + z((1 + conf) / 2) * sqrt(k / n * (1 - k / n) / n + z((1 + conf) / 2)^2 / (4 * n^2))) / (1 + z((1 + conf) / 2)^2 / n)",
    ],
    closed: true,
    symbols: &[
        whole("k", "events", 0.0, 1000000000.0),
        whole("n", "trials", 1.0, 1000000000.0),
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("low", "lower bound", "1"), gives("high", "upper bound", "1")],
    holds_when: "trials are independent; no continuity correction",
    strength: Strength::Screens,
    weak_because: "keeps its confidence on average only; the exact bounds keep it always",
    sources: &["Wilson1927", "NIST-7.2.4"],
    checks: &[
        Check {
            // 4 of 20: (0.29604 -+ 0.19989) / 1.19207.
            inputs: &[("k", 4.0), ("n", 20.0), ("conf", 0.95)],
            expected: &[("low", 0.080658), ("high", 0.416017)],
            relative: 0.0,
            absolute: 5e-7,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Case wilson_24_24_0.9 of tests/reference/t02_proportions.json.
            inputs: &[("k", 24.0), ("n", 24.0), ("conf", 0.9)],
            expected: &[("low", 0.8986898185110512), ("high", 1.0)],
            relative: 0.0,
            absolute: 1e-12,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        if a.one("k") > a.one("n") {
            return Err("more events than trials".into());
        }
        let (low, high) = interval(a.one("k"), a.one("n"), a.one("conf"));
        Ok(vec![low, high])
    },
};

/// (lower, upper) bound; exactly 0 for no event and 1 for events only.
pub fn interval(k: f64, n: f64, conf: f64) -> (f64, f64) {
    let z = normal_quantile(0.5 + 0.5 * conf);
    let p = k / n;
    let middle = p + z * z / (2.0 * n);
    let root = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    let under = 1.0 + z * z / n;
    let low = if k <= 0.0 { 0.0 } else { ((middle - root) / under).clamp(0.0, p) };
    let high = if k >= n { 1.0 } else { ((middle + root) / under).clamp(p, 1.0) };
    (low, high)
}
