//! Takes the tables of one run; gives its values, sorted by build, place and quantity.

pub mod aged;
mod agreement;
mod arms;
mod chamber;
pub mod curves;
mod ecm;
mod findings;
mod ionic;
mod measured;
mod profile;
mod rf;
pub mod series;
mod sir;
mod under_body;

use crate::compute::work::Done;
use crate::diag::At;
use crate::model::evidence::{Build, Pattern, PatternKind, Run, Vehicle};
use crate::model::site::{RunFolder, Site};
use crate::model::tables::DataTable;
use crate::model::workings::{Sample, SampleSet, Workings};
use std::collections::BTreeMap;

/// A sample set with what its outcomes need beside it.
#[derive(Debug, Clone)]
pub struct Prepared {
    pub set: SampleSet,
    /// First and last hour from which the samples were taken, for time series.
    pub window: Option<(f64, f64)>,
    /// Why no statistic may be formed from these samples.
    pub trouble: Option<String>,
    /// Counts of two arms: (events, boards) of the old and of the new process.
    pub arms: Option<[(f64, f64); 2]>,
    /// The calculation that the only sample comes from, and the number of readings behind it.
    pub done: Option<(Done, usize)>,
}

impl Prepared {
    /// Readings behind the samples: the samples themselves, the readings of a computed one, the boards of two arms.
    pub fn n(&self) -> usize {
        match (&self.done, &self.arms) {
            (Some((_, n)), _) => *n,
            (None, Some([old, new])) => (old.1 + new.1) as usize,
            (None, None) => self.set.samples.len(),
        }
    }

    /// Keeps the first trouble.
    pub fn trouble(&mut self, text: impl FnOnce() -> String) {
        if self.trouble.is_none() {
            self.trouble = Some(text());
        }
    }
}

/// A run with the site that it stands in.
#[derive(Clone, Copy)]
pub struct Ctx<'a> {
    pub site: &'a Site,
    pub folder: &'a RunFolder,
}

impl<'a> Ctx<'a> {
    pub fn run(&self) -> &'a Run {
        &self.folder.run
    }

    /// The vehicle and build of a board, among the builds of the run.
    pub fn home(&self, board: &str) -> Option<(&'a Vehicle, &'a Build)> {
        let (site, run) = (self.site, self.run());
        site.builds_of(run).find(|(_, b)| b.boards.iter().any(|x| x.text == board))
    }

    pub fn is_control(&self, board: &str) -> bool {
        self.run().controls.iter().any(|b| b.text == board)
    }

    pub fn is_positive(&self, board: &str) -> bool {
        self.run().positive_controls.iter().any(|b| b.text == board)
    }

    /// A pattern of the vehicle of a board. For a board of no build: of any vehicle that the run's builds name.
    pub fn pattern(&self, board: &str, id: &str) -> Option<&'a Pattern> {
        match self.home(board) {
            Some((v, _)) => v.pattern.iter().find(|p| p.id.text == id),
            None => {
                let (site, run) = (self.site, self.run());
                site.builds_of(run).find_map(|(v, _)| v.pattern.iter().find(|p| p.id.text == id))
            }
        }
    }

    /// Place of the run's own record, for values that have none better.
    pub fn at(&self) -> At {
        self.run().id.at
    }
}

/// Whether two patterns are combs of one kind: alike in everything that a test result depends on.
fn alike(a: &Pattern, b: &Pattern) -> bool {
    let q = |x: &Option<crate::quantity::Quantity>| x.as_ref().map(|q| q.si.to_bits());
    a.design.text == b.design.text
        && a.kind == b.kind
        && a.body_class == b.body_class
        && a.direct == b.direct
        && a.line.si == b.line.si
        && a.space.si == b.space.si
        && a.v_bias.si == b.v_bias.si
        && a.v_measure.si == b.v_measure.si
        && [
            (&a.overlap, &b.overlap),
            (&a.gaps, &b.gaps),
            (&a.squares, &b.squares),
            (&a.gap, &b.gap),
            (&a.fill, &b.fill),
        ]
        .iter()
        .all(|(x, y)| q(x) == q(y))
}

/// The first pattern of the vehicle that is alike: the name of the set.
fn representative<'a>(vehicle: &'a Vehicle, id: &str) -> Option<&'a Pattern> {
    let own = vehicle.pattern.iter().find(|p| p.id.text == id)?;
    vehicle.pattern.iter().find(|p| alike(p, own))
}

/// Build, place, quantity, and bits of the window.
type Key = (String, String, String, Option<(u64, u64)>);

/// Where a value of a table stands.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    pub board: &'a str,
    pub place: &'a str,
    pub lot: &'a str,
    pub at: At,
}

/// Collects samples into sets.
pub struct Sets<'a> {
    pub ctx: Ctx<'a>,
    pub list: Vec<Prepared>,
    index: BTreeMap<Key, usize>,
}

impl<'a> Sets<'a> {
    pub fn new(ctx: Ctx<'a>) -> Self {
        Self { ctx, list: Vec::new(), index: BTreeMap::new() }
    }

    /// The set of a board's build, a place and a quantity; made when there is none.
    pub fn of(
        &mut self,
        board: &str,
        place: &str,
        quantity: &str,
        unit: &str,
        window: Option<(f64, f64)>,
    ) -> &mut Prepared {
        let home = self.ctx.home(board);
        let series = window.is_some() || quantity.starts_with("ecm") || quantity == "filament";
        let pattern = match home {
            Some((v, _)) if series => representative(v, place),
            _ => self.ctx.pattern(board, place),
        };
        let place = if series { pattern.map_or(place, |p| p.id.text.as_str()) } else { place };
        let build = home.map_or("", |(_, b)| b.id.text.as_str());
        let key = (
            build.to_string(),
            place.to_string(),
            quantity.to_string(),
            window.map(|w| (w.0.to_bits(), w.1.to_bits())),
        );
        let i = *self.index.entry(key).or_insert_with(|| {
            self.list.push(Prepared {
                set: SampleSet {
                    run: self.ctx.run().id.text.clone(),
                    build: build.to_string(),
                    cell: home.map_or(String::new(), |(_, b)| b.cell.text.clone()),
                    place: place.to_string(),
                    pattern: pattern.map(|p| p.kind),
                    design: pattern.map_or(String::new(), |p| p.design.text.clone()),
                    quantity: quantity.to_string(),
                    unit: unit.to_string(),
                    samples: Vec::new(),
                    hard_events: Vec::new(),
                    open_events: Vec::new(),
                    interval_min: f64::NAN,
                },
                window,
                trouble: None,
                arms: None,
                done: None,
            });
            self.list.len() - 1
        });
        &mut self.list[i]
    }

    /// Adds a sample to its set.
    pub fn add(&mut self, row: Row, quantity: &str, unit: &str, value: f64) {
        let p = self.of(row.board, row.place, quantity, unit, None);
        p.set.samples.push(Sample {
            board: row.board.to_string(),
            place: row.place.to_string(),
            lot: row.lot.to_string(),
            value,
            censored: false,
            at: row.at,
        });
    }
}

/// Lot of a board: that of the only flux of its build, or "".
pub fn lot_of(ctx: Ctx, board: &str) -> String {
    match ctx.home(board) {
        Some((_, b)) if b.flux.len() == 1 => b.flux[0].lot.text.clone(),
        _ => String::new(),
    }
}

/// Codes of a text column with its dictionary, for tables with very many rows.
pub fn codes<'a>(table: &'a DataTable, name: &str) -> Option<&'a [u32]> {
    let i = table.spec.columns.iter().position(|c| c.name == name)?;
    match table.columns.get(i)? {
        Some(crate::model::tables::Column::Text(v)) => Some(v),
        _ => None,
    }
}

/// Whether samples of this pattern are specimens, and no controls.
pub fn is_specimen(ctx: Ctx, board: &str, pattern: Option<&Pattern>) -> bool {
    !ctx.is_control(board)
        && !ctx.is_positive(board)
        && !pattern.is_some_and(|p| matches!(p.kind, PatternKind::Control | PatternKind::Positive))
}

/// All sets of a run. Facts about the run, curves and workings go into `w`.
pub fn of_run(ctx: Ctx, w: &mut Workings) -> Vec<Prepared> {
    let mut sets = Sets::new(ctx);
    sir::collect(&mut sets, w);
    ecm::collect(&mut sets, w);
    ionic::collect(&mut sets, w);
    rf::collect(&mut sets);
    under_body::collect(&mut sets);
    profile::collect(&mut sets, w);
    arms::collect(&mut sets);
    agreement::collect(&mut sets, w);
    findings::collect(&mut sets);
    measured::collect(&mut sets);
    chamber::collect(ctx, w);
    sets.list
}
