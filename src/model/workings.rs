//! Every derived value with its formula, its inputs and their places; and what runs say under criteria.

use super::Text;
use super::evidence::{PatternKind, RunKind};
use super::governance::Statistic;
use crate::diag::At;

/// How much a calculation may do to a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strength {
    /// Decides a claim.
    Decides,
    /// Ranks or bounds.
    Screens,
    /// Informs; never lifts a state.
    Informs,
}

impl Strength {
    pub fn word(self) -> &'static str {
        match self {
            Self::Decides => "decides",
            Self::Screens => "screens",
            Self::Informs => "informs",
        }
    }
}

/// Where an input of a calculation came from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// A place in the evidence.
    Place(At),
    /// Many rows of one file: the first place and how many rows.
    Rows(At, usize),
    /// Another working.
    Working(WorkingId),
    /// A constant of the method, with its source.
    Constant(&'static str),
}

/// Index into [`Workings::items`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WorkingId(pub u32);

impl WorkingId {
    /// The name under which the dossier prints and links it.
    pub fn name(self) -> String {
        format!("W{:04}", self.0 + 1)
    }
}

/// One input with its symbol. `value` is in `unit`.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    pub symbol: &'static str,
    pub value: f64,
    pub unit: String,
    pub origin: Origin,
}

/// One result of a calculation. `value` is in `unit`.
#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    pub symbol: &'static str,
    pub value: f64,
    pub unit: String,
}

/// A calculation that was carried out.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Id of the calculation, as `galipot calc` lists it.
    pub calc: &'static str,
    /// What it is about, in a few words.
    pub subject: String,
    /// Assemblies whose dossiers print it; empty for all that cite it.
    pub assemblies: Vec<String>,
    pub inputs: Vec<Input>,
    pub outputs: Vec<Output>,
    /// Number of readings behind it.
    pub n: usize,
}

/// Which single value of a run: of which cell, pattern or part, board.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    pub board: String,
    /// Pattern, part, node, zone, fabricator, as in the readings.
    pub place: String,
    /// Lot, or "".
    pub lot: String,
    /// In the unit of the quantity.
    pub value: f64,
    /// The true value is at least this (reading at the ceiling).
    pub censored: bool,
    pub at: At,
}

/// A happening that no statistic may hide: filament, corrosion, an unexplained drop.
#[derive(Debug, Clone, PartialEq)]
pub struct HardEvent {
    pub text: String,
    pub at: At,
}

/// Values of one quantity from one run, one cell, one place.
#[derive(Debug, Clone, PartialEq)]
pub struct SampleSet {
    pub run: String,
    /// Build; "" when the rows belong to no build.
    pub build: String,
    /// Cell of the build, or "".
    pub cell: String,
    /// As in [`Sample::place`]. Patterns of one vehicle that are alike in every number are combs of one set; the set
    /// then bears the name of the first.
    pub place: String,
    /// Kind of pattern when the place is one of a vehicle.
    pub pattern: Option<PatternKind>,
    /// Design of that pattern.
    pub design: String,
    pub quantity: String,
    pub unit: String,
    pub samples: Vec<Sample>,
    pub hard_events: Vec<HardEvent>,
    /// Recovered drops without a recorded cause.
    pub open_events: Vec<HardEvent>,
    /// Interval between readings, minutes; NaN when there is no series.
    pub interval_min: f64,
}

/// What one sample set says under one criterion, before any verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    pub run: String,
    pub run_kind: RunKind,
    /// Index into [`Workings::sets`].
    pub set: usize,
    pub criterion: String,
    pub statistic: Statistic,
    /// The statistic, before the guard band, in `unit`.
    pub value: f64,
    pub guard: f64,
    pub limit: f64,
    /// Upper limit of a range; NaN otherwise.
    pub upper: f64,
    pub unit: String,
    /// Distance of the guarded statistic from the limit, positive on the side that meets it.
    pub margin: f64,
    /// Worst single value and where it is.
    pub worst: f64,
    pub worst_place: String,
    pub worst_at: At,
    /// Even with the guard band in its favour, a single value does not meet the limit.
    pub single_fails: bool,
    /// Even the favourable confidence bound of the statistic does not meet the limit.
    pub bound_fails: bool,
    pub n: usize,
    pub n_eff: usize,
    /// Why the statistic can't be given (too few readings, too many at the ceiling); then `value` is NaN.
    pub refused: Option<String>,
    /// What would be needed to show it: "n_eff 33", "no number of readings".
    pub needed: Option<String>,
    pub hard_events: Vec<HardEvent>,
    pub open_events: Vec<HardEvent>,
    pub working: WorkingId,
}

/// A derived fact of an assembly that rules and pages look up by name: field of a pair, fill of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    pub assembly: String,
    /// "field", "fill", "dew_margin", "wet_hours", "leakage_ltb", "leakage_mean", "area_ratio", "paste_dose", "gap",
    /// "leakage_need", "guard_leakage", "surface_humidity", "leakage_guard" (ohm that the guard makes of the pair), "gap_predicted", "fill_predicted", "dose_trend_ltb" and
    /// "dose_trend_cap" (bound of the line through tested doses, at the dose in use and at the cap of a condition) and
    /// "dose_trend_cap_margin" (that bound against the limit, after the guard band).
    pub name: &'static str,
    /// Pair, part, node, bin.
    pub place: String,
    pub value: f64,
    pub unit: String,
    pub working: WorkingId,
}

/// A measured thing about a run that gates look at: chamber inside tolerance, control minimum.
#[derive(Debug, Clone, PartialEq)]
pub struct RunFact {
    pub run: String,
    /// "chamber_inside" (share of samples), "chamber_max_rh", "control_min" (log10 ohm), "control_ceiling_share",
    /// "channels_reported", "interval_max" (min), "ceiling_share", "icc", "drift" (decades per decade, worst comb),
    /// "control_mean" (log10 ohm: mean of the controls' medians), "positive_min" (log10 ohm: lowest reading of a positive
    /// control), "detection_5min" (chance of seeing
    /// an event of 5 min), "window_minimum" (log10 ohm: lowest comb of a set), "lod" (ug/cm2: highest limit of detection per area).
    pub name: &'static str,
    /// "build/pattern", "board/pattern", board, ion or "".
    pub place: String,
    pub value: f64,
    pub unit: String,
    pub working: Option<WorkingId>,
    pub at: At,
}

/// What a calculation says of itself, for the sheet of one working.
#[derive(Debug, Clone, PartialEq)]
pub struct Method {
    pub title: String,
    pub formula: Vec<super::document::Formula>,
    /// Every symbol as it looks in the formula; none where the formula is in words.
    pub symbols: Vec<super::document::Formula>,
    /// The formula with the inputs of the working in place.
    pub substituted: String,
    /// Meaning of every symbol, inputs and outputs.
    pub meanings: Vec<(String, String)>,
    pub holds_when: String,
    pub strength: Strength,
    /// The fixed sentence on its weakness.
    pub weak_because: String,
    /// Documents behind it, with edition and standing.
    pub sources: Vec<String>,
}

/// All calculations of a site.
#[derive(Debug, Clone, Default)]
pub struct Workings {
    /// Describes a working; set by the stage that computes, so that pages need not know it.
    pub describe: Option<fn(&Working) -> Option<Method>>,
    pub items: Vec<Working>,
    pub sets: Vec<SampleSet>,
    pub outcomes: Vec<Outcome>,
    pub facts: Vec<Fact>,
    pub run_facts: Vec<RunFact>,
    pub curves: Vec<Curve>,
    /// Known answers of the calculations on this machine: met, missed.
    pub known_answers: (usize, usize),
    /// SHA-256 of the table of these answers, as `galipot selftest` writes it.
    pub self_test: String,
}

impl Workings {
    pub fn get(&self, id: WorkingId) -> &Working {
        &self.items[id.0 as usize]
    }
    pub fn push(&mut self, w: Working) -> WorkingId {
        self.items.push(w);
        WorkingId(self.items.len() as u32 - 1)
    }
    pub fn fact(&self, assembly: &str, name: &str, place: &str) -> Option<&Fact> {
        self.facts.iter().find(|f| f.assembly == assembly && f.name == name && f.place == place)
    }
    pub fn run_fact(&self, run: &str, name: &str) -> Option<&RunFact> {
        self.run_facts.iter().find(|f| f.run == run && f.name == name)
    }
}

/// One comb over time, for its picture: points are (hours, log10 ohm), thinned so that no minimum is lost.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    pub run: String,
    pub cell: String,
    pub board: String,
    pub pattern: String,
    pub control: bool,
    pub points: Vec<(f64, f64)>,
    /// Number of readings that stood at the ceiling.
    pub at_ceiling: usize,
    /// Hours of drop events.
    pub drops: Vec<f64>,
    pub at: At,
}

/// The printed form of a reference such as a run's id with its place.
pub fn cited(t: &Text) -> (&str, At) {
    (&t.text, t.at)
}
