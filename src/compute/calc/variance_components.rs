//! Takes mean squares between and within boards; gives the share of variance that boards have in common.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::mean;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "variance_components",
    title: "Intraclass correlation of readings on one board",
    formula: &["r = max(0, (MSB - MSW) / (MSB + (m0 - 1) * MSW))"],
    closed: true,
    symbols: &[
        one("MSB", "mean square between boards", "=2", 1e-60, 1e60),
        one("MSW", "mean square within boards", "=2", 0.0, 1e60),
        one("m0", "readings on a board, balanced mean", "1", 1.0, 1e6),
    ],
    outputs: &[gives("r", "intraclass correlation, not below 0", "1")],
    holds_when: "boards were drawn at random and every board has the same spread",
    strength: Strength::Decides,
    weak_because: "with few boards the correlation itself is uncertain",
    sources: &["Searle1992"],
    checks: &[Check {
        // Variances 0.21^2 between and 0.26^2 within, three combs a board: MSB = 3 * 0.0441 + 0.0676.
        inputs: &[("MSB", 0.1999), ("MSW", 0.0676), ("m0", 3.0)],
        expected: &[("r", 0.39481)],
        relative: 0.0,
        absolute: 5e-6,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![r(a.one("MSB"), a.one("MSW"), a.one("m0"))]),
};

/// Intraclass correlation from a one-way layout, 0 to 1.
pub fn r(msb: f64, msw: f64, m0: f64) -> f64 {
    ((msb - msw) / (msb + (m0 - 1.0) * msw)).max(0.0)
}

/// (MSB, MSW, m0) of readings grouped by board. None when there are fewer than two boards, no board with two
/// readings, or no spread at all.
pub fn mean_squares(groups: &[Vec<f64>]) -> Option<(f64, f64, f64)> {
    let boards = groups.len();
    let n: usize = groups.iter().map(Vec::len).sum();
    if boards < 2 || n <= boards {
        return None;
    }
    let all: Vec<f64> = groups.iter().flatten().copied().collect();
    let grand = mean(&all);
    let (mut between, mut within, mut squares) = (0.0, 0.0, 0.0);
    for g in groups {
        let m = mean(g);
        between += g.len() as f64 * (m - grand) * (m - grand);
        within += g.iter().map(|x| (x - m) * (x - m)).sum::<f64>();
        squares += (g.len() * g.len()) as f64;
    }
    let n = n as f64;
    let msb = between / (boards - 1) as f64;
    let msw = within / (n - boards as f64);
    let m0 = (n - squares / n) / (boards - 1) as f64;
    (msb > 0.0).then_some((msb, msw, m0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boards_that_differ_as_a_whole_give_one() {
        let (b, w, m) = mean_squares(&[vec![1.0, 1.0], vec![2.0, 2.0], vec![4.0, 4.0]]).expect("a layout");
        assert_eq!(r(b, w, m), 1.0);
        assert!(mean_squares(&[vec![1.0], vec![2.0]]).is_none() && mean_squares(&[vec![1.0, 2.0]]).is_none());
    }
}
