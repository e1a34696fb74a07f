//! Takes a series in order; gives the test for a trend, exact for short series without ties.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::{kendall_variance, normal_cdf, rising_less_falling, ties};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "mann_kendall",
    title: "Test for a trend",
    formula: &[
        "S = rising less falling pairs; z = (S - sign(S)) / sqrt(var S) with ties taken out of the variance; p from the normal distribution, or from all orders of n <= 10 values without ties",
    ],
    closed: false,
    symbols: &[many("y", "readings in the order of time", "=", -1e15, 1e15)],
    outputs: &[
        gives("S", "rising less falling pairs", "1"),
        gives("z", "standard score with continuity correction", "1"),
        gives("p_one", "chance of so strong a trend in this direction", "1"),
        gives("p_two", "chance of so strong a trend in either direction", "1"),
        gives("exact", "1 when the chances are exact, 0 when normal", "1"),
    ],
    holds_when: "readings are independent but for a trend",
    strength: Strength::Screens,
    weak_because: "drift of temperature or instrument is a trend too; closely spaced readings are not independent",
    sources: &["Gilbert1987"],
    checks: &[Check {
        // One inversion in 7: (1 + 6) of 5040 orders are as steady.
        inputs: &[("y", 1.0), ("y", 2.0), ("y", 3.0), ("y", 4.0), ("y", 5.0), ("y", 16.0), ("y", 7.0)],
        expected: &[("S", 19.0), ("p_one", 7.0 / 5040.0), ("exact", 1.0)],
        relative: 1e-14,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| {
        let y = a.many("y");
        let t = test(&y).ok_or("needs two readings")?;
        let exact = exact(&y);
        let two = exact.map_or(t.p_two, |p| (2.0 * p).min(1.0));
        let one = exact.unwrap_or_else(|| normal_cdf(-t.z.abs()));
        Ok(vec![t.s as f64, t.z, one, two, f64::from(u8::from(exact.is_some()))])
    },
};

/// The test by the normal distribution.
#[derive(Debug, Clone, Copy)]
pub struct Trend {
    pub s: i64,
    pub variance: f64,
    /// 0 for a constant series.
    pub z: f64,
    pub p_two: f64,
    /// S over the number of pairs.
    pub tau_a: f64,
    /// S over the pairs without ties; NaN for a constant series.
    pub tau_b: f64,
}

/// Mann-Kendall of a series; none below two values.
pub fn test(y: &[f64]) -> Option<Trend> {
    if y.len() < 2 {
        return None;
    }
    let n = y.len() as f64;
    let tied = ties(y);
    let (s, variance) = (rising_less_falling(y), kendall_variance(n, &tied));
    let size = s as f64;
    let z = match s {
        0 => 0.0,
        _ if variance > 0.0 => (size - size.signum()) / variance.sqrt(),
        _ => 0.0,
    };
    let pairs = 0.5 * n * (n - 1.0);
    let level = tied.iter().map(|t| 0.5 * t * (t - 1.0)).sum::<f64>();
    Some(Trend {
        s,
        variance,
        z,
        p_two: (2.0 * normal_cdf(-z.abs())).min(1.0),
        tau_a: size / pairs,
        tau_b: size / ((pairs - level) * pairs).sqrt(),
    })
}

/// Chance that a random order of the values has an S as far from 0 in the same direction; none beyond ten values or
/// with ties.
pub fn exact(y: &[f64]) -> Option<f64> {
    if !(2..=10).contains(&y.len()) || !ties(y).is_empty() {
        return None;
    }
    // Orders by number of inversions, one value more at a time.
    let mut orders = vec![1.0];
    for n in 2..=y.len() {
        let mut next = vec![0.0; orders.len() + n - 1];
        for (i, c) in orders.iter().enumerate() {
            (0..n).for_each(|j| next[i + j] += c);
        }
        orders = next;
    }
    let pairs = (y.len() * (y.len() - 1) / 2) as i64;
    let inversions = ((pairs - rising_less_falling(y).abs()) / 2) as usize;
    let as_steady: f64 = orders[..=inversions].iter().sum();
    Some(as_steady / orders.iter().sum::<f64>())
}
