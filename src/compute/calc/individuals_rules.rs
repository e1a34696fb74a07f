//! Takes points in the order in which they arose; gives the points at which the chart of individuals signals.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::{mean, moving_range};
use crate::model::workings::Strength;

/// 3 over d2, with d2 = 2 / sqrt(pi), the mean range of two standard normal values.
pub const E2: f64 = 2.658_680_776_358_274;
/// 1 + 3 d3/d2: upper limit of the moving range over its mean.
pub const D4: f64 = 3.266_531_919_288_601_3;
/// 1 over d2: standard deviation over mean moving range.
pub const SIGMA: f64 = 0.886_226_925_452_758;

pub const CALC: Calc = Calc {
    id: "individuals_rules",
    title: "Signals of an individuals chart",
    formula: &[
        "a point beyond mean -+ 2.6587 MR; the eighth and ninth point in a row on one side of the mean, a point on the mean breaks the row; the sixth point steadily rising or falling; a moving range beyond 3.2665 MR",
    ],
    closed: false,
    symbols: &[many("x", "points in order", "=", -1e15, 1e15)],
    outputs: &[
        gives("beyond", "points beyond the limits", "1"),
        gives("eight", "points at which eight in a row lie on one side", "1"),
        gives("nine", "points at which nine in a row lie on one side", "1"),
        gives("trend", "points at which six rise or fall steadily", "1"),
        gives("jumps", "moving ranges beyond their limit", "1"),
    ],
    holds_when: "points are in the order in which they arose, one from each lot or shift",
    strength: Strength::Decides,
    weak_because: "every further rule raises false alarms; limits of a short history move",
    sources: &["NIST-6.3.2.2", "ISO7870-2"],
    checks: &[
        Check {
            // The flow rates of the handbook: all within limits of 45.8 and 55.8.
            inputs: &[("x", 49.6), ("x", 47.6), ("x", 49.9), ("x", 51.3), ("x", 47.8), ("x", 51.2), ("x", 52.6), ("x", 52.4), ("x", 53.6), ("x", 52.1)],
            expected: &[("beyond", 0.0), ("eight", 0.0), ("trend", 0.0), ("jumps", 0.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "NIST-6.3.2.2",
            known: Known::Memory,
        },
        Check {
            // Eight points rise: at the sixth, seventh and eighth six have risen. None lies on one side for eight.
            inputs: &[("x", 1.0), ("x", 2.0), ("x", 3.0), ("x", 4.0), ("x", 5.0), ("x", 6.0), ("x", 7.0), ("x", 8.0)],
            expected: &[("eight", 0.0), ("nine", 0.0), ("trend", 3.0), ("jumps", 0.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let x = a.many("x");
        if x.len() < 2 {
            return Err("needs two points".into());
        }
        let s = Signals::of(&x);
        Ok([&s.beyond, &s.eight, &s.nine, &s.trend, &s.jumps].map(|v| v.len() as f64).to_vec())
    },
};

/// Places of the points at which a rule holds, counted from 0.
#[derive(Debug, Clone, Default)]
pub struct Signals {
    pub beyond: Vec<usize>,
    pub eight: Vec<usize>,
    pub nine: Vec<usize>,
    pub trend: Vec<usize>,
    /// The later point of the moving range.
    pub jumps: Vec<usize>,
}

impl Signals {
    /// Signals against the limits of the points themselves.
    pub fn of(x: &[f64]) -> Self {
        let (m, range) = (mean(x), moving_range(x));
        let (upper, lower) = (m + E2 * range, m - E2 * range);
        // Nearer to the mean than its rounding counts as on it.
        let near = x.iter().fold(0.0f64, |a, v| a.max(v.abs())) * 1e-14;
        let side = |v: &f64| match v - m {
            off if off.abs() <= near => 0,
            off if off > 0.0 => 1,
            _ => -1,
        };
        let sides: Vec<i32> = x.iter().map(side).collect();
        let mut out = Self::default();
        let (mut row, mut rising, mut falling) = (0, 1, 1);
        for (i, v) in x.iter().enumerate() {
            if *v > upper || *v < lower {
                out.beyond.push(i);
            }
            row = match sides[i] {
                0 => 0,
                s if i > 0 && sides[i - 1] == s => row + 1,
                _ => 1,
            };
            if row >= 8 {
                out.eight.push(i);
            }
            if row >= 9 {
                out.nine.push(i);
            }
            if i > 0 {
                rising = if *v > x[i - 1] { rising + 1 } else { 1 };
                falling = if *v < x[i - 1] { falling + 1 } else { 1 };
                if (v - x[i - 1]).abs() > D4 * range {
                    out.jumps.push(i);
                }
            }
            if rising >= 6 || falling >= 6 {
                out.trend.push(i);
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constants_follow_from_the_normal_distribution() {
        let d2 = 2.0 / std::f64::consts::PI.sqrt();
        assert!((E2 - 3.0 / d2).abs() < 1e-15 && (SIGMA - 1.0 / d2).abs() < 1e-15);
        assert!((D4 - 1.0 - 3.0 * (2.0 - d2 * d2).sqrt() / d2).abs() < 1e-14);
    }

    #[test]
    fn a_point_on_the_mean_breaks_a_row_and_a_constant_series_is_quiet() {
        let s = Signals::of(&[0.1; 20]);
        assert!(s.beyond.is_empty() && s.eight.is_empty() && s.jumps.is_empty());
        let mut x = vec![1.0; 9];
        x.extend([-1.0; 9]);
        assert_eq!((Signals::of(&x).nine, Signals::of(&x).eight), (vec![8, 17], vec![7, 8, 16, 17]));
        x.insert(4, 0.0);
        assert_eq!(Signals::of(&x).eight, vec![17, 18]);
    }
}
