//! Takes cells of combs with their levels; gives the logger's file of insulation over time, and the chamber's.

use super::chance::Chance;
use super::levels::{Spread, levels};

/// First hour of the window in which the lowest reading counts.
const STABLE: f64 = 24.0;
/// Ceiling of the switch system, log10 ohm.
const CEILING: f64 = 12.0;

/// Boards of one build that carry one kind of pattern.
pub struct Cell {
    pub boards: Vec<String>,
    /// Pattern ids on each board.
    pub patterns: &'static [&'static str],
    pub spread: Spread,
}

impl Cell {
    pub fn new(boards: Vec<String>, patterns: &'static [&'static str], spread: Spread) -> Self {
        Self { boards, patterns, spread }
    }
}

/// One channel as it is written: board, pattern, log10 ohm at every reading.
pub struct Channel {
    pub board: String,
    pub pattern: String,
    pub lg: Vec<f64>,
}

/// Board names: prefix and number.
pub fn boards(prefix: &str, n: usize, width: usize) -> Vec<String> {
    (1..=n).map(|i| format!("{prefix}{i:0width$}")).collect()
}

/// Times of the readings, hours, both ends included.
pub fn times(hours: usize, minutes: usize) -> Vec<f64> {
    (0..=hours * 60 / minutes).map(|i| (i * minutes) as f64 / 60.0).collect()
}

/// Channels of a cell. The curve is `mu + 1.1 exp(-t/5 h) + 0.04 lg((t+1)/25) + noise of 0.01`: residue dries in,
/// then creeps up. It is shifted as a whole so that its lowest three-point median from 24 h on is the level drawn;
/// with larger noise that minimum would lie below the level, and by how much would depend on the number of readings.
pub fn channels(chance: &mut Chance, cell: &Cell, t: &[f64]) -> Vec<Channel> {
    let drawn = levels(chance, cell.boards.len(), cell.patterns.len(), cell.spread);
    let mut out = Vec::new();
    for (board, of_board) in cell.boards.iter().zip(drawn) {
        for (pattern, level) in cell.patterns.iter().zip(of_board) {
            let mut lg: Vec<f64> = t
                .iter()
                .map(|t| 1.1 * libm::exp(-t / 5.0) + 0.04 * libm::log10((t + 1.0) / 25.0) + 0.01 * chance.normal())
                .collect();
            let shift = level - lowest(t, &lg);
            lg.iter_mut().for_each(|x| *x += shift);
            out.push(Channel { board: board.clone(), pattern: (*pattern).to_string(), lg });
        }
    }
    out
}

/// Three unprocessed control boards: mean 11.3, spread 0.2, and every fifth reading at the ceiling of the instrument.
pub fn controls(chance: &mut Chance, t: &[f64]) -> Vec<Channel> {
    let drawn = levels(chance, 3, 1, Spread::new(11.3, 0.2, 0.0));
    boards("K", 3, 1)
        .into_iter()
        .zip(drawn)
        .map(|(board, level)| {
            let lg = t
                .iter()
                .map(|t| {
                    let read = level[0] + 0.2 * libm::exp(-t / 5.0) + 0.03 * chance.normal();
                    if chance.uniform() < 0.2 { CEILING } else { read.min(CEILING) }
                })
                .collect();
            Channel { board, pattern: "CTL".into(), lg }
        })
        .collect()
}

/// Lowest three-point median from 24 h on.
fn lowest(t: &[f64], x: &[f64]) -> f64 {
    let median = |i: usize| {
        let mut three = [x[i - 1], x[i], x[(i + 1).min(x.len() - 1)]];
        three.sort_by(f64::total_cmp);
        three[1]
    };
    (1..t.len()).filter(|&i| t[i] >= STABLE).map(median).fold(f64::INFINITY, f64::min)
}

/// The logger's table: one row for each channel at each time, resistance with four significant digits.
/// `ceiling` is that of the instrument, log10 ohm.
pub fn table(t: &[f64], channels: &[Channel], ceiling: f64) -> String {
    let mut out = String::from("t_h,board,pattern,R_ohm,flag\n");
    for (i, t) in t.iter().enumerate() {
        for c in channels {
            let flag = if c.lg[i] >= ceiling { "ceil" } else { "ok" };
            let ohm = libm::pow(10.0, c.lg[i].min(ceiling));
            out.push_str(&format!("{t:.2},{},{},{ohm:.3e},{flag}\n", c.board, c.pattern));
        }
    }
    out
}

/// The chamber's table: temperature within 0.3 K and humidity within 1.2 %RH of the set values, as three standard
/// deviations. `wet` gives an excursion: first and last hour, humidity.
pub fn chamber(chance: &mut Chance, t: &[f64], set_t: f64, set_rh: f64, wet: Option<(f64, f64, f64)>) -> String {
    let mut out = String::from("t_h,T_c,RH_pct\n");
    for t in t {
        let temperature = set_t + (0.1 * chance.normal()).clamp(-0.3, 0.3);
        let drawn = set_rh + (0.4 * chance.normal()).clamp(-1.2, 1.2);
        let humidity = match wet {
            Some((from, to, rh)) if *t >= from && *t <= to => rh,
            _ => drawn,
        };
        out.push_str(&format!("{t:.2},{temperature:.2},{humidity:.1}\n"));
    }
    out
}
