//! What the site plan says: what every plan costs and why, the best one, closing sets, gates. Amounts are in the site's currency.

use super::Day;
use super::workings::{WorkingId, Workings};
use crate::diag::At;

/// A number of the plan with the working that gave it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    pub value: f64,
    pub working: WorkingId,
}

/// Money and plans of a site, computed. No claim looks at it.
#[derive(Debug, Clone)]
pub struct Planning {
    /// The workings of this volume alone; ids of this file point into it.
    pub workings: Workings,
    pub currency: String,
    pub base: Day,
    pub months: u32,
    /// Discount rate a year.
    pub rate: f64,
    pub lines: Vec<LineCost>,
    /// Which assembly may have which treatment, and what would allow it.
    pub allowed: Vec<Allowed>,
    /// First what happens when nothing changes ([`KEEP`]), then the plans of the site in order of file, last the best
    /// one ([`BEST`]).
    pub plans: Vec<PlanResult>,
    pub search: Search,
    pub values: Vec<EvidenceValue>,
    /// One for every assembly that has no supported route without the present process, then one for the site.
    pub closing: Vec<ClosingSet>,
    pub gates: Vec<GateState>,
    pub draws: usize,
    pub seed: u64,
    pub generator: &'static str,
    /// Where a number would mislead.
    pub warnings: Vec<String>,
    /// What the page adds up over the plans.
    pub sums: Sums,
}

/// Sums over rows and assemblies of plans that were weighed.
#[derive(Debug, Clone, Default)]
pub struct Sums {
    /// None when the best plan buys no test, or when nothing is paid before the result of one.
    pub committed: Option<Committed>,
    /// One for every plan that loses although boards are no longer washed.
    pub unwashed: Vec<Unwashed>,
}

/// What the best plan pays once on every path before the first result of a test is known.
#[derive(Debug, Clone)]
pub struct Committed {
    /// First month in which a result is known.
    pub known: u32,
    /// The payments, which are the same on every path.
    pub rows: Vec<CostRow>,
    /// All of them as they are paid, not discounted.
    pub all: Amount,
}

/// Boards a year that a plan no longer washes, on the path that washes fewest.
#[derive(Debug, Clone)]
pub struct Unwashed {
    pub plan: String,
    pub boards: Amount,
    /// Boards a year of all assemblies.
    pub of: Amount,
}

/// Id of the plan in which nothing changes: what savings are measured against.
pub const KEEP: &str = "KEEP";
/// Id of the plan that the search found.
pub const BEST: &str = "BEST";

/// What is used beside the money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Used {
    /// Hours in which belts run or loads are washed.
    pub hours: Amount,
    pub water_m3: Amount,
    pub effluent_m3: Amount,
    pub energy_kwh: Amount,
    pub saponifier_l: Amount,
}

/// What one line costs today, or would if it had what its treatments allow.
#[derive(Debug, Clone)]
pub struct LineCost {
    pub line: String,
    pub title: String,
    /// False for a line that nothing uses today.
    pub in_use: bool,
    /// Boards and panels a year on it today.
    pub boards: f64,
    pub panels: f64,
    /// Cost a year that falls as long as it is kept.
    pub yearly: Amount,
    /// Cost of an hour (belt), of a load (batch), of a board (outside).
    pub unit_cost: Amount,
    pub unit: &'static str,
    /// Cost of the year as it is used today; none when it is not in use.
    pub year: Option<Amount>,
    /// Cost of the year over its boards.
    pub average: Option<Amount>,
    /// Cost of one more board.
    pub marginal: Option<Amount>,
    /// Cost of a year that is saved when the last board leaves it.
    pub avoidable: Option<Amount>,
    /// Of the year as it is used today; none when it is not in use, and for a house outside, whose use is its own.
    pub used: Option<Used>,
    /// Every assembly on it.
    pub shares: Vec<LineShare>,
    /// Machines needed if it had all assemblies that it may have, with the share of the last one that is used.
    pub machines: Option<(u32, Amount)>,
    /// Belt hours truly needed by its boards, where the line says how many panels it washes in an hour.
    pub needed_hours: Option<Amount>,
    pub warnings: Vec<String>,
    pub at: At,
}

/// What one assembly means for a line.
#[derive(Debug, Clone)]
pub struct LineShare {
    pub assembly: String,
    pub boards: f64,
    /// Average cost of its boards: the share by panels.
    pub average: Amount,
    /// What a year costs less when this assembly alone leaves.
    pub saved_if_it_leaves: Amount,
    /// Cost of one of its boards when this assembly alone stays.
    pub alone: Amount,
}

/// Whether an assembly may have a treatment.
#[derive(Debug, Clone)]
pub struct Allowed {
    pub assembly: String,
    pub treatment: String,
    pub today: bool,
    /// Smallest sets of packages after whose success it may; empty where none would do, or none is needed.
    pub after: Vec<Vec<String>>,
    /// Why it may, or may not, in words.
    pub why: String,
}

/// One plan, weighed.
#[derive(Debug, Clone)]
pub struct PlanResult {
    pub id: String,
    pub title: String,
    /// Where the site states it; none for those that galipot adds.
    pub at: Option<At>,
    pub paths: Vec<PathResult>,
    /// Expected present value of its cost.
    pub cost: Amount,
    /// Cost of [`KEEP`] less that of this plan.
    pub saving: Amount,
    /// What customers get back of the saving.
    pub given_back: Option<Amount>,
    /// Every reason why the states do not allow it; empty when they do.
    pub forbidden: Vec<String>,
    /// Plans that are not distinguishable from it.
    pub alike: Vec<String>,
    /// Spread of the saving.
    pub spread: Option<Spread>,
    /// How the saving moves with each uncertain number alone, the widest first.
    pub tornado: Vec<Bar>,
    /// Months after which the discounted saving stays above nothing; none when it never does.
    pub payback: Option<f64>,
    /// Expected number of assemblies that end without a supported route, in containment or not.
    pub contained: f64,
    /// Expected use over all months.
    pub used: Option<Used>,
}

/// One path of a plan.
#[derive(Debug, Clone)]
pub struct PathResult {
    pub text: String,
    pub chance: Amount,
    /// Package, success, month of payment.
    pub results: Vec<(String, bool, u32)>,
    /// Assembly, treatment, first month, in order of month.
    pub steps: Vec<(String, String, u32)>,
    pub cost: Amount,
    pub rows: Vec<CostRow>,
    /// Batch machines in use: line, first month, number.
    pub machines: Vec<(String, u32, u32)>,
    /// Line, first month in use, last month in use.
    pub lines: Vec<(String, u32, u32)>,
    /// Over all months; none where its lines use nothing here.
    pub used: Option<Used>,
    /// Cost of every month, month 0 first, not discounted.
    pub flows: Vec<f64>,
}

/// Why something is paid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// A year of a line.
    Running,
    Replaced,
    Converted,
    /// Machines bought.
    Bought,
    /// A line that goes, and what it is sold for.
    Retired,
    Programme,
    Test,
    /// Boards in their treatment, besides the line.
    Boards,
}

/// One row of the cost of a path.
#[derive(Debug, Clone)]
pub struct CostRow {
    /// Id of the line, programme, package or treatment.
    pub of: String,
    pub cause: Cause,
    pub text: String,
    /// First and last month; equal for what is paid once.
    pub from: u32,
    pub to: u32,
    /// Amount a year, or once.
    pub amount: Amount,
    pub once: bool,
    pub present: Amount,
}

/// What a simulation says of a saving.
#[derive(Debug, Clone)]
pub struct Spread {
    pub mean: f64,
    pub sd: f64,
    /// Standard error of the mean.
    pub error: f64,
    /// The same from the moments of the distributions, without a draw.
    pub exact_mean: f64,
    pub exact_sd: f64,
    pub p5: f64,
    pub p50: f64,
    pub p95: f64,
    /// Share of draws with a loss.
    pub loss: f64,
    /// Low end, high end, number of draws.
    pub histogram: Vec<(f64, f64, usize)>,
}

/// One uncertain number at its ends.
#[derive(Debug, Clone)]
pub struct Bar {
    pub parameter: String,
    pub low: f64,
    pub high: f64,
    pub saving_low: f64,
    pub saving_high: f64,
    pub basis: String,
    pub at: At,
}

/// How the best plan was found.
#[derive(Debug, Clone, Default)]
pub struct Search {
    /// No plan of the kind that was searched costs less.
    pub proven: bool,
    /// No such plan costs less than this.
    pub bound: f64,
    /// Cost of the best plan over the bound, less 1.
    pub gap: f64,
    /// Ways of buying evidence that were weighed.
    pub policies: usize,
    /// Integer programmes solved.
    pub solved: usize,
    /// What ended the search early.
    pub stopped: Option<String>,
}

/// What one package is worth.
#[derive(Debug, Clone)]
pub struct EvidenceValue {
    pub package: String,
    pub cost: f64,
    /// Expected cost of the best plan that may buy it, and of the best one that may not.
    pub with: f64,
    pub without: f64,
    /// The difference, net of its own cost.
    pub value: Amount,
    /// Chance of success from which on it pays to buy it first; none when it never does, or is not known.
    pub break_even: Option<f64>,
    /// Expected number of assemblies without a supported route, with it and without.
    pub contained: (f64, f64),
    /// Plan that the best one becomes without it, in words.
    pub instead: String,
}

/// The cheapest actions that lift an assembly, or the whole site, to a supported route.
#[derive(Debug, Clone)]
pub struct ClosingSet {
    /// Assembly; empty for the site.
    pub assembly: String,
    /// Tree that it lifts: leave or wash.
    pub tree: String,
    pub actions: Vec<ClosingAction>,
    pub cost: Amount,
    /// Weeks along the longest chain.
    pub weeks: f64,
    /// Chance that all of it succeeds.
    pub chance: Amount,
    /// True when `chance` is stated by a package that holds exactly these actions.
    pub stated: bool,
    /// Claims that block and that no action lifts; then the set closes nothing.
    pub beyond: Vec<String>,
    /// Packages of the site that hold all of it and more.
    pub wider: Vec<Wider>,
}

/// A package that holds a closing set and more.
#[derive(Debug, Clone)]
pub struct Wider {
    pub package: String,
    pub actions: usize,
    pub cost: f64,
    pub weeks: f64,
    pub chance: f64,
    /// What it holds beside the set and that lifts nothing that blocks, nor is needed before anything that does.
    pub idle: Vec<String>,
    /// What else it holds beside the set.
    pub other: Vec<String>,
}

/// One action of a closing set.
#[derive(Debug, Clone)]
pub struct ClosingAction {
    pub action: String,
    pub text: String,
    pub cost: f64,
    pub weeks: f64,
    /// Weeks from the beginning of the set to its own beginning and end: it begins when all before it is done.
    pub span: (f64, f64),
    pub chance: f64,
    /// Blocking claims that it lifts: assembly, claim.
    pub lifts: Vec<(String, String)>,
    /// Actions of the set that cannot begin before it is done.
    pub before: Vec<String>,
    pub at: At,
}

/// A gate, open or closed.
#[derive(Debug, Clone)]
pub struct GateState {
    pub id: String,
    pub title: String,
    pub open: bool,
    /// What it waits for: met or not, in words.
    pub waits: Vec<(bool, String)>,
    pub at: At,
}
