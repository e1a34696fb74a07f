//! Takes a number of readings that all meet a limit; gives the share of the population that surely does.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], e: &'static [(&'static str, f64)], within: f64) -> Check {
    Check { inputs: i, expected: e, relative: 0.0, absolute: within, source: "house", known: Known::Hand }
}

pub const CALC: Calc = Calc {
    id: "order_statistic",
    title: "Share guaranteed by the smallest reading",
    formula: &["share = (1 - conf)^(1 / n)"],
    closed: true,
    symbols: &[
        one("n", "independent readings, all of which meet the limit", "1", 1.0, 1e7),
        one("conf", "confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[gives("share", "share of the population at or above the smallest reading", "1")],
    holds_when: "readings are independent; no distribution is assumed",
    strength: Strength::Screens,
    weak_because: "says nothing of how far the rest lies below",
    sources: &["ISO16269-6"],
    checks: &[
        case(&[("n", 24.0), ("conf", 0.95)], &[("share", 0.883)], 5e-4),
        case(&[("n", 59.0), ("conf", 0.95)], &[("share", 0.95)], 5e-4),
        case(&[("n", 299.0), ("conf", 0.95)], &[("share", 0.99)], 5e-5),
    ],
    run: |a| Ok(vec![share(a.one("n"), a.one("conf"))]),
};

/// Guaranteed share, 0 to 1.
pub fn share(n: f64, conf: f64) -> f64 {
    libm::pow(1.0 - conf, 1.0 / n)
}
