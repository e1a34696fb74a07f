//! What the evidence supports: state, reasons and margin of every claim; coverage; route.

use super::Day;
use super::governance::{Severity, TreeKind};
use super::workings::WorkingId;
use crate::diag::At;

/// State of a claim, in rising order. `NotApplicable` is left out of every combination.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    Contradicted,
    NotYet,
    WithConditions,
    Supported,
    NotApplicable,
}

impl State {
    /// The word of the machine output.
    pub fn word(self) -> &'static str {
        match self {
            Self::Contradicted => "contradicted",
            Self::NotYet => "not-yet",
            Self::WithConditions => "with-conditions",
            Self::Supported => "supported",
            Self::NotApplicable => "not-applicable",
        }
    }
    /// One letter, so that no page needs colour.
    pub fn letter(self) -> &'static str {
        match self {
            Self::Contradicted => "X",
            Self::NotYet => "N",
            Self::WithConditions => "C",
            Self::Supported => "S",
            Self::NotApplicable => "NA",
        }
    }
}

/// Why a claim is not (fully) supported.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Code {
    Missing,
    Planned,
    ExpiredAge,
    ExpiredChange,
    LotMismatch,
    NotCovered,
    Inadmissible,
    Marginal,
    Conflict,
    NotShown,
    UnreportedRun,
    OpenDefeater,
    Assumption,
    ConditionIncomplete,
    ConditionConflict,
    CriterionMissing,
    CriterionAfterData,
    InputEstimated,
    AcceptedRisk,
    AwaitingSignature,
    TooManyConditions,
}

impl Code {
    pub fn word(self) -> &'static str {
        match self {
            Self::Missing => "MISSING",
            Self::Planned => "PLANNED",
            Self::ExpiredAge => "EXPIRED_AGE",
            Self::ExpiredChange => "EXPIRED_CHANGE",
            Self::LotMismatch => "LOT_MISMATCH",
            Self::NotCovered => "NOT_COVERED",
            Self::Inadmissible => "INADMISSIBLE",
            Self::Marginal => "MARGINAL",
            Self::Conflict => "CONFLICT",
            Self::NotShown => "NOT_SHOWN",
            Self::UnreportedRun => "UNREPORTED_RUN",
            Self::OpenDefeater => "OPEN_DEFEATER",
            Self::Assumption => "ASSUMPTION",
            Self::ConditionIncomplete => "CONDITION_INCOMPLETE",
            Self::ConditionConflict => "CONDITION_CONFLICT",
            Self::CriterionMissing => "CRITERION_MISSING",
            Self::CriterionAfterData => "CRITERION_AFTER_DATA",
            Self::InputEstimated => "INPUT_ESTIMATED",
            Self::AcceptedRisk => "ACCEPTED-RISK",
            Self::AwaitingSignature => "AWAITING_SIGNATURE",
            Self::TooManyConditions => "TOO_MANY_CONDITIONS",
        }
    }
}

/// Verdict of a run on one claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    Fail,
    Inadmissible,
    NotShown,
    Marginal,
    Pass,
    Planned,
    Informative,
}

impl Verdict {
    pub fn word(self) -> &'static str {
        match self {
            Self::Fail => "fail",
            Self::Inadmissible => "inadmissible",
            Self::NotShown => "not-shown",
            Self::Marginal => "marginal",
            Self::Pass => "pass",
            Self::Planned => "planned",
            Self::Informative => "informative",
        }
    }
}

/// One gate of admissibility on one run.
#[derive(Debug, Clone, PartialEq)]
pub struct GateResult {
    /// G1 to G12.
    pub gate: &'static str,
    pub effect: GateEffect,
    /// What was compared, with numbers.
    pub text: String,
    pub at: At,
}

/// What a gate does to the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GateEffect {
    Passed,
    /// Counts, and raises a small doubt.
    Minor,
    /// Counts for a claim with conditions at best.
    CapConditional,
    /// May raise doubts, never supports (registered after the data).
    Exploratory,
    /// Keeps its verdict and no longer counts.
    Expired,
    Inadmissible,
}

/// What one run is worth.
#[derive(Debug, Clone)]
pub struct RunStanding {
    pub run: String,
    pub gates: Vec<GateResult>,
    /// Worst effect of all gates.
    pub effect: GateEffect,
    /// First gate that did not pass, or "".
    pub first_failed: &'static str,
    /// Worst verdict over all of its outcomes, regardless of any claim.
    pub verdict: Verdict,
    pub expires: Option<Day>,
    /// For pages: "used", "informative", "inadmissible", "pending", "excluded", "exploratory", "expired".
    pub role: &'static str,
}

/// How one dimension of coverage came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cover {
    Not,
    Bridged,
    Covered,
    /// The dimension does not speak of this place.
    NotNeeded,
}

impl Cover {
    pub fn sign(self) -> &'static str {
        match self {
            Self::Not => "-",
            Self::Bridged => "B",
            Self::Covered => "=",
            Self::NotNeeded => ".",
        }
    }
}

/// One cell of the coverage matrix: what a run's cell offers in one dimension against what the place needs.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverCell {
    /// K1 to K21.
    pub dimension: &'static str,
    pub cover: Cover,
    /// What was tested, as text with unit.
    pub tested: String,
    /// What the place needs.
    pub needed: String,
    /// True when the test is no more severe than the place in this dimension.
    pub no_more_severe: bool,
    pub bridge: Option<String>,
}

/// Coverage of one place for one claim by one run's cell.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverRow {
    pub claim: String,
    pub place: String,
    pub run: String,
    pub cell: String,
    pub pattern: String,
    pub cells: Vec<CoverCell>,
}

/// What one run says of one claim at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Voice {
    pub run: String,
    pub cell: String,
    pub pattern: String,
    pub criterion: String,
    pub verdict: Verdict,
    /// P, Pb, M, H, Hs, no-support, or the reason why it does not count.
    pub counts_as: &'static str,
    pub value: f64,
    pub guard: f64,
    pub limit: f64,
    pub margin: f64,
    pub unit: String,
    pub n: usize,
    pub n_eff: usize,
    pub reason: String,
    pub working: WorkingId,
    pub at: At,
}

/// A reason with its code, words and place.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    pub code: Code,
    /// Dimension, gate, run or id in brackets, or "".
    pub detail: String,
    pub text: String,
    pub at: Option<At>,
}

/// A claim of one tree of one assembly, judged.
#[derive(Debug, Clone)]
pub struct ClaimResult {
    pub id: String,
    pub tree: TreeKind,
    pub parent: Option<String>,
    pub title: String,
    pub text: String,
    /// Kind of rule, or "all" / "any".
    pub rule: String,
    pub leaf: bool,
    /// Judged after issue, so not part of the technical state.
    pub after_issue: bool,
    pub state: State,
    pub reasons: Vec<Reason>,
    /// Guarded statistic at the worst place, limit, guard, margin; NaN where the rule has no number.
    pub value: f64,
    pub limit: f64,
    pub guard: f64,
    pub margin: f64,
    pub unit: String,
    pub n: usize,
    pub statistic: String,
    pub criterion: String,
    /// Worst place.
    pub place: String,
    /// Every place with its own state and one line of words.
    pub places: Vec<PlaceResult>,
    /// Runs that carry it.
    pub runs: Vec<String>,
    pub voices: Vec<Voice>,
    pub conditions: Vec<String>,
    pub assumptions: Vec<String>,
    pub bridges: Vec<String>,
    pub waivers: Vec<String>,
    pub defeaters: Vec<String>,
    pub valid_until: Option<Day>,
    /// What `valid_until` comes from.
    pub valid_until_from: String,
    pub next_action: String,
    /// Workings that the verdict rests on.
    pub workings: Vec<WorkingId>,
    /// Facts that an inspection looked at: words, place.
    pub looked_at: Vec<(String, At)>,
}

/// State of a claim at one place.
#[derive(Debug, Clone)]
pub struct PlaceResult {
    pub place: String,
    pub state: State,
    pub text: String,
    pub value: f64,
    pub limit: f64,
    pub margin: f64,
    pub unit: String,
    pub run: String,
    /// The working behind the value, where one is known.
    pub working: Option<WorkingId>,
    /// What was tested, where the value stands not there but at the limit of a condition.
    pub tested: Option<Tested>,
    /// Why the number does not count, in a few words; none when it counts.
    pub aside: Option<String>,
}

/// What was tested at a place that a condition keeps below the test.
#[derive(Debug, Clone)]
pub struct Tested {
    /// What was tested and what the condition keeps: "200 ug/cm2", "160 ug/cm2".
    pub at: String,
    pub kept: String,
    pub condition: String,
    /// In the unit of the place.
    pub value: f64,
    pub margin: f64,
    pub working: WorkingId,
}

impl PlaceResult {
    /// Powers of ten to the limit, as places are ranked; NaN when there is no number, or none that counts.
    pub fn distance(&self) -> f64 {
        if self.aside.is_some() {
            return f64::NAN;
        }
        crate::quantity::distance(self.value, self.limit, self.margin, &self.unit)
    }
}

/// A doubt: raised by galipot or by a person, with what became of it.
#[derive(Debug, Clone)]
pub struct Defeater {
    /// For example `DF5:C3.3:RUN-108`; stable as long as its cause stands.
    pub id: String,
    /// DF1 to DF26, or "" for a person's doubt.
    pub standard: &'static str,
    pub claim: String,
    pub severity: Severity,
    pub text: String,
    pub status: DefeaterStatus,
    pub answer: String,
    pub answered_by: String,
    pub at: Option<At>,
}

/// What became of a doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum DefeaterStatus {
    Confirmed,
    Open,
    Accepted,
    Refuted,
    /// Listed for the reader; caps nothing.
    Noted,
}

impl DefeaterStatus {
    pub fn word(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::Open => "open",
            Self::Accepted => "accepted",
            Self::Refuted => "refuted",
            Self::Noted => "noted",
        }
    }
}

/// A condition in force, checked.
#[derive(Debug, Clone)]
pub struct ConditionResult {
    pub id: String,
    pub claims: Vec<String>,
    /// What it lacks; empty when complete.
    pub lacks: Vec<String>,
    pub due: Option<Day>,
}

/// Route of an assembly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Route {
    Leave,
    LeaveWithConditions,
    WashSaponified,
    KeepPresent,
    NoSupportedRoute,
    NotYet,
}

impl Route {
    pub fn word(self) -> &'static str {
        match self {
            Self::Leave => "leave",
            Self::LeaveWithConditions => "leave-with-conditions",
            Self::WashSaponified => "wash-saponified",
            Self::KeepPresent => "keep-present",
            Self::NoSupportedRoute => "no-supported-route",
            Self::NotYet => "not-yet",
        }
    }
}

/// One leg of the triad at one place: moisture, bias, ions.
#[derive(Debug, Clone)]
pub struct Leg {
    /// "moisture", "bias", "ions".
    pub leg: &'static str,
    /// Shown to be broken, leaned on without proof, or present.
    pub broken: bool,
    pub text: String,
    pub claims: Vec<String>,
    pub workings: Vec<WorkingId>,
}

/// The triad at one critical place.
#[derive(Debug, Clone)]
pub struct Triad {
    pub place: String,
    pub why_critical: String,
    pub legs: Vec<Leg>,
}

/// Planned against reported.
#[derive(Debug, Clone, Default)]
pub struct RunCount {
    pub planned: usize,
    pub registered: usize,
    pub used: usize,
    pub informative: usize,
    pub inadmissible: usize,
    pub excluded: usize,
    pub exploratory: usize,
    /// Too old to count.
    pub expired: usize,
    pub pending: usize,
    pub unreported: Vec<String>,
}

/// One assembly, judged in all three trees.
#[derive(Debug, Clone)]
pub struct AssemblyResult {
    pub id: String,
    pub rev: String,
    pub route: Route,
    /// State of the leave tree.
    pub state: State,
    pub wash_state: State,
    pub present_state: State,
    /// For a route that is not yet found: "keep-present", "wash-saponified", "no-supported-interim".
    pub interim: Option<&'static str>,
    pub claims: Vec<ClaimResult>,
    pub conditions: Vec<ConditionResult>,
    pub defeaters: Vec<Defeater>,
    pub coverage: Vec<CoverRow>,
    pub triads: Vec<Triad>,
    pub valid_until: Option<Day>,
    pub valid_until_from: String,
    /// Unwashed lots must not ship until this is closed.
    pub stop_ship: Vec<String>,
    pub runs: RunCount,
    /// Criteria and runs that no claim uses.
    pub unused: Vec<String>,
}

impl AssemblyResult {
    pub fn claim(&self, tree: TreeKind, id: &str) -> Option<&ClaimResult> {
        self.claims.iter().find(|c| c.tree == tree && c.id == id)
    }
}

/// All of a site, judged.
#[derive(Debug, Clone)]
pub struct Assessment {
    pub as_of: Day,
    pub assemblies: Vec<AssemblyResult>,
    pub standings: Vec<RunStanding>,
    /// True when `--set` replaced anything.
    pub what_if: bool,
}
