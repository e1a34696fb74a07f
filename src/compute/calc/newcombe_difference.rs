//! Takes counts of two groups; gives the difference of their shares with Newcombe's interval.

use super::{Calc, Check, Known, gives, one, whole};
use crate::compute::calc::wilson_interval;
use crate::model::workings::Strength;

const fn case(i: &'static [(&'static str, f64)], e: &'static [(&'static str, f64)], within: f64) -> Check {
    Check { inputs: i, expected: e, relative: 0.0, absolute: within, source: "Newcombe1998", known: Known::Memory }
}

pub const CALC: Calc = Calc {
    id: "newcombe_difference",
    title: "Difference of two proportions",
    formula: &[
        "diff = k1/n1 - k2/n2; low = diff - sqrt((p1 - l1)^2 + (u2 - p2)^2); high = diff + sqrt((u1 - p1)^2 + (p2 - l2)^2), with Wilson bounds l, u of each share p",
    ],
    closed: false,
    symbols: &[
        whole("k1", "events, first group", 0.0, 1000000000.0),
        whole("n1", "trials, first group", 1.0, 1000000000.0),
        whole("k2", "events, second group", 0.0, 1000000000.0),
        whole("n2", "trials, second group", 1.0, 1000000000.0),
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("diff", "share of the first less that of the second", "1"),
        gives("low", "lower bound", "1"),
        gives("high", "upper bound", "1"),
    ],
    holds_when: "both groups are independent samples, counted alike",
    strength: Strength::Decides,
    weak_because: "an approximation; a difference of rare events needs thousands of trials",
    sources: &["Newcombe1998", "Wilson1927"],
    checks: &[
        // Table II of that paper, method 10: 56/70 and 48/80; 9/10 and 3/10; 10/10 and 0/10.
        case(
            &[("k1", 56.0), ("n1", 70.0), ("k2", 48.0), ("n2", 80.0), ("conf", 0.95)],
            &[("diff", 0.2), ("low", 0.0524), ("high", 0.3339)],
            6e-5,
        ),
        case(
            &[("k1", 9.0), ("n1", 10.0), ("k2", 3.0), ("n2", 10.0), ("conf", 0.95)],
            &[("low", 0.1705), ("high", 0.8090)],
            6e-5,
        ),
        case(
            &[("k1", 10.0), ("n1", 10.0), ("k2", 0.0), ("n2", 10.0), ("conf", 0.95)],
            &[("low", 0.6075), ("high", 1.0)],
            6e-5,
        ),
    ],
    run: |a| {
        if a.one("k1") > a.one("n1") || a.one("k2") > a.one("n2") {
            return Err("more events than trials".into());
        }
        let (d, l, h) = difference(a.one("k1"), a.one("n1"), a.one("k2"), a.one("n2"), a.one("conf"));
        Ok(vec![d, l, h])
    },
};

/// (difference, lower, upper bound) of k1/n1 - k2/n2.
pub fn difference(k1: f64, n1: f64, k2: f64, n2: f64, conf: f64) -> (f64, f64, f64) {
    let (p1, p2) = (k1 / n1, k2 / n2);
    let ((l1, u1), (l2, u2)) = (wilson_interval::interval(k1, n1, conf), wilson_interval::interval(k2, n2, conf));
    let d = p1 - p2;
    let low = d - ((p1 - l1) * (p1 - l1) + (u2 - p2) * (u2 - p2)).sqrt();
    let high = d + ((u1 - p1) * (u1 - p1) + (p2 - l2) * (p2 - l2)).sqrt();
    (d, low, high)
}
