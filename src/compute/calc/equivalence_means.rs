//! Takes two groups of readings and a limit; gives whether their means are shown to lie within it, both ways.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::calc::welch;
use crate::compute::maths::{t_cdf, t_quantile};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "equivalence_means",
    title: "Equivalence of two means",
    formula: &[
        "diff = mean(a) - mean(b); low, high = diff -+ t(conf, nu) * se with se and nu of Welch; shown when -delta < low and high < delta; p = the larger of both one-sided chances",
    ],
    closed: false,
    symbols: &[
        many("a", "readings of the first group", "=", -1e12, 1e12),
        many("b", "readings of the second group", "=", -1e12, 1e12),
        one("delta", "largest difference of means that does not matter", "=", 1e-12, 1e12),
        one("conf", "one-sided confidence of each test", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("diff", "mean of the first less that of the second", "="),
        gives("low", "lower bound", "="),
        gives("high", "upper bound", "="),
        gives("p", "chance of such readings were the difference at its limit", "1"),
        gives("shown", "1 when equivalence is shown", "1"),
    ],
    holds_when: "readings are independent and near normal, the limit was set before the test",
    strength: Strength::Decides,
    weak_because: "no difference found is no equivalence; few readings show none",
    sources: &["Schuirmann1987", "Welch1947"],
    checks: &[Check {
        // scipy 1.17 ttest_ind(a - delta, b, equal_var=False, alternative="less") and with + delta "greater": the
        // larger p, on case welch_nodiff of tests/reference/t03_trend_location.json.
        inputs: &[("a", 5.1), ("a", 4.8), ("a", 5.6), ("a", 5.0), ("a", 5.3), ("a", 4.9), ("b", 5.2), ("b", 4.7), ("b", 5.5), ("b", 5.05), ("b", 5.25), ("delta", 0.4), ("conf", 0.95)],
        expected: &[("diff", -0.02333333333333254), ("p", 0.032286789724943275), ("shown", 1.0)],
        relative: 1e-9,
        absolute: 0.0,
        source: "house",
        known: Known::Reference,
    }],
    run: |a| {
        let w = welch::difference(&a.many("a"), &a.many("b"), a.one("conf"))?;
        let Shown { low, high, p, shown } = shown(w.diff, w.error, w.nu, a.one("delta"), a.one("conf"));
        Ok(vec![w.diff, low, high, p, f64::from(u8::from(shown))])
    },
};

/// Two one-sided tests.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    pub low: f64,
    pub high: f64,
    pub p: f64,
    pub shown: bool,
}

/// Two one-sided tests of a difference with a standard error above 0 against +-`delta`.
pub fn shown(diff: f64, error: f64, nu: f64, delta: f64, conf: f64) -> Shown {
    let half = t_quantile(conf, nu) * error;
    let over = t_cdf((diff - delta) / error, nu);
    let under = t_cdf((-delta - diff) / error, nu);
    let (low, high) = (diff - half, diff + half);
    Shown { low, high, p: over.max(under), shown: -delta < low && high < delta }
}
