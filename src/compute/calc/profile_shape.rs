//! Takes the temperature of one thermocouple over time; gives the times, slopes and crossings that describe its shape.

use super::{Args, Calc, Check, Known, gives, many, one};
use crate::compute::maths::{crossings, time_above, window_fits, window_slopes};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "profile_shape",
    title: "Shape of a reflow profile",
    formula: &[
        "t_peak: first highest reading; near: time above peak - 5 K, interpolated; cross: crossings of T_liq; fall: most negative slope between readings w apart; to_peak: from the first rise through 25 degC, or the first reading when it is warmer; cool: 67 K over the time between the last falls through 217 and 150 degC",
    ],
    closed: false,
    symbols: &[
        many("t", "time", "s", 0.0, 10000.0),
        many("T", "temperature", "degC", -20.0, 350.0),
        one("T_liq", "liquidus of the alloy", "degC", 100.0, 300.0),
        one("w", "window of the slopes", "s", 0.1, 100.0),
    ],
    outputs: &[
        gives("t_peak", "time of the peak", "s"),
        gives("near", "time within 5 K of the peak", "s"),
        gives("cross", "crossings of the liquidus", "1"),
        gives("fall", "steepest fall", "K/s"),
        gives("to_peak", "time from 25 degC to the peak", "s"),
        gives("cool", "mean cooling from 217 to 150 degC", "K/s"),
    ],
    holds_when: "the record goes on until the joint is below 150 degC again",
    strength: Strength::Screens,
    weak_because: "more than two crossings of the liquidus mean a joint that melted twice or a loose thermocouple",
    sources: &["trade"],
    checks: &[Check {
        // A roof of two lines of 2 and -2 K/s.
        inputs: &[
            ("t", 0.0),
            ("t", 115.0),
            ("t", 230.0),
            ("T", 20.0),
            ("T", 250.0),
            ("T", 20.0),
            ("T_liq", 217.0),
            ("w", 10.0),
        ],
        expected: &[("t_peak", 115.0), ("near", 5.0), ("cross", 2.0), ("fall", -2.0), ("to_peak", 112.5), ("cool", 2.0)],
        relative: 1e-12,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a: &Args| {
        let s = shape(&a.many("t"), &a.many("T"), a.one("T_liq"), a.one("w"))?;
        let missing = "the profile is shorter than the window or does not come back below 150 degC";
        let fall = s.fall.ok_or(missing)?;
        let to_peak = s.to_peak.ok_or("the profile never rises through 25 degC")?;
        Ok(vec![s.at, s.near, s.crossings as f64, fall, to_peak, s.cool.ok_or(missing)?])
    },
};

/// Shape of one thermocouple: degC, s and K/s; none where the record does not get there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    pub peak: f64,
    pub at: f64,
    pub above: f64,
    pub near: f64,
    pub crossings: usize,
    /// Steepest rise over the window, and the time at which that window begins.
    pub rise: Option<(f64, f64)>,
    pub fall: Option<f64>,
    pub rise_2s: Option<f64>,
    pub rise_fit: Option<f64>,
    pub fall_fit: Option<f64>,
    pub to_peak: Option<f64>,
    pub cool: Option<f64>,
}

/// Shape of a series in order of time.
///
/// # Errors
/// Fewer than two readings, or lists of different lengths.
pub fn shape(t: &[f64], temp: &[f64], liquidus: f64, window: f64) -> Result<Shape, String> {
    if t.len() < 2 || t.len() != temp.len() {
        return Err("t and T need the same number of values, two at least".into());
    }
    let top = (1..temp.len()).fold(0, |best, i| if temp[i] > temp[best] { i } else { best });
    let (peak, at) = (temp[top], t[top]);
    let (up, down) = crossings(t, temp, liquidus);
    let slopes = window_slopes(t, temp, window);
    let steepest = (0..slopes.len()).reduce(|best, i| if slopes[i] > slopes[best] { i } else { best });
    let fits = window_fits(t, temp, window);
    let most = |x: &[f64]| x.iter().copied().reduce(f64::max);
    let least = |x: &[f64]| x.iter().copied().reduce(f64::min);
    let warm = if temp[0] > 25.0 { Some(t[0]) } else { crossings(t, temp, 25.0).0.first().copied() };
    let last_fall = |level| crossings(t, temp, level).1.last().copied();
    Ok(Shape {
        peak,
        at,
        above: time_above(t, temp, liquidus),
        near: time_above(t, temp, peak - 5.0),
        crossings: up.len() + down.len(),
        rise: steepest.map(|i| (slopes[i], t[i])),
        fall: least(&slopes),
        rise_2s: most(&window_slopes(t, temp, 2.0)),
        rise_fit: most(&fits),
        fall_fit: least(&fits),
        to_peak: warm.map(|w| at - w),
        cool: last_fall(217.0).zip(last_fall(150.0)).map(|(hot, cold)| 67.0 / (cold - hot)).filter(|c| *c > 0.0),
    })
}
