//! Takes a series of log10 resistance; gives its minimum in the window after a three-point median.

use super::{Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "window_minimum",
    title: "Lowest reading of a window",
    formula: &["min over from <= t <= to of median(x[i-1], x[i], x[i+1]); first and last reading as they are"],
    closed: false,
    symbols: &[
        many("t", "time", "h", -100000.0, 100000.0),
        many("x", "decimal logarithm of resistance", "log10 ohm", -20.0, 20.0),
        one("from", "start of the window", "h", -100000.0, 100000.0),
        one("to", "end of the window", "h", -100000.0, 100000.0),
    ],
    outputs: &[gives("minimum", "lowest value in the window", "log10 ohm"), gives("at", "time of it", "h")],
    holds_when: "readings are in order of time",
    strength: Strength::Decides,
    weak_because: "the median removes single noisy readings; drops are counted on the raw readings",
    sources: &["IPC-TM-650-2.6.3.7"],
    checks: &[
        Check {
            // Medians 9.3, 9.3 and 9.3: the single low reading at 72 h is noise here and a drop event elsewhere.
            inputs: &[("t", 0.0), ("t", 24.0), ("t", 48.0), ("t", 72.0), ("t", 96.0), ("x", 8.0), ("x", 9.5), ("x", 9.3), ("x", 5.0), ("x", 9.4), ("from", 24.0), ("to", 90.0)],
            expected: &[("minimum", 9.3), ("at", 48.0)],
            relative: 0.0,
            absolute: 1e-12,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (t, x) = (a.many("t"), a.many("x"));
        if t.len() != x.len() {
            return Err("t and x need the same number of values".into());
        }
        let (m, i) = minimum(&t, &x, a.one("from"), a.one("to")).ok_or("no reading lies in the window")?;
        Ok(vec![m, t[i]])
    },
};

/// Three-point median of a series; the ends keep their own value.
pub fn smooth(x: &[f64]) -> Vec<f64> {
    let last = x.len().saturating_sub(1);
    let one = |i: usize| {
        if i == 0 || i >= last {
            return x[i];
        }
        let (a, b) = (x[i - 1].min(x[i + 1]), x[i - 1].max(x[i + 1]));
        x[i].clamp(a, b)
    };
    (0..x.len()).map(one).collect()
}

/// (minimum, index of it) of the smoothed series in the window; none when no reading lies in it.
/// Of equal minima the last is taken when it stems from a reading itself.
pub fn minimum(t: &[f64], x: &[f64], from: f64, to: f64) -> Option<(f64, usize)> {
    let smoothed = smooth(x);
    let inside = (0..x.len()).filter(|&i| t[i] >= from && t[i] <= to);
    let lowest = inside.clone().map(|i| smoothed[i]).min_by(f64::total_cmp)?;
    let at = inside.clone().find(|&i| smoothed[i] == lowest && x[i] == lowest);
    at.or_else(|| inside.clone().find(|&i| smoothed[i] == lowest)).map(|i| (lowest, i))
}
