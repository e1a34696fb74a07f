//! Takes the temperature of one thermocouple over time; gives peak, time above liquidus, soak and ramp.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::maths::{crossings, time_above, window_slopes};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "profile_facts",
    title: "Facts of a reflow profile",
    formula: &["peak: highest reading; TAL: time above T_liq, interpolated; soak: from first rise through 150 to first rise through 200 degC; ramp: most K/s over 10 s"],
    closed: false,
    symbols: &[
        many("t", "time", "s", 0.0, 10000.0),
        many("T", "temperature", "degC", -20.0, 350.0),
        one("T_liq", "liquidus of the alloy", "degC", 100.0, 300.0),
    ],
    outputs: &[gives("peak", "peak temperature", "degC"), gives("TAL", "time above liquidus", "s"), gives("soak", "time from 150 to 200 degC", "s"), gives("ramp", "steepest rise over 10 s", "K/s")],
    holds_when: "the thermocouple sits on the joint that matters",
    strength: Strength::Decides,
    weak_because: "a window of solder, not of residue: both are needed",
    sources: &["trade"],
    checks: &[
        Check {
            // Straight lines between corners.
            inputs: &[("t", 0.0), ("t", 100.0), ("t", 200.0), ("t", 260.0), ("t", 300.0), ("t", 340.0), ("T", 50.0), ("T", 150.0), ("T", 200.0), ("T", 217.0), ("T", 237.0), ("T", 217.0), ("T_liq", 217.0)],
            expected: &[("peak", 237.0), ("TAL", 80.0), ("soak", 100.0), ("ramp", 1.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let f = facts(&a.many("t"), &a.many("T"), a.one("T_liq")).ok_or("t and T need the same number of values, two at least")?;
        Ok(vec![f.peak, f.tal, f.soak, f.ramp])
    },
};

/// Facts of one thermocouple: degC, s, s, K/s. NaN where the profile never gets there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facts {
    pub peak: f64,
    pub tal: f64,
    pub soak: f64,
    pub ramp: f64,
}

/// Facts of a series in order of time; lengths must agree. None below two readings.
pub fn facts(t: &[f64], temp: &[f64], liquidus: f64) -> Option<Facts> {
    if t.len() < 2 || t.len() != temp.len() {
        return None;
    }
    let peak = temp.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let rise = |level| crossings(t, temp, level).0.first().copied().unwrap_or(f64::NAN);
    let soak = rise(200.0) - rise(150.0);
    Some(Facts { peak, tal: time_above(t, temp, liquidus), soak, ramp: steepest(t, temp, 10.0) })
}

/// Steepest rise between a reading and the line `span` seconds later; the whole record when it is shorter.
fn steepest(t: &[f64], temp: &[f64], span: f64) -> f64 {
    let best = window_slopes(t, temp, span).into_iter().fold(f64::NEG_INFINITY, f64::max);
    if best.is_finite() {
        return best;
    }
    let last = t.len() - 1;
    (temp[last] - temp[0]) / (t[last] - t[0])
}
