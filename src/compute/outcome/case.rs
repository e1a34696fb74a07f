//! Takes a set and a criterion; gives the case that statistics work on: readings in one unit, limit, guard band.

use super::scale::{self, Scale};
use crate::compute::calc::guard_band;
use crate::compute::sets::{Ctx, Prepared};
use crate::compute::work::{Done, rows, work};
use crate::diag::At;
use crate::model::governance::{Criterion, Sense, Statistic};
use crate::model::workings::{Origin, WorkingId, Workings};
use crate::quantity::{Dimension, Quantity};
use std::collections::{BTreeMap, BTreeSet};

/// A reading in the unit of the comparison.
#[derive(Debug, Clone)]
pub struct Reading {
    pub board: String,
    pub place: String,
    pub lot: String,
    pub value: f64,
    pub censored: bool,
    pub at: At,
}

/// Why there is no statistic, and the working that shows it, if any.
pub struct Refusal {
    pub why: String,
    pub working: Option<WorkingId>,
}

impl From<String> for Refusal {
    fn from(why: String) -> Self {
        Self { why, working: None }
    }
}

/// What a statistic gives.
pub struct Found {
    pub value: f64,
    pub origin: Origin,
    pub bound_fails: bool,
    pub n_eff: Option<usize>,
    pub needed: Option<String>,
}

impl Found {
    pub fn new(done: &Done, i: usize, bound_fails: bool) -> Self {
        let (value, origin) = (done.values[i], Origin::Working(done.id));
        Self { value, origin, bound_fails, n_eff: None, needed: None }
    }
}

/// One set under one criterion.
pub struct Case<'a> {
    pub prepared: &'a Prepared,
    pub criterion: &'a Criterion,
    pub readings: Vec<Reading>,
    pub scale: Scale,
    pub unit: String,
    pub limit: f64,
    pub upper: f64,
    pub guard: f64,
    pub guard_origin: Origin,
    /// Why there is no guard band.
    guard_refused: Option<String>,
    pub subject: String,
}

impl<'a> Case<'a> {
    /// Brings readings and limit into one unit and forms the guard band.
    ///
    /// # Errors
    /// They can't be compared, or there is nothing to compare.
    pub fn new(ctx: Ctx, prepared: &'a Prepared, criterion: &'a Criterion, w: &mut Workings) -> Result<Self, String> {
        let run = ctx.run();
        let set = &prepared.set;
        let index = criterion.statistic == Statistic::Cpk;
        let scale = if index {
            let spec = criterion.spec_low.as_ref().or(criterion.spec_high.as_ref());
            let spec = spec.ok_or("the criterion of a capability states no specification limits")?;
            if criterion.value.dimension() != Dimension::NONE {
                return Err(format!("a capability is a plain number, and the limit is {}", criterion.value.written));
            }
            let ends = Criterion { value: spec.clone(), upper: criterion.spec_high.clone(), ..criterion.clone() };
            Scale::new(&set.unit, &ends)?
        } else {
            Scale::new(&set.unit, criterion)?
        };
        let readings: Vec<Reading> = set
            .samples
            .iter()
            .map(|s| Reading {
                board: s.board.clone(),
                place: s.place.clone(),
                lot: s.lot.clone(),
                value: scale.reading(s.value),
                censored: s.censored,
                at: s.at,
            })
            .collect();
        let plain = |q: &Quantity| if index { q.number() } else { scale.limit(q) };
        let unit = if index { criterion.value.unit.text().to_string() } else { scale.unit().to_string() };
        let mut case = Self {
            prepared,
            criterion,
            limit: plain(&criterion.value),
            upper: criterion.upper.as_ref().map_or(f64::NAN, plain),
            readings,
            unit,
            scale,
            guard: 0.0,
            guard_origin: Origin::Constant("the criterion asks for no guard band"),
            guard_refused: None,
            subject: [&run.id.text, &set.cell, &set.place].map(String::as_str).join(" ") + ": " + &set.quantity,
        };
        if criterion.operator == Sense::In && criterion.upper.is_none() {
            return Err("the criterion of a range states no upper end".into());
        }
        let near = case.worst().map_or(case.limit, |r| r.value);
        match scale::guard(run, criterion, &case.scale, near) {
            Ok(None) => {}
            Ok(Some((f, u, constant, place))) if !index => {
                let subject = format!("{}: guard band", case.subject);
                let done = work(
                    w,
                    &guard_band::CALC,
                    &subject,
                    case.n(),
                    &case.unit,
                    vec![("f", f, constant), ("u", u, place)],
                );
                match done {
                    Ok(d) => (case.guard, case.guard_origin) = (d.values[0], Origin::Working(d.id)),
                    Err(why) => case.guard_refused = Some(why),
                }
            }
            Ok(Some(_)) => case.guard_origin = Origin::Constant("an index has no unit to guard in"),
            Err(why) => case.guard_refused = Some(why),
        }
        Ok(case)
    }

    /// Readings behind the statistic; boards of both arms for counts.
    pub fn n(&self) -> usize {
        self.prepared.n()
    }

    pub fn values(&self) -> Vec<f64> {
        self.readings.iter().map(|r| r.value).collect()
    }

    /// Where the readings stand.
    pub fn rows(&self) -> Origin {
        match (&self.prepared.done, self.readings.first()) {
            (Some((done, _)), _) => Origin::Working(done.id),
            (None, Some(r)) => rows(r.at, self.readings.len()),
            (None, None) => Origin::Constant("no readings"),
        }
    }

    /// Readings by board, boards in order of first appearance.
    pub fn boards(&self) -> Vec<Vec<f64>> {
        let mut index: BTreeMap<&str, usize> = BTreeMap::new();
        let mut out: Vec<Vec<f64>> = Vec::new();
        for r in &self.readings {
            let i = *index.entry(&r.board).or_insert_with(|| {
                out.push(Vec::new());
                out.len() - 1
            });
            out[i].push(r.value);
        }
        out
    }

    /// Ends of the range that a single value is compared with.
    fn ends(&self) -> (f64, f64) {
        let c = self.criterion;
        if c.statistic == Statistic::Cpk {
            let end = |q: &Option<Quantity>, open: f64| q.as_ref().map_or(open, |q| self.scale.limit(q));
            return (end(&c.spec_low, f64::NEG_INFINITY), end(&c.spec_high, f64::INFINITY));
        }
        match c.operator {
            Sense::Ge => (self.limit, f64::INFINITY),
            Sense::Le => (f64::NEG_INFINITY, self.limit),
            Sense::In => (self.limit, self.upper),
        }
    }

    /// Value on which a single reading is judged: a shift counts in both directions.
    fn judged(&self, r: &Reading) -> f64 {
        if self.criterion.statistic == Statistic::Shift { r.value.abs() } else { r.value }
    }

    /// The reading nearest to its limit, or farthest beyond it.
    pub fn worst(&self) -> Option<&Reading> {
        let (low, high) = self.ends();
        let distance = |r: &Reading| (self.judged(r) - low).min(high - self.judged(r));
        self.readings.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)))
    }

    /// Some reading does not meet its limit even with the guard band in its favour. A statistic of differences has no
    /// single values that could.
    pub fn single_fails(&self) -> bool {
        if self.criterion.statistic == Statistic::Difference && self.prepared.arms.is_some() {
            return false;
        }
        let (low, high) = self.ends();
        self.readings.iter().any(|r| {
            let x = self.judged(r);
            let dust = 1e-13 * x.abs();
            (x + self.guard < low - dust && !r.censored) || x - self.guard > high + dust
        })
    }

    /// Why no statistic may be formed at all.
    pub fn refusal(&self) -> Option<String> {
        let c = self.criterion;
        if let Some(why) = &self.prepared.trouble {
            return Some(why.clone());
        }
        if self.readings.is_empty() {
            return Some("no readings".into());
        }
        if self.readings.iter().any(|r| !r.value.is_finite()) {
            return Some("a reading is not a number".into());
        }
        if c.operator != Sense::Ge && self.readings.iter().any(|r| r.censored) {
            return Some("readings at the ceiling can't be compared with an upper limit".into());
        }
        let different = |of: fn(&Reading) -> &str| {
            self.readings.iter().map(of).filter(|t| !t.is_empty()).collect::<BTreeSet<_>>().len()
        };
        // Of two arms the smaller one must have the boards.
        let boards = self.prepared.arms.map_or(different(|r| &r.board), |[a, b]| a.1.min(b.1) as usize);
        let needs = [
            (&c.min_n, self.n(), "readings"),
            (&c.min_boards, boards, "boards"),
            (&c.min_lots, different(|r| &r.lot), "lots"),
        ];
        for (least, have, what) in needs {
            if let Some(q) = least
                && (have as f64) < q.si
            {
                return Some(format!("{have} {what}, and the criterion asks for {}", q.written));
            }
        }
        self.guard_refused.clone()
    }
}
