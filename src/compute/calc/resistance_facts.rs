//! Takes a log of resistance over time; gives lowest, highest and middle readings, and the drops below a decade.

use super::{Args, Calc, Check, Known, gives, many, one};
use crate::compute::maths::{geometric_mean, median};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "resistance_facts",
    title: "Facts of a resistance log",
    formula: &[
        "over readings at t >= start: lowest, its time, highest, median, geometric mean; below: readings under LIM; drops: runs of readings under a tenth of the median",
    ],
    closed: false,
    symbols: &[
        many("t", "time", "h", -100000.0, 100000.0),
        many("R", "resistance; a reading at the ceiling counts as the ceiling", "ohm", 1e-3, 1e20),
        one("start", "first hour that counts", "h", -100000.0, 100000.0),
        one("LIM", "resistance that readings are counted below", "ohm", 1e-3, 1e20),
    ],
    outputs: &[
        gives("lowest", "lowest resistance", "ohm"),
        gives("at", "time of the lowest", "h"),
        gives("highest", "highest resistance", "ohm"),
        gives("middle", "median", "ohm"),
        gives("GM", "geometric mean", "ohm"),
        gives("below", "readings below the limit", "1"),
        gives("drops", "runs of readings below a tenth of the median", "1"),
    ],
    holds_when: "readings are raw and their times rise",
    strength: Strength::Screens,
    weak_because: "readings at the ceiling are lower bounds; a drop shorter than the interval is seen by chance only",
    sources: &["IPC-TM-650-2.6.3.7"],
    checks: &[Check {
        inputs: &[
            ("t", 0.0),
            ("t", 1.0),
            ("t", 2.0),
            ("t", 3.0),
            ("t", 4.0),
            ("t", 5.0),
            ("R", 1e12),
            ("R", 1e9),
            ("R", 1e9),
            ("R", 1e7),
            ("R", 1e6),
            ("R", 1e10),
            ("start", 1.0),
            ("LIM", 1e8),
        ],
        expected: &[
            ("lowest", 1e6),
            ("at", 4.0),
            ("highest", 1e10),
            ("middle", 1e9),
            ("GM", 158489319.24611136),
            ("below", 2.0),
            ("drops", 1.0),
        ],
        relative: 1e-12,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a: &Args| {
        let f = facts(&a.many("t"), &a.many("R"), a.one("start"), a.one("LIM"))?;
        Ok(vec![f.lowest, f.at, f.highest, f.middle, f.geometric, f.below as f64, f.drops.len() as f64])
    },
};

/// Facts of a log: ohm and h.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    pub lowest: f64,
    pub at: f64,
    pub highest: f64,
    pub middle: f64,
    pub geometric: f64,
    pub below: usize,
    pub drops: Vec<Drop>,
}

/// Neighbouring readings below a tenth of the median.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    pub start: f64,
    pub end: f64,
    pub lowest: f64,
    pub readings: usize,
}

/// Facts of readings in order of time.
///
/// # Errors
/// Lists of different lengths, or no reading from `start` on.
pub fn facts(t: &[f64], r: &[f64], start: f64, limit: f64) -> Result<Facts, String> {
    if t.len() != r.len() {
        return Err("t and R need the same number of values".into());
    }
    let (t, r): (Vec<f64>, Vec<f64>) = t.iter().zip(r).filter(|p| *p.0 >= start).unzip();
    if r.is_empty() {
        return Err(format!("no reading at {start} h or later"));
    }
    let first = (1..r.len()).fold(0, |best, i| if r[i] < r[best] { i } else { best });
    let middle = median(&r);
    let mut drops: Vec<Drop> = Vec::new();
    let mut open = false;
    for (t, r) in t.iter().zip(&r) {
        if *r >= 0.1 * middle {
            open = false;
            continue;
        }
        match drops.last_mut().filter(|_| open) {
            Some(d) => {
                *d = Drop { end: *t, lowest: d.lowest.min(*r), readings: d.readings + 1, ..*d };
            }
            None => drops.push(Drop { start: *t, end: *t, lowest: *r, readings: 1 }),
        }
        open = true;
    }
    Ok(Facts {
        lowest: r[first],
        at: t[first],
        highest: r.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        middle,
        geometric: geometric_mean(&r),
        below: r.iter().filter(|r| **r < limit).count(),
        drops,
    })
}
