//! Takes a table of two by two counts; gives the exact chances of tables as far out.

use super::{Calc, Check, Known, gives, whole};
use crate::model::workings::Strength;

const MOST: f64 = 1e7;

pub const CALC: Calc = Calc {
    id: "fisher_exact",
    title: "Exact test of two by two counts",
    formula: &[
        "less = P(X <= a), greater = P(X >= a), two = sum of P(x) over tables with P(x) <= P(a); X hypergeometric with the margins of the table",
    ],
    closed: false,
    symbols: &[
        whole("a", "first group, with event", 0.0, MOST),
        whole("b", "first group, without", 0.0, MOST),
        whole("c", "second group, with event", 0.0, MOST),
        whole("d", "second group, without", 0.0, MOST),
    ],
    outputs: &[
        gives("two", "two-sided chance", "1"),
        gives("less", "chance of as few events in the first group", "1"),
        gives("greater", "chance of as many events in the first group", "1"),
    ],
    holds_when: "groups are independent and every item is counted once",
    strength: Strength::Decides,
    weak_because: "no small chance is no proof of equality; look at the interval of the difference",
    sources: &["Fisher1935"],
    checks: &[
        Check {
            // Four cups of eight, three named right: (16 + 1) / 70.
            inputs: &[("a", 3.0), ("b", 1.0), ("c", 1.0), ("d", 3.0)],
            expected: &[("greater", 17.0 / 70.0), ("two", 34.0 / 70.0), ("less", 69.0 / 70.0)],
            relative: 1e-12,
            absolute: 0.0,
            source: "Fisher1935",
            known: Known::Memory,
        },
        Check {
            // Case fisher_2_200_9_180 of tests/reference/t02_proportions.json.
            inputs: &[("a", 2.0), ("b", 198.0), ("c", 9.0), ("d", 171.0)],
            expected: &[("two", 0.02894802901521593), ("less", 0.020372035121993162)],
            relative: 1e-11,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let p = test(a.one("a"), a.one("b"), a.one("c"), a.one("d"));
        Ok(vec![p.two, p.less, p.greater])
    },
};

/// Chances of tables with the same margins.
#[derive(Debug, Clone, Copy)]
pub struct Chances {
    pub two: f64,
    pub less: f64,
    pub greater: f64,
}

/// Chances for the table [[a, b], [c, d]] of whole numbers; 1 where a margin is empty.
pub fn test(a: f64, b: f64, c: f64, d: f64) -> Chances {
    let (first, events, second) = (a + b, a + c, c + d);
    let low = (events - second).max(0.0);
    let high = events.min(first);
    // Weights relative to the most likely table, outwards from it until they vanish.
    let mode = (((first + 1.0) * (events + 1.0)) / (first + second + 2.0)).floor().clamp(low, high);
    let up = |x: f64| (first - x) * (events - x) / ((x + 1.0) * (second - events + x + 1.0));
    let mut weights: Vec<(f64, f64)> = Vec::new();
    let mut w = 1.0;
    let mut x = mode;
    while x > low && w > 0.0 {
        w /= up(x - 1.0);
        x -= 1.0;
        weights.push((x, w));
    }
    weights.reverse();
    weights.push((mode, 1.0));
    (w, x) = (1.0, mode);
    while x < high && w > 0.0 {
        w *= up(x);
        x += 1.0;
        weights.push((x, w));
    }
    let seen = weights.iter().find(|t| t.0 == a).map_or(0.0, |t| t.1);
    let as_likely = |x: f64, w: f64| match w - seen * (1.0 + NEAR) {
        over if over > 0.0 => false,
        _ if w < seen * (1.0 - NEAR) => true,
        // Too near for doubles: equal only when all factorials cancel.
        _ => x == a || w < seen || equally_likely([a, b, c, d], x),
    };
    let (mut two, mut less, mut greater, mut all) = (0.0, 0.0, 0.0, 0.0);
    // Small weights first: both ends towards the middle.
    let (left, right): (Vec<_>, Vec<_>) = weights.into_iter().partition(|t| t.0 < mode);
    for (x, w) in left.into_iter().chain(right.into_iter().rev()) {
        all += w;
        if x <= a {
            less += w;
        }
        if x >= a {
            greater += w;
        }
        if as_likely(x, w) {
            two += w;
        }
    }
    let share = |s: f64| (s / all).min(1.0);
    Chances { two: share(two), less: share(less), greater: share(greater) }
}

/// Weights nearer to each other than this are compared exactly.
const NEAR: f64 = 1e-9;

/// Whether the table with `x` in its first place is exactly as likely as the given one: both products of four
/// factorials hold every prime equally often (Legendre).
fn equally_likely(table: [f64; 4], x: f64) -> bool {
    let shift = x - table[0];
    let whole = |t: [f64; 4]| t.map(|v| v as u64);
    let seen = whole(table);
    let other = whole([table[0] + shift, table[1] - shift, table[2] - shift, table[3] + shift]);
    let most = seen.iter().chain(&other).copied().max().unwrap_or(0) as usize;
    let mut composite = vec![false; most + 1];
    for p in 2..=most {
        if composite[p] {
            continue;
        }
        for multiple in (p * p..=most).step_by(p) {
            composite[multiple] = true;
        }
        let often = |t: &[u64; 4]| t.iter().map(|n| held(*n, p as u64)).sum::<u64>();
        if often(&seen) != often(&other) {
            return false;
        }
    }
    true
}

/// How often the prime `p` divides n!.
fn held(mut n: u64, p: u64) -> u64 {
    let mut sum = 0;
    while n > 0 {
        n /= p;
        sum += n;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ties_are_exact_and_empty_margins_say_one() {
        assert!(equally_likely([3.0, 21.0, 0.0, 24.0], 0.0) && !equally_likely([3.0, 21.0, 0.0, 24.0], 1.0));
        for t in [[0.0, 0.0, 0.0, 0.0], [0.0, 24.0, 0.0, 24.0], [5.0, 0.0, 3.0, 0.0], [0.0, 0.0, 4.0, 4.0]] {
            let p = test(t[0], t[1], t[2], t[3]);
            assert_eq!((p.two, p.less, p.greater), (1.0, 1.0, 1.0), "{t:?}");
        }
    }
}
