//! Takes two aligned lists; gives the median slope with its interval.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::maths::{kendall_variance, median, normal_quantile, ties};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "theil_sen",
    title: "Median slope with interval",
    formula: &[
        "slope = median of (y_j - y_i) / (x_j - x_i) over pairs with x_j > x_i; intercept = median(y) - slope * median(x); low and high by linear interpolation at ranks (N - C) / 2 and (N + C) / 2 + 1 of the N slopes, C = z((1 + conf) / 2) * sqrt(var S)",
    ],
    closed: false,
    symbols: &[
        many("x", "time or dose, one for each y", "=", -1e15, 1e15),
        many("y", "readings, one for each x", "=", -1e15, 1e15),
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("slope", "median slope", "="),
        gives("intercept", "intercept", "="),
        gives("low", "lower bound of the slope", "="),
        gives("high", "upper bound of the slope", "="),
    ],
    holds_when: "deviations from the line are independent and alike; no shape is assumed",
    strength: Strength::Screens,
    weak_because: "readings that follow each other closely are not independent, and the interval is then too narrow",
    sources: &["Sen1968", "Gilbert1987"],
    checks: &[
        Check {
            // Points on a line with one far off: 18 of 21 slopes are 1 or more.
            inputs: &[("x", 1.0), ("x", 2.0), ("x", 3.0), ("x", 4.0), ("x", 5.0), ("x", 6.0), ("x", 7.0), ("y", 1.0), ("y", 2.0), ("y", 3.0), ("y", 4.0), ("y", 5.0), ("y", 16.0), ("y", 7.0), ("conf", 0.95)],
            expected: &[("slope", 1.0), ("intercept", 0.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // The example of that paper; case sen_sen_textbook_0.95 of tests/reference/t03_trend_location.json.
            inputs: &[("x", 1.0), ("x", 2.0), ("x", 3.0), ("x", 4.0), ("x", 10.0), ("x", 12.0), ("x", 18.0), ("y", 9.0), ("y", 15.0), ("y", 19.0), ("y", 20.0), ("y", 45.0), ("y", 55.0), ("y", 78.0), ("conf", 0.95)],
            expected: &[("slope", 4.0), ("low", 3.71309325453643), ("high", 4.390651034209361)],
            relative: 1e-9,
            absolute: 0.0,
            source: "Sen1968",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let l = line(&a.many("x"), &a.many("y"), a.one("conf"))?;
        let (low, high) = l.interpolated.ok_or("too many ties for an interval")?;
        Ok(vec![l.slope, l.intercept, low, high])
    },
};

/// Most points: their pairs are held in memory.
pub const MOST: usize = 12_000;

/// Median slope with its intervals.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    pub slope: f64,
    pub intercept: f64,
    /// Pairs with different x.
    pub slopes: usize,
    /// Bounds interpolated between order statistics; none when ties leave no variance to speak of (below 0).
    pub interpolated: Option<(f64, f64)>,
    /// Bounds at rounded ranks, halves to even.
    pub rounded: Option<(f64, f64)>,
}

/// The line through (x, y).
///
/// # Errors
/// Lists of unequal length, fewer than two different x, too many points.
pub fn line(x: &[f64], y: &[f64], conf: f64) -> Result<Line, String> {
    if x.len() != y.len() {
        return Err(format!("{} values of x and {} of y: each needs the other", x.len(), y.len()));
    }
    if x.len() > MOST {
        return Err(format!("{} points are more than {MOST}: take medians of stretches first", x.len()));
    }
    let mut order: Vec<usize> = (0..x.len()).collect();
    order.sort_by(|i, j| x[*i].total_cmp(&x[*j]));
    let mut slopes = Vec::new();
    for (at, i) in order.iter().enumerate() {
        for j in &order[at + 1..] {
            if x[*j] > x[*i] {
                slopes.push((y[*j] - y[*i]) / (x[*j] - x[*i]));
            }
        }
    }
    if slopes.is_empty() {
        return Err("needs two points at different x".into());
    }
    if slopes.iter().any(|s| !s.is_finite()) {
        return Err("two points lie too near in x for a finite slope".into());
    }
    let count = slopes.len();
    let mut tied = ties(x);
    tied.extend(ties(y));
    let variance = kendall_variance(x.len() as f64, &tied);
    let n = count as f64;
    let c = normal_quantile(0.5 + 0.5 * conf) * variance.sqrt();
    let ends = |rank: f64| {
        let rank = rank.clamp(1.0, n) - 1.0;
        let i = rank.floor() as usize;
        (i, (i + 1).min(count - 1), rank - rank.floor())
    };
    let (first, second) = (ends(0.5 * (n - c)), ends(0.5 * (n + c) + 1.0));
    let upper = ((0.5 * (n + c)).round_ties_even() as usize).min(count - 1);
    let lower = ((0.5 * (n - c)).round_ties_even().max(1.0) as usize - 1).min(count - 1);
    let middle = ((count - 1) / 2, count / 2);
    let wanted = [middle.0, middle.1, first.0, first.1, second.0, second.1, lower, upper];
    let found = at_ranks(&mut slopes, wanted);
    let between = |i: usize, part: f64| if part > 0.0 { found[i] + part * (found[i + 1] - found[i]) } else { found[i] };
    let slope = 0.5 * (found[0] + found[1]);
    Ok(Line {
        slope,
        intercept: median(y) - slope * median(x),
        slopes: count,
        interpolated: (variance >= 0.0).then(|| (between(2, first.2), between(4, second.2))),
        rounded: (variance >= 0.0).then_some((found[6], found[7])),
    })
}

/// The values at eight ranks, counted from 0, without putting all in order.
fn at_ranks(values: &mut [f64], ranks: [usize; 8]) -> [f64; 8] {
    let mut order = [0, 1, 2, 3, 4, 5, 6, 7];
    order.sort_by_key(|i| ranks[*i]);
    let mut out = [0.0; 8];
    let mut done = 0;
    for i in order {
        // What lies before `done` is no greater than what follows.
        let (_, value, _) = values[done..].select_nth_unstable_by(ranks[i] - done, f64::total_cmp);
        out[i] = *value;
        done = ranks[i];
    }
    out
}
