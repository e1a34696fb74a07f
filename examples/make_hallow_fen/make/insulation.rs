//! Takes nothing; gives the readings of every insulation and migration run of the site.

use super::Files;
use super::chance::Chance;
use super::levels::{Spread, standardised};
use super::sir::{Cell, Channel, boards, chamber, channels, controls, table, times};

const OPEN: &[&str] = &["C02-1", "C02-2", "C02-3"];
const X50: &[&str] = &["X50-1", "X50-2", "X50-3"];
/// Spread of the open combs of TV-1: 0.21 between and 0.26 within boards, intraclass correlation 0.39.
const fn open(mean: f64) -> Spread {
    // No comb below 8.62: not even with its guard band does one miss 8.5, so a limit of 8.5 is missed by spread
    // alone (NOT_SHOWN), not by a comb (FAIL).
    Spread::new(mean, 0.21, 0.26).above(8.62)
}
const fn mixed(mean: f64) -> Spread {
    Spread::new(mean, 0.16, 0.19)
}
/// One pattern a board under bodies.
const fn body(mean: f64) -> Spread {
    Spread::new(mean, 0.28, 0.0)
}

/// Open combs and patterns under bodies of one build of TV-1. Bodies keep more margin than open combs.
fn populated(prefix: &str, spread: Spread, shift: f64) -> Vec<Cell> {
    let b = || boards(prefix, 8, 1);
    vec![
        Cell::new(b(), OPEN, spread),
        Cell::new(b(), &["Q48"], body(10.15 + shift)),
        Cell::new(b(), &["L08"], body(10.08 + shift)),
        Cell::new(b(), &["R04"], body(10.42 + shift)),
        Cell::new(b(), &["B08"], body(10.30 + shift)),
    ]
}

/// A week at 40 degC and 90 %RH, read every 15 min.
fn week(files: &mut Files, run: &str, cells: &[Cell]) {
    insulation(files, run, cells, (168, 15), (40.0, 90.0), None, 12.0, |_, _| {});
}

/// One run: readings and chamber log. `mend` changes channels after they are drawn.
#[allow(clippy::too_many_arguments, reason = "a run is just that many facts")]
fn insulation(
    files: &mut Files,
    run: &str,
    cells: &[Cell],
    (hours, minutes): (usize, usize),
    (set_t, set_rh): (f64, f64),
    wet: Option<(f64, f64, f64)>,
    ceiling: f64,
    mend: impl Fn(&[f64], &mut [Channel]),
) {
    let mut chance = Chance::of_run(run);
    let t = times(hours, minutes);
    let mut all: Vec<Channel> = cells.iter().flat_map(|c| channels(&mut chance, c, &t)).collect();
    all.extend(controls(&mut chance, &t));
    mend(&t, &mut all);
    files.add(run, "sir.csv", table(&t, &all, ceiling));
    files.add(run, "chamber.csv", chamber(&mut chance, &t, set_t, set_rh, wet));
}

/// Lowers a channel in a stretch of time.
fn dip(t: &[f64], c: &mut Channel, from: f64, to: f64, level: impl Fn(f64) -> f64) {
    for (t, x) in t.iter().zip(c.lg.iter_mut()).filter(|(t, _)| **t >= from && **t <= to) {
        let _ = t;
        *x = level(*x);
    }
}

pub fn all(files: &mut Files) {
    // Three lots at the three corners of the window: lower tolerance bounds 8.56, 8.40, 8.25 before the guard band.
    week(files, "RUN-101", &populated("T1A", open(9.78), 0.0));
    week(files, "RUN-102", &populated("T1B", open(9.62), -0.10));
    week(files, "RUN-103", &populated("T1C", open(9.47), -0.18));
    // First try of lot 1: water dripped at 61 h, and three combs went to 5.2 for 40 min.
    let first = [Cell::new(boards("T1Z", 8, 1), OPEN, open(9.78))];
    insulation(files, "RUN-104", &first, (168, 15), (40.0, 90.0), Some((61.0, 61.7, 99.0)), 12.0, |t, all| {
        for c in all.iter_mut().filter(|c| ["T1Z2/C02-2", "T1Z5/C02-1", "T1Z7/C02-3"].contains(&&*name(c))) {
            dip(t, c, 61.0, 61.7, |_| 5.2);
        }
    });
    // After 200 cycles: 0.21 decades below fresh.
    week(files, "RUN-106", &populated("T1D", Spread::new(9.41, 0.20, 0.24).above(8.62), -0.21));
    // Selective flux on paste: dose 0, 100, 200 ug/cm2; then unheated 200, and flooded 400.
    week(
        files,
        "RUN-107",
        &[
            Cell::new(boards("T2A", 8, 1), X50, mixed(9.60)),
            Cell::new(boards("T2B", 8, 1), X50, mixed(9.30)),
            Cell::new(boards("T2C", 8, 1), X50, mixed(9.02)),
        ],
    );
    week(
        files,
        "RUN-108",
        &[Cell::new(boards("T2D", 8, 1), X50, mixed(9.20)), Cell::new(boards("T2E", 8, 1), X50, mixed(7.10))],
    );
    // Washed, at 85/85, electrometer with a ceiling of 1e14: lower bounds 11.3 and 11.4.
    let washed = [
        Cell::new(boards("T1W", 8, 1), &["Q16"], Spread::new(11.866, 0.13, 0.0)),
        Cell::new(boards("T1W", 8, 1), &["R04"], Spread::new(11.966, 0.13, 0.0)),
    ];
    insulation(files, "RUN-114", &washed, (168, 15), (85.0, 85.0), None, 14.0, |_, _| {});
    // The supplier reads once an hour.
    let supplier = [Cell::new(boards("SU", 4, 1), &["L08"], Spread::new(9.4, 0.2, 0.0))];
    insulation(files, "RUN-115", &supplier, (168, 60), (40.0, 90.0), None, 12.0, |_, _| {});
    // Board trial: one bus falls by 1.8 decades at 88 h for 25 min, two readings, and recovers.
    let trial = [Cell::new(boards("B", 6, 2), &["BUS"], Spread::new(9.55, 0.15, 0.0))];
    insulation(files, "RUN-116", &trial, (168, 15), (40.0, 90.0), None, 12.0, |t, all| {
        for c in all.iter_mut().filter(|c| name(c) == "B03/BUS") {
            dip(t, c, 88.0, 88.4, |x| x - 1.8);
        }
    });
    // The very bytes of RUN-101, offered again as another run.
    files.copy("RUN-101", "RUN-128", "sir.csv");
    files.copy("RUN-101", "RUN-128", "chamber.csv");
    // Rework flux and wire on paste; one comb a board.
    let one = |prefix, mean| Cell::new(boards(prefix, 8, 1), &["X50-1"], Spread::new(mean, 0.22, 0.0));
    week(files, "RUN-134", &[one("T2F", 9.62), one("T2G", 9.70), one("T2H", 9.48)]);
    week(files, "RUN-135", &[one("T2J", 9.66), one("T2K", 9.74), one("T2L", 9.71)]);
    migration(files, "RUN-105", "T1E", &["E02-1", "E02-2", "E02-3"], 0.43, 0.34);
    migration(files, "RUN-110", "T2M", X50, 0.31, 0.24);
}

fn name(c: &Channel) -> String {
    format!("{}/{}", c.board, c.pattern)
}

/// 96 h without and 500 h with bias: ratio of the geometric means and the lowest single ratio as given, no filament
/// longer than 4 % of the spacing.
fn migration(files: &mut Files, run: &str, prefix: &str, patterns: &[&str], ratio: f64, worst: f64) {
    let mut chance = Chance::of_run(run);
    let n = 8 * patterns.len();
    let start = standardised(&mut chance, n, 10.08, 0.15);
    let mut fall = standardised(&mut chance, n, 0.0, 1.0);
    let deepest = fall.iter().copied().fold(f64::INFINITY, f64::min);
    let (mean, low) = (libm::log10(ratio), libm::log10(worst));
    fall.iter_mut().for_each(|x| *x = mean + *x * (low - mean) / deepest);
    let mut out = String::from("board,pattern,phase,R_ohm,flag,filament_pct\n");
    let mut i = 0;
    for board in boards(prefix, 8, 1) {
        for pattern in patterns {
            let (a, b) = (libm::pow(10.0, start[i]), libm::pow(10.0, start[i] + fall[i]));
            let filament = libm::floor(chance.uniform() * 5.0);
            out.push_str(&format!("{board},{pattern},start,{a:.3e},ok,\n"));
            out.push_str(&format!("{board},{pattern},end,{b:.3e},ok,{filament:.0}\n"));
            i += 1;
        }
    }
    files.add(run, "ecm.csv", out);
    files.add(run, "chamber.csv", chamber(&mut chance, &times(596, 60), 65.0, 88.5, None));
}
