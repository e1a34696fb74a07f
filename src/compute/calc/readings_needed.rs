//! Takes mean, spread and limit; gives the number of readings that would show the bound, or says that none would.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::{normal_quantile, tolerance_k};
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], e: &'static [(&'static str, f64)], within: f64) -> Check {
    Check { inputs: i, expected: e, relative: 0.0, absolute: within, source: "house", known: Known::Hand }
}

pub const CALC: Calc = Calc {
    id: "readings_needed",
    title: "Readings needed to show a tolerance bound",
    formula: &["least n_eff with k(n_eff, p, conf) <= d / s"],
    closed: false,
    symbols: &[
        one("d", "distance of the guarded mean from the limit, on the good side", "=", -1e18, 1e18),
        one("s", "standard deviation of the readings", "=", 0.0, 1e18),
        one("p", "share of the population that the bound covers", "1", 0.5, 0.9999),
        one("conf", "confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("n_eff", "independent readings needed", "1")],
    holds_when: "further readings keep mean and spread",
    strength: Strength::Informs,
    weak_because: "mean and spread of a small sample will move",
    sources: &["ISO16269-6"],
    checks: &[
        // A mean of 9.62 and 9.47 against 8.5, guard 0.12, spread 0.33; the second turns over between
        // 191 and 192 in the last digit of the spread.
        case(&[("d", 1.0), ("s", 0.33), ("p", 0.99), ("conf", 0.95)], &[("n_eff", 33.0)], 0.0),
        case(&[("d", 0.85), ("s", 0.33), ("p", 0.99), ("conf", 0.95)], &[("n_eff", 191.0)], 1.0),
    ],
    run: |a| {
        needed(a.one("d"), a.one("s"), a.one("p"), a.one("conf"))
            .map(|n| vec![n])
            .ok_or_else(|| "no number of readings would show it".to_string())
    },
};

/// Most readings that are looked for.
const MOST: f64 = 1e7;

/// Least effective number of readings, at least 2; none when the mean lies too near the limit.
pub fn needed(d: f64, s: f64, p: f64, conf: f64) -> Option<f64> {
    if d.is_nan() || s.is_nan() || d < 0.0 {
        return None;
    }
    let most = if s > 0.0 { d / s } else { f64::INFINITY };
    let shown = |n: f64| tolerance_k(n, p, conf) <= most;
    if most <= normal_quantile(p) || !shown(MOST) {
        return None;
    }
    let (mut low, mut high) = (1.0, 2.0);
    while !shown(high) {
        low = high;
        high = (high * 2.0).min(MOST);
    }
    while high - low > 1.0 {
        let mid = (0.5 * (low + high)).floor();
        if shown(mid) {
            high = mid;
        } else {
            low = mid;
        }
    }
    Some(high)
}
