//! Takes resistance tables of a run; gives one series of log10 resistance per board and pattern.

use super::{Ctx, codes};
use crate::compute::maths::median;
use crate::diag::At;
use std::collections::BTreeMap;

/// One comb over time, in order of time, without readings that were not taken.
#[derive(Debug, Clone)]
pub struct Series {
    pub board: String,
    pub pattern: String,
    /// Hours.
    pub t: Vec<f64>,
    /// log10 ohm; the ceiling for a reading above it, the floor for one below.
    pub x: Vec<f64>,
    pub ceiling: Vec<bool>,
    pub at: Vec<At>,
    /// Rows of the table, readings not taken included.
    pub rows: usize,
    /// Place of the first row.
    pub first: At,
}

impl Series {
    /// Median interval between readings in minutes; NaN below two readings.
    pub fn interval(&self) -> f64 {
        let steps: Vec<f64> = self.t.windows(2).map(|w| (w[1] - w[0]) * 60.0).collect();
        median(&steps)
    }

    /// Indices of the readings in a window.
    pub fn inside(&self, window: (f64, f64)) -> std::ops::Range<usize> {
        self.t.partition_point(|t| *t < window.0)..self.t.partition_point(|t| *t <= window.1)
    }

    /// Share of the rows that hold a reading, at the ceiling or below.
    pub fn read_share(&self) -> f64 {
        self.t.len() as f64 / self.rows.max(1) as f64
    }
}

/// Resistance that stands for a reading below a floor that the run does not state: the least that a table may hold.
const LOWEST: f64 = 1e3;

/// Every series of the run, in the order in which boards and patterns first appear.
pub fn of_run(ctx: Ctx) -> Vec<Series> {
    let run = ctx.run();
    let ceiling = run.ceiling.as_ref().map_or(f64::NAN, |q| q.si);
    let floor = run.floor.as_ref().map_or(LOWEST, |q| q.si.max(LOWEST));
    let mut out: Vec<Series> = Vec::new();
    let mut index: BTreeMap<(String, String), usize> = BTreeMap::new();
    for table in ctx.folder.tables("sir") {
        let (Some(boards), Some(patterns), Some(flags)) =
            (codes(table, "board"), codes(table, "pattern"), codes(table, "flag"))
        else {
            continue;
        };
        let (Some(hours), Some(ohms)) = (table.numbers("t"), table.numbers("R")) else { continue };
        let word = |code: u32| table.dictionary[code as usize].as_str();
        let mut here: BTreeMap<(u32, u32), usize> = BTreeMap::new();
        for row in 0..table.rows() {
            let i = *here.entry((boards[row], patterns[row])).or_insert_with(|| {
                let (board, pattern) = (word(boards[row]).to_string(), word(patterns[row]).to_string());
                *index.entry((board.clone(), pattern.clone())).or_insert_with(|| {
                    out.push(Series {
                        board,
                        pattern,
                        t: Vec::new(),
                        x: Vec::new(),
                        ceiling: Vec::new(),
                        at: Vec::new(),
                        rows: 0,
                        first: table.at(row),
                    });
                    out.len() - 1
                })
            });
            let s = &mut out[i];
            s.rows += 1;
            let (flag, r) = (word(flags[row]), ohms[row]);
            let ohm = match flag {
                "ok" => r,
                "ceil" if r.is_nan() => ceiling,
                "ceil" => r,
                "floor" if r.is_nan() => floor,
                "floor" => r,
                _ => f64::NAN,
            };
            if ohm > 0.0 && ohm.is_finite() && hours[row].is_finite() {
                s.t.push(hours[row]);
                s.x.push(libm::log10(ohm));
                s.ceiling.push(flag == "ceil");
                s.at.push(table.at(row));
            }
        }
    }
    for s in &mut out {
        if s.t.is_sorted() {
            continue;
        }
        // Several tables may hold one series in pieces.
        let mut order: Vec<usize> = (0..s.t.len()).collect();
        order.sort_by(|a, b| s.t[*a].total_cmp(&s.t[*b]));
        let by = |v: &[f64]| order.iter().map(|&i| v[i]).collect::<Vec<_>>();
        (s.t, s.x) = (by(&s.t), by(&s.x));
        s.ceiling = order.iter().map(|&i| s.ceiling[i]).collect();
        s.at = order.iter().map(|&i| s.at[i]).collect();
    }
    out
}
