//! Takes states, routes, codes and dimensions; gives the words that a reader of the trade uses for them.

use crate::model::assessment::{AssemblyResult, Code, GateEffect, Route, State, Verdict};
use crate::model::governance::{Sense, Statistic, TreeKind};

/// What a state says of a claim.
pub fn state(s: State) -> &'static str {
    match s {
        State::Contradicted => "contradicted",
        State::NotYet => "not supported yet",
        State::WithConditions => "supported with conditions",
        State::Supported => "supported",
        State::NotApplicable => "not applicable",
    }
}

/// Route in capitals, for one line of a terminal.
pub fn route_short(r: Route) -> &'static str {
    match r {
        Route::Leave => "LEAVE",
        Route::LeaveWithConditions => "LEAVE WITH CONDITIONS",
        Route::WashSaponified => "WASH (SAPONIFIED)",
        Route::KeepPresent => "KEEP PRESENT PROCESS",
        Route::NoSupportedRoute => "NO SUPPORTED ROUTE",
        Route::NotYet => "NOT YET",
    }
}

/// What is done until an assembly that is not yet decided is decided.
pub fn interim(i: Option<&str>) -> Option<&'static str> {
    match i {
        Some("keep-present") => Some("until then keep the present process"),
        Some("wash-saponified") => Some("until then wash with saponifier"),
        Some("no-supported-interim") => Some("no supported interim"),
        _ => None,
    }
}

/// Waivers that the route rests on: ids in order. What is not to be accepted rests on none.
pub fn waivers(r: &AssemblyResult) -> &[String] {
    match r.route {
        Route::NotYet | Route::NoSupportedRoute => &[],
        _ => waivers_of(r, tree_of(r)),
    }
}

/// Waivers that the root of a tree rests on.
fn waivers_of(r: &AssemblyResult, tree: TreeKind) -> &[String] {
    r.claims.iter().find(|c| c.tree == tree && c.parent.is_none()).map_or(&[], |c| &c.waivers)
}

/// "waiver WV-1", or "waivers WV-1, WV-2".
pub fn waivers_named(ids: &[String]) -> String {
    format!("{} {}", if ids.len() == 1 { "waiver" } else { "waivers" }, ids.join(", "))
}

fn waivers_in_capitals(ids: &[String]) -> String {
    format!("{} {}", if ids.len() == 1 { "WAIVER" } else { "WAIVERS" }, ids.join(", "))
}

/// The answer to "may the residue stay?", in capitals; `conditions` counts those of the route. What rests on a waiver is
/// no yes.
pub fn answer(r: &AssemblyResult, conditions: usize) -> String {
    let waivers = waivers(r);
    if !waivers.is_empty() {
        let what = match r.route {
            Route::WashSaponified => "NO: WASH WITH SAPONIFIER, RELEASED",
            Route::KeepPresent => "NO: KEEP THE PRESENT PROCESS, RELEASED",
            _ => "NOT SHOWN: RELEASED",
        };
        let and = match conditions {
            0 => String::new(),
            1 => " AND 1 CONDITION".into(),
            n => format!(" AND {n} CONDITIONS"),
        };
        return format!("{what} ONLY UNDER {}{and}", waivers_in_capitals(waivers));
    }
    match r.route {
        Route::Leave => "YES: LEAVE".into(),
        Route::LeaveWithConditions if conditions == 1 => "YES, WITH 1 CONDITION".into(),
        Route::LeaveWithConditions => format!("YES, WITH {conditions} CONDITIONS"),
        Route::WashSaponified => "NO: WASH WITH SAPONIFIER".into(),
        Route::KeepPresent => "NO: KEEP THE PRESENT PROCESS".into(),
        Route::NoSupportedRoute => "NO SUPPORTED ROUTE".into(),
        Route::NotYet => match interim(r.interim) {
            Some(i) => format!("NOT YET; {}", i.to_uppercase()),
            None => "NOT YET".into(),
        },
    }
}

/// What the reader is to do, in a sentence or two.
pub fn meaning(r: &AssemblyResult) -> String {
    let waivers = waivers(r);
    let mut out: String = match (r.route, r.interim) {
        (Route::Leave | Route::LeaveWithConditions, _) if !waivers.is_empty() => {
            "Evidence does not show that the residue of the named process may stay. The customer released it for the scope, \
             use and time of the waiver below, and for nothing else, as long as every condition below holds."
        }
        (Route::Leave, _) => "The residue of the named process may stay, within the limits of use below.",
        (Route::LeaveWithConditions, _) => {
            "The residue of the named process may stay as long as every condition below holds, within the limits of use."
        }
        (Route::WashSaponified, _) => {
            "Evidence contradicts leaving the residue. Wash with the saponifier under the conditions of that route."
        }
        (Route::KeepPresent, _) => {
            "Evidence contradicts leaving the residue, and the saponified wash is not shown. Keep the present process."
        }
        (Route::NoSupportedRoute, _) => {
            "Evidence contradicts leaving the residue, and neither wash is shown. Redesign, or a concession with containment."
        }
        (Route::NotYet, Some("keep-present")) => {
            "Leaving the residue is not shown yet. Until it is, keep the present process, which is supported."
        }
        (Route::NotYet, Some("wash-saponified")) => {
            "Leaving the residue is not shown yet. Until it is, wash with saponifier, which is supported."
        }
        (Route::NotYet, _) => {
            "Leaving the residue is not shown yet, and neither is any other route. Contain, and close the open claims. \
             The present process is not thereby shown to be harmless."
        }
    }
    .into();
    let under = match (r.route, r.interim) {
        (Route::WashSaponified | Route::KeepPresent, _) => waivers,
        (Route::NotYet, Some("keep-present")) => waivers_of(r, TreeKind::Present),
        (Route::NotYet, Some("wash-saponified")) => waivers_of(r, TreeKind::Wash),
        _ => &[],
    };
    if !under.is_empty() {
        out.push_str(&format!(" That route is not shown in full: it rests on {}.", waivers_named(under)));
    }
    out
}

/// Which tree carries the route.
pub fn tree_of(r: &AssemblyResult) -> TreeKind {
    match (r.route, r.interim) {
        (Route::WashSaponified, _) => TreeKind::Wash,
        (Route::KeepPresent, _) => TreeKind::Present,
        _ => TreeKind::Leave,
    }
}

/// Name of a tree in a sentence.
pub fn tree(t: TreeKind) -> &'static str {
    match t {
        TreeKind::Leave => "leave the residue",
        TreeKind::Wash => "wash with saponifier",
        TreeKind::Present => "keep the present process",
    }
}

/// A reason code in words.
pub fn code(c: Code) -> &'static str {
    match c {
        Code::Missing => "evidence is missing",
        Code::Planned => "planned, not yet reported",
        Code::ExpiredAge => "evidence is too old",
        Code::ExpiredChange => "changed since the test",
        Code::LotMismatch => "another lot was tested",
        Code::NotCovered => "the test does not cover this place",
        Code::Inadmissible => "the run does not count",
        Code::Marginal => "the limit lies inside the guard band",
        Code::Conflict => "evidence conflicts",
        Code::NotShown => "too few readings or too much spread to show it",
        Code::UnreportedRun => "a planned run is not reported",
        Code::OpenDefeater => "a doubt is open",
        Code::Assumption => "an assumption is open or overdue",
        Code::ConditionIncomplete => "a condition is incomplete",
        Code::ConditionConflict => "two conditions cannot both hold",
        Code::CriterionMissing => "no limit is agreed",
        Code::CriterionAfterData => "the limit was agreed after the data",
        Code::InputEstimated => "an input is estimated",
        Code::AcceptedRisk => "a risk is accepted, not shown to be absent",
        Code::AwaitingSignature => "awaiting signature",
        Code::TooManyConditions => "more conditions than were agreed to be bearable",
    }
}

/// A verdict of a run in words.
pub fn verdict(v: Verdict) -> &'static str {
    match v {
        Verdict::Fail => "FAIL",
        Verdict::Inadmissible => "inadmissible",
        Verdict::NotShown => "not shown",
        Verdict::Marginal => "marginal",
        Verdict::Pass => "pass",
        Verdict::Planned => "planned",
        Verdict::Informative => "informative",
    }
}

/// What a gate did.
pub fn effect(e: GateEffect) -> &'static str {
    match e {
        GateEffect::Passed => "passed",
        GateEffect::Minor => "small doubt",
        GateEffect::CapConditional => "counts with conditions at best",
        GateEffect::Exploratory => "exploratory: never supports",
        GateEffect::Expired => "too old to count",
        GateEffect::Inadmissible => "inadmissible",
    }
}

/// The machine word of a gate's effect.
pub fn effect_word(e: GateEffect) -> &'static str {
    match e {
        GateEffect::Passed => "passed",
        GateEffect::Minor => "minor",
        GateEffect::CapConditional => "cap-conditional",
        GateEffect::Exploratory => "exploratory",
        GateEffect::Expired => "expired",
        GateEffect::Inadmissible => "inadmissible",
    }
}

/// What a gate asks.
pub fn gate(g: &str) -> &'static str {
    match g {
        "G1" => "files intact",
        "G2" => "registered before the data",
        "G3" => "laboratory in scope",
        "G4" => "instruments calibrated",
        "G5" => "chamber inside tolerance",
        "G6" => "controls in order",
        "G7" => "materials and lots known",
        "G8" => "wash history right",
        "G9" => "sampled often enough",
        "G10" => "channels complete",
        "G11" => "second person",
        "G12" => "young enough",
        _ => "",
    }
}

/// The coverage dimensions in order.
pub const DIMENSIONS: [(&str, &str); 21] = [
    ("K1", "flux formulation"),
    ("K2", "alloy"),
    ("K3", "powder type"),
    ("K4", "flux stack"),
    ("K5", "flux dose and heat"),
    ("K6", "reflow"),
    ("K7", "body class, gap and fill"),
    ("K8", "conductor spacing"),
    ("K9", "field and voltage"),
    ("K10", "kind of bias"),
    ("K11", "finish"),
    ("K12", "solder mask"),
    ("K13", "laminate"),
    ("K14", "coating"),
    ("K15", "climate"),
    ("K16", "duration"),
    ("K17", "line"),
    ("K18", "wiping"),
    ("K19", "ageing"),
    ("K20", "incoming ions"),
    ("K21", "lots"),
];

/// Name of a coverage dimension.
pub fn dimension(k: &str) -> &'static str {
    DIMENSIONS.iter().find(|d| d.0 == k).map_or("", |d| d.1)
}

/// Sign of a comparison.
pub fn sense(s: Sense) -> &'static str {
    match s {
        Sense::Ge => "at least",
        Sense::Le => "at most",
        Sense::In => "within",
    }
}

/// A statistic in words.
pub fn statistic(s: Statistic) -> &'static str {
    match s {
        Statistic::Each => "each value",
        Statistic::Mean => "mean",
        Statistic::Ltb => "lower tolerance bound",
        Statistic::Utb => "upper tolerance bound",
        Statistic::Ratio => "ratio",
        Statistic::Cpk => "lower bound of Cpk",
        Statistic::Difference => "bound of the difference",
        Statistic::Shift => "bound of the paired shift",
        Statistic::UpperLimit => "upper bound of the share",
    }
}
