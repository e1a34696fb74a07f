//! Takes paired differences and a limit; gives whether their mean is shown to lie within it, both ways.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::calc::equivalence_means::{Shown, shown};
use crate::compute::maths::{mean, sd};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "equivalence_paired",
    title: "Equivalence of pairs",
    formula: &[
        "mean = sum(d) / n; low, high = mean -+ t(conf, n - 1) * s / sqrt(n); shown when -delta < low and high < delta; p = the larger of both one-sided chances",
    ],
    closed: false,
    symbols: &[
        many("d", "differences, one for each board", "=", -1e12, 1e12),
        one("delta", "largest mean difference that does not matter", "=", 1e-12, 1e12),
        one("conf", "one-sided confidence of each test", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("mean", "mean difference", "="),
        gives("low", "lower bound", "="),
        gives("high", "upper bound", "="),
        gives("p", "chance of such readings were the difference at its limit", "1"),
        gives("shown", "1 when equivalence is shown", "1"),
    ],
    holds_when: "each difference is of one and the same board, the limit was set before the test",
    strength: Strength::Decides,
    weak_because: "a limit set after the readings shows nothing",
    sources: &["Schuirmann1987"],
    checks: &[
        Check {
            // Mean 0, s = 1, n = 5: half width 2.1318 / sqrt 5, the printed t of 4 degrees at 0.95.
            inputs: &[("d", -1.0), ("d", -1.0), ("d", 0.0), ("d", 1.0), ("d", 1.0), ("delta", 1.0), ("conf", 0.95)],
            expected: &[("mean", 0.0), ("low", -0.9534), ("high", 0.9534), ("shown", 1.0)],
            relative: 0.0,
            absolute: 5e-5,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // scipy 1.17 ttest_1samp(d, -0.5, alternative="greater") and (d, 0.5, alternative="less"): the larger p.
            inputs: &[("d", 0.12), ("d", -0.31), ("d", 0.25), ("d", 0.4), ("d", -0.05), ("d", 0.18), ("d", 0.33), ("d", 0.02), ("delta", 0.5), ("conf", 0.95)],
            expected: &[("p", 0.001070622135982561), ("shown", 1.0)],
            relative: 1e-9,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let d = a.many("d");
        let (m, s, n) = (mean(&d), sd(&d), d.len() as f64);
        if s.is_nan() || s <= 0.0 {
            return Err("needs two differences that differ".into());
        }
        let Shown { low, high, p, shown } = shown(m, s / n.sqrt(), n - 1.0, a.one("delta"), a.one("conf"));
        Ok(vec![m, low, high, p, f64::from(u8::from(shown))])
    },
};
