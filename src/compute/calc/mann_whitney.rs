//! Takes two groups of readings; gives the test of which lies higher, without assuming a shape.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::{normal_cdf, sorted, ties};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "mann_whitney",
    title: "Which of two groups lies higher",
    formula: &[
        "U1 = pairs with a > b plus half of those with a = b; p = 2 P(U >= max(U1, U2)), from all arrangements where there are no ties and at most 40000 pairs, else from the normal distribution with continuity correction",
    ],
    closed: false,
    symbols: &[
        many("a", "readings of the first group", "=", -1e15, 1e15),
        many("b", "readings of the second group", "=", -1e15, 1e15),
    ],
    outputs: &[
        gives("U1", "pairs in which the first group is higher", "1"),
        gives("share", "chance that a reading of the first group is the higher", "1"),
        gives("p", "two-sided chance", "1"),
    ],
    holds_when: "readings are independent, within groups and between them",
    strength: Strength::Screens,
    weak_because: "says which is higher, not by how much",
    sources: &["MannWhitney1947"],
    checks: &[
        Check {
            // All of the three below all of the four: 2 of 35 arrangements are as far out.
            inputs: &[("a", 1.0), ("a", 2.0), ("a", 3.0), ("b", 4.0), ("b", 5.0), ("b", 6.0), ("b", 7.0)],
            expected: &[("U1", 0.0), ("share", 0.0), ("p", 2.0 / 35.0)],
            relative: 1e-13,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Case mwu_ties of tests/reference/t03_trend_location.json.
            inputs: &[("a", 1.0), ("a", 2.0), ("a", 2.0), ("a", 3.0), ("a", 4.0), ("a", 4.0), ("a", 5.0), ("b", 2.0), ("b", 3.0), ("b", 4.0), ("b", 5.0), ("b", 5.0), ("b", 6.0), ("b", 7.0), ("b", 8.0)],
            expected: &[("U1", 11.5), ("p", 0.060997436309726656)],
            relative: 1e-9,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let t = test(&a.many("a"), &a.many("b"));
        let pairs = t.u1 + t.u2;
        Ok(vec![t.u1, t.u1 / pairs, t.exact.unwrap_or(t.corrected)])
    },
};

/// Pairs up to which all arrangements are counted.
const EXACT: usize = 40_000;

/// The test in its forms.
#[derive(Debug, Clone, Copy)]
pub struct Higher {
    pub u1: f64,
    pub u2: f64,
    /// Two-sided, normal, with continuity correction; 1 when all readings are equal.
    pub corrected: f64,
    /// The same without.
    pub plain: f64,
    /// From all arrangements; none with ties or too many pairs.
    pub exact: Option<f64>,
}

/// The test of two groups, neither empty.
pub fn test(a: &[f64], b: &[f64]) -> Higher {
    let other = sorted(b);
    let above = |v: &f64| {
        let lower = other.partition_point(|o| o < v);
        let not_higher = other.partition_point(|o| o <= v);
        0.5 * (lower + not_higher) as f64
    };
    let u1: f64 = a.iter().map(above).sum();
    let (n1, n2) = (a.len() as f64, b.len() as f64);
    let u2 = n1 * n2 - u1;
    let all: Vec<f64> = a.iter().chain(b).copied().collect();
    let tied = ties(&all);
    let n = n1 + n2;
    let level: f64 = tied.iter().map(|t| t * t * t - t).sum();
    let variance = n1 * n2 / 12.0 * ((n + 1.0) - level / (n * (n - 1.0)));
    let far = u1.max(u2) - 0.5 * n1 * n2;
    let chance = |over: f64| if variance > 0.0 { (2.0 * normal_cdf(-over / variance.sqrt())).min(1.0) } else { 1.0 };
    let few = a.len().saturating_mul(b.len()) <= EXACT;
    let exact = (tied.is_empty() && few).then(|| exact(a.len(), b.len(), u1.max(u2) as usize));
    Higher { u1, u2, corrected: chance(far - 0.5), plain: chance(far), exact }
}

/// Two-sided chance of `u` or more, `u` at least half of the pairs, over all arrangements of two groups.
fn exact(n1: usize, n2: usize, u: usize) -> f64 {
    // Rows by size of the first group; the last reading of the whole order belongs to either.
    let mut rows: Vec<Vec<f64>> = vec![vec![1.0]; n1 + 1];
    for j in 1..=n2 {
        let mut next: Vec<Vec<f64>> = vec![vec![1.0]];
        for i in 1..=n1 {
            let (p, q) = (i as f64 / (i + j) as f64, j as f64 / (i + j) as f64);
            let mut row = vec![0.0; i * j + 1];
            next[i - 1].iter().enumerate().for_each(|(k, v)| row[k + j] += p * v);
            rows[i].iter().enumerate().for_each(|(k, v)| row[k] += q * v);
            next.push(row);
        }
        rows = next;
    }
    // Smallest chances first.
    let tail: f64 = rows[n1][u..].iter().rev().sum();
    (2.0 * tail).min(1.0)
}
