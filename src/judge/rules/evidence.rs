//! The rule of evidence: runs, under criteria, at every place, as far as their vehicles cover it.

use crate::judge::conditions::earlier;
use crate::judge::court::{Case, wash_matches};
use crate::judge::coverage::{self, Cell, Found, TOGETHER};
use crate::judge::finding::{Write, blank, lower};
use crate::judge::places::Place;
use crate::judge::verdict::verdict;
use crate::model::assessment::{
    ClaimResult, Code, Cover, CoverCell, CoverRow, GateEffect, PlaceResult, State, Verdict, Voice,
};
use crate::model::evidence::{PatternKind, RunKind};
use crate::model::governance::{ClaimSpec, Criterion, Org, Per, WashState};
use crate::model::workings::{Outcome, SampleSet};

/// What one outcome counts as at one place.
struct Heard {
    voice: Voice,
    founds: Vec<(CoverCell, Found)>,
    /// P, Pb, M, Hs, H or none.
    weight: Weight,
    conditions: Vec<String>,
    bridges: Vec<String>,
    capped: bool,
    expires: Option<crate::model::Day>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Weight {
    Pass,
    Bridged,
    Marginal,
    /// Failed on a vehicle no more severe.
    Fail,
    /// Failed on a vehicle more severe, or not comparable.
    HarsherFail,
    None,
}

/// Judges a leaf by evidence. Coverage rows go to `rows`.
pub fn judge(case: &Case, spec: &ClaimSpec, rows: &mut Vec<CoverRow>) -> ClaimResult {
    let mut out = blank(spec);
    let claim = spec.id.text.as_str();
    let per = spec.per.unwrap_or(Per::Assembly);
    let places = case.places(per);
    if let Some(na) = not_applicable(case, spec, per, &places, &mut out) {
        return na;
    }
    // The dew-point margin belongs to the argument of dryness, not to a test.
    let criteria: Vec<&Criterion> =
        case.criteria(claim).into_iter().filter(|c| c.quantity.text != "dew_margin").collect();
    if criteria.is_empty() {
        out.reason(Code::CriterionMissing, "", "no criterion is agreed for this claim", Some(spec.at));
    }
    let unreported = case.unreported(claim);
    out.state = State::Supported;
    for place in &places {
        if let Some(c) = case.excluding(&place.name) {
            out.rests_on(case, &c.id.text);
            out.place_state(&place.name, State::WithConditions, format!("out of use by {}", c.id));
            out.cap(State::WithConditions);
            continue;
        }
        let mut state = State::Supported;
        for criterion in &criteria {
            state = lower(state, at_place(case, spec, place, criterion, &mut out, rows));
        }
        if criteria.is_empty() {
            state = State::NotYet;
        }
        if !out.places.iter().any(|p| p.place == place.name) {
            out.place_state(&place.name, state, "");
        }
        out.state = lower(out.state, state);
    }
    for id in unreported {
        out.reason(Code::Planned, id, format!("{id} is planned for this claim and not reported"), None);
        out.cap(State::NotYet);
    }
    worst_voice(&mut out, &places);
    out
}

/// Statements that a claim does not apply, and the conflicts that they may hold.
fn not_applicable(
    case: &Case,
    spec: &ClaimSpec,
    per: Per,
    places: &[Place],
    out: &mut ClaimResult,
) -> Option<ClaimResult> {
    let claim = &spec.id.text;
    let statement = case.a.not_applicable.iter().find(|n| n.claim.text == *claim);
    let planned = !case.runs(claim).is_empty() || !case.unreported(claim).is_empty();
    match statement {
        Some(s) if (per == Per::Assembly && planned) || (per != Per::Assembly && !places.is_empty()) => {
            out.reason(
                Code::Conflict,
                "",
                "it is stated not to apply, and yet the site has places or runs for it",
                Some(s.at),
            );
            out.state = State::NotYet;
            Some(out.clone())
        }
        Some(s) => {
            out.state = State::NotApplicable;
            out.saw(format!("{} ({}; {} {})", s.reason, s.proof, s.by, s.on), s.at);
            Some(out.clone())
        }
        None if places.is_empty() => {
            let sealed: Vec<_> = case.a.contacts.iter().filter(|c| c.sealed).collect();
            if per == Per::Contact && !sealed.is_empty() {
                out.state = State::NotApplicable;
                for c in sealed {
                    out.saw(format!("{} of {} is sealed", c.id, c.refdes), c.at);
                }
            } else {
                out.reason(
                    Code::Missing,
                    per.word(),
                    format!("no place of this kind ({}) is listed, and nobody states that there is none", per.word()),
                    Some(case.a.assembly.at),
                );
                out.state = State::NotYet;
            }
            Some(out.clone())
        }
        None => None,
    }
}

/// One criterion at one place.
fn at_place(
    case: &Case,
    spec: &ClaimSpec,
    place: &Place,
    criterion: &Criterion,
    out: &mut ClaimResult,
    rows: &mut Vec<CoverRow>,
) -> State {
    let heard = listen(case, spec, place, criterion, rows);
    let mut state = weigh(case, spec, place, criterion, &heard, out);
    if heard.is_empty() {
        out.reason(
            Code::Missing,
            place.name.clone(),
            format!("no run reports {} at {} under {}", criterion.quantity, place.name, criterion.id),
            Some(criterion.at),
        );
        state = lower(state, State::NotYet);
    }
    let best = heard
        .iter()
        .filter(|h| matches!(h.weight, Weight::Pass | Weight::Bridged | Weight::Marginal))
        .min_by(|a, b| a.voice.margin.total_cmp(&b.voice.margin))
        .or_else(|| heard.iter().min_by(|a, b| a.voice.margin.total_cmp(&b.voice.margin)));
    if let Some(h) = best {
        out.places.push(PlaceResult {
            place: place.name.clone(),
            state,
            text: h.voice.reason.clone(),
            value: h.voice.value,
            limit: h.voice.limit,
            margin: h.voice.margin,
            unit: h.voice.unit.clone(),
            run: h.voice.run.clone(),
        });
    }
    for h in heard {
        if !out.runs.contains(&h.voice.run) && !matches!(h.weight, Weight::None) {
            out.runs.push(h.voice.run.clone());
        }
        if !out.workings.contains(&h.voice.working) {
            out.workings.push(h.voice.working);
        }
        out.voices.push(h.voice);
    }
    state
}

/// Everything that any run says of this criterion at this place.
fn listen(case: &Case, spec: &ClaimSpec, place: &Place, criterion: &Criterion, rows: &mut Vec<CoverRow>) -> Vec<Heard> {
    let claim = spec.id.text.as_str();
    let washed = spec.washed.unwrap_or(WashState::Any);
    let mut heard = Vec::new();
    for r in case.runs(claim) {
        let run = &r.run;
        for o in
            case.court.workings.outcomes.iter().filter(|o| o.run == run.id.text && o.criterion == criterion.id.text)
        {
            let set = case.court.set(o);
            if !set_matches(case, place, set) {
                continue;
            }
            let builds = case.builds(run, set, washed);
            let any_build = !run.builds.is_empty();
            if any_build && builds.is_empty() {
                // Another product, or another wash history: it does not speak of this claim.
                if case
                    .site()
                    .builds_of(run)
                    .any(|(v, b)| v.assembly.as_ref().is_none_or(|x| x.text == case.id()) && !wash_matches(washed, b))
                {
                    heard.push(silent(o, set, "G8: another wash history"));
                }
                continue;
            }
            let mut cells: Vec<Cell> = builds
                .iter()
                .map(|&(vehicle, build)| Cell {
                    claim,
                    run,
                    vehicle,
                    build,
                    pattern: case.site().pattern(&vehicle.id, &set.place),
                    criterion,
                })
                .collect();
            cells.retain(|c| stack_matches(place, c));
            if any_build && cells.is_empty() {
                continue;
            }
            let founds = match cells.first() {
                Some(cell) => coverage::cells(case, claim, &spec.covers, place, cell),
                None => Vec::new(),
            };
            if !founds.is_empty() {
                rows.push(CoverRow {
                    claim: claim.to_string(),
                    place: place.name.clone(),
                    run: run.id.text.clone(),
                    cell: set.cell.clone(),
                    pattern: set.place.clone(),
                    cells: founds.iter().map(|f| f.0.clone()).collect(),
                });
            }
            heard.push(weight_of(case, o, set, founds, criterion, !spec.covers.is_empty() && cells.is_empty()));
        }
    }
    rows.dedup();
    heard
}

/// Whether a sample set speaks of a place.
fn set_matches(case: &Case, place: &Place, set: &SampleSet) -> bool {
    let all = set.place == "all" || set.place == "board" || set.place.is_empty();
    match place.per {
        Per::Assembly => true,
        Per::Open | Per::Overlap => matches!(set.pattern, Some(PatternKind::Comb | PatternKind::Mixed)),
        Per::LiquidZone => {
            matches!(set.pattern, Some(PatternKind::Comb | PatternKind::Mixed)) || set.place == place.name || all
        }
        Per::Body => match set.pattern {
            Some(PatternKind::Body) => same_class(case, place, set),
            None => set.place == place.name,
            Some(_) => false,
        },
        Per::LowGap => match set.pattern {
            Some(PatternKind::Body) => same_class(case, place, set),
            None => set.place == place.name || all,
            Some(_) => false,
        },
        _ => set.place == place.name || all,
    }
}

fn same_class(case: &Case, place: &Place, set: &SampleSet) -> bool {
    let Some(c) = place.component else { return false };
    case.site()
        .vehicles
        .iter()
        .filter(|v| v.build.iter().any(|b| b.id.text == set.build))
        .flat_map(|v| v.pattern.iter())
        .any(|p| p.id.text == set.place && p.body_class == Some(c.body_class))
}

/// A cell with other fluxes than the place sees is about another surface.
fn stack_matches(place: &Place, cell: &Cell) -> bool {
    if cell.vehicle.assembly.is_some() {
        return true;
    }
    let theirs = &cell.build.flux;
    match place.per {
        Per::Open | Per::Body | Per::LowGap | Per::HighVoltage | Per::Pair => theirs.len() <= place.fluxes.len().max(1),
        Per::Overlap | Per::LiquidZone => theirs.iter().any(|b| {
            place.fluxes.iter().skip(usize::from(place.fluxes.len() > 1)).any(|f| f.flux.text == b.material.text)
        }),
        _ => true,
    }
}

fn voice_of(o: &Outcome, set: &SampleSet, verdict: Verdict, counts_as: &'static str, reason: String) -> Voice {
    let sign = if o.margin.is_nan() { f64::NAN } else { o.margin };
    // Printed value is the statistic after the guard band, on the side of caution.
    let lower_is_worse = (o.value - o.limit - o.guard - o.margin).abs() <= 1e-6 * (1.0 + o.value.abs());
    let value = if lower_is_worse { o.value - o.guard } else { o.value + o.guard };
    Voice {
        run: o.run.clone(),
        cell: set.cell.clone(),
        pattern: set.place.clone(),
        criterion: o.criterion.clone(),
        verdict,
        counts_as,
        value,
        guard: o.guard,
        limit: o.limit,
        margin: sign,
        unit: o.unit.clone(),
        n: o.n,
        n_eff: o.n_eff,
        reason,
        working: o.working,
        at: o.worst_at,
    }
}

fn silent(o: &Outcome, set: &SampleSet, why: &'static str) -> Heard {
    Heard {
        voice: voice_of(o, set, verdict(o).0, why, String::new()),
        founds: Vec::new(),
        weight: Weight::None,
        conditions: Vec::new(),
        bridges: Vec::new(),
        capped: false,
        expires: None,
    }
}

/// What an outcome counts as, by the standing of its run and its coverage.
fn weight_of(
    case: &Case,
    o: &Outcome,
    set: &SampleSet,
    founds: Vec<(CoverCell, Found)>,
    criterion: &Criterion,
    no_cell: bool,
) -> Heard {
    let standing = case.court.standing(&o.run);
    let run = &case.site().run(&o.run).expect("outcomes come from runs").run;
    let (v, why) = verdict(o);
    let agreed = case.site().criteria_sets.iter().find(|s| s.id.text == criterion.set.text).map(|s| s.agreed_on);
    let after_data = agreed.is_none_or(|d| d >= run.start.day);
    let not: Vec<&str> = founds
        .iter()
        .filter(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension))
        .map(|(c, _)| c.dimension)
        .collect();
    let bridges: Vec<String> = founds.iter().filter_map(|(c, _)| c.bridge.clone()).collect();
    let severe = founds.iter().any(|(c, _)| !c.no_more_severe);
    let missed_drops = o.run_kind == RunKind::Sir
        && set.quantity == "drops"
        && standing.gates.iter().any(|g| g.gate == "G9" && g.effect != GateEffect::Passed);
    let (weight, counts_as): (Weight, &'static str) = if standing.role == "informative" {
        (Weight::None, "informative only")
    } else if standing.role == "excluded" {
        (Weight::None, "excluded")
    } else if standing.effect == GateEffect::Inadmissible {
        (Weight::None, "inadmissible")
    } else if standing.effect == GateEffect::Exploratory {
        (Weight::None, "exploratory")
    } else if missed_drops {
        (Weight::None, "inadmissible: readings too far apart")
    } else if after_data {
        (Weight::None, "criterion agreed after the data")
    } else if v == Verdict::Fail {
        if !severe && !no_cell { (Weight::Fail, "H") } else { (Weight::HarsherFail, "Hs") }
    } else if standing.effect == GateEffect::Expired {
        (Weight::None, "expired")
    } else if v == Verdict::NotShown {
        (Weight::None, "not shown")
    } else if no_cell {
        (Weight::None, "no build is named")
    } else if !not.is_empty() {
        (Weight::None, "not covered")
    } else if v == Verdict::Marginal {
        (Weight::Marginal, "M")
    } else if !bridges.is_empty() {
        (Weight::Bridged, "Pb")
    } else {
        (Weight::Pass, "P")
    };
    Heard {
        voice: voice_of(o, set, v, counts_as, why),
        founds,
        weight,
        conditions: run.under.iter().map(|c| c.text.clone()).collect(),
        bridges,
        capped: standing.effect == GateEffect::CapConditional,
        expires: standing.expires,
    }
}

/// The algorithm of the leaf at one place under one criterion.
fn weigh(
    case: &Case,
    spec: &ClaimSpec,
    place: &Place,
    criterion: &Criterion,
    heard: &[Heard],
    out: &mut ClaimResult,
) -> State {
    let claim = spec.id.text.as_str();
    let mut state = State::Supported;
    // Fails first: nothing outweighs them.
    for h in heard.iter().filter(|h| h.weight == Weight::Fail) {
        match outside_cause(case, claim, &h.voice.run) {
            Outside::Argued(condition) => {
                out.rests_on(case, &condition);
                state = lower(state, State::WithConditions);
            }
            Outside::Incomplete(lacks) => {
                out.reason(
                    Code::OpenDefeater,
                    h.voice.run.clone(),
                    format!("{} failed; its outside cause lacks {}", h.voice.run, lacks.join(", ")),
                    Some(h.voice.at),
                );
                state = lower(state, State::NotYet);
            }
            Outside::None => {
                out.reason(
                    Code::Conflict,
                    h.voice.run.clone(),
                    format!("{} fails at {}: {}", h.voice.run, place.name, h.voice.reason),
                    Some(h.voice.at),
                );
                return State::Contradicted;
            }
        }
    }
    for h in heard.iter().filter(|h| h.weight == Weight::HarsherFail) {
        if let Some(c) = case.answering(claim, &h.voice.run)
            && case.is_complete(c)
        {
            out.rests_on(case, &c.id.text);
            state = lower(state, State::WithConditions);
        }
        // Otherwise the doubt DF5 is raised for it and holds the claim down until it is answered.
    }
    let carrying: Vec<&Heard> =
        heard.iter().filter(|h| matches!(h.weight, Weight::Pass | Weight::Bridged | Weight::Marginal)).collect();
    if carrying.is_empty() {
        explain_absence(place, heard, out);
        return lower(state, State::NotYet);
    }
    // Dimensions that several cells cover together.
    let mut lacking = Vec::new();
    for k in spec.covers.iter().filter(|k| TOGETHER.contains(&k.text.as_str())) {
        let founds: Vec<&Found> = carrying
            .iter()
            .flat_map(|h| h.founds.iter())
            .filter(|(c, _)| c.dimension == k.text)
            .map(|(_, f)| f)
            .collect();
        if founds.iter().any(|f| f.cover == Cover::NotNeeded) && founds.iter().all(|f| f.needs.is_empty()) {
            continue;
        }
        let bridged = carrying
            .iter()
            .flat_map(|h| h.founds.iter())
            .any(|(c, _)| c.dimension == k.text && c.cover == Cover::Bridged);
        let missing = coverage::lacking(&k.text, &founds);
        if !missing.is_empty() && bridged {
            state = lower(state, State::WithConditions);
        } else if !missing.is_empty() {
            lacking.push((k.text.clone(), missing));
        }
    }
    for (k, missing) in &lacking {
        out.reason(
            Code::NotCovered,
            k.clone(),
            format!("{}: {k} is not covered: {}", place.name, missing.join("; ")),
            Some(criterion.at),
        );
        state = lower(state, State::NotYet);
    }
    if !lacking.is_empty() {
        explain_absence(place, heard, out);
    }
    for h in &carrying {
        let (until, run) = (h.expires, h.voice.run.clone());
        earlier(&mut out.valid_until, &mut out.valid_until_from, until, || format!("age of {run}"));
        for b in &h.bridges {
            if !out.bridges.contains(b) {
                out.bridges.push(b.clone());
            }
            let expires = case.site().bridges.iter().find(|x| x.id.text == *b).and_then(|x| x.expires);
            earlier(&mut out.valid_until, &mut out.valid_until_from, expires, || format!("bridge {b}"));
        }
        if h.weight == Weight::Marginal {
            match case.answering(claim, &h.voice.run) {
                Some(c) if case.is_complete(c) => {
                    out.rests_on(case, &c.id.text);
                    state = lower(state, State::WithConditions);
                }
                Some(c) => {
                    out.reason(
                        Code::ConditionIncomplete,
                        c.id.text.clone(),
                        format!("{} lacks {}", c.id, case.lacks(c).join(", ")),
                        Some(c.at),
                    );
                    state = lower(state, State::NotYet);
                }
                None => {
                    out.reason(
                        Code::Marginal,
                        h.voice.run.clone(),
                        format!("{}: {} and no condition answers it", h.voice.run, h.voice.reason),
                        Some(h.voice.at),
                    );
                    state = lower(state, State::NotYet);
                }
            }
        }
        if h.weight == Weight::Bridged {
            state = lower(state, State::WithConditions);
        }
        if h.capped {
            out.reason(
                Code::Inadmissible,
                case.court.standing(&h.voice.run).first_failed,
                format!("{} counts for a claim with conditions at best", h.voice.run),
                None,
            );
            state = lower(state, State::WithConditions);
        }
        for id in &h.conditions {
            let complete = case.site().condition(id).is_some_and(|c| case.is_complete(c));
            if complete {
                out.rests_on(case, id);
                state = lower(state, State::WithConditions);
            } else {
                out.reason(
                    Code::ConditionIncomplete,
                    id.clone(),
                    format!("{} holds only under {id}, which is not complete", h.voice.run),
                    None,
                );
                state = lower(state, State::NotYet);
            }
        }
    }
    let set_valid = case.site().criteria_sets.iter().find(|s| s.id.text == criterion.set.text).and_then(|s| s.valid_to);
    earlier(&mut out.valid_until, &mut out.valid_until_from, set_valid, || format!("criteria set {}", criterion.set));
    state
}

/// Why nothing carries the claim at a place: every voice that does not count says so.
fn explain_absence(place: &Place, heard: &[Heard], out: &mut ClaimResult) {
    for h in heard.iter().filter(|h| h.weight == Weight::None) {
        let at = Some(h.voice.at);
        let run = &h.voice.run;
        match h.voice.counts_as {
            "not shown" => {
                out.reason(Code::NotShown, run.clone(), format!("{run}: {}", h.voice.reason), at);
            }
            "expired" => out.reason(Code::ExpiredAge, run.clone(), format!("{run} is too old to count"), at),
            "exploratory" | "criterion agreed after the data" => {
                out.reason(Code::CriterionAfterData, run.clone(), format!("{run}: {}", h.voice.counts_as), at);
            }
            "not covered" | "no build is named" => {
                let ks: Vec<String> = h
                    .founds
                    .iter()
                    .filter(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension))
                    .map(|(c, _)| format!("{} (tested {}; needed {})", c.dimension, c.tested, c.needed))
                    .collect();
                let detail: Vec<&str> = h
                    .founds
                    .iter()
                    .filter(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension))
                    .map(|(c, _)| c.dimension)
                    .collect();
                let words = if ks.is_empty() { h.voice.counts_as.to_string() } else { ks.join(", ") };
                out.reason(
                    Code::NotCovered,
                    detail.join(","),
                    format!("{}: {run} does not cover it: {words}", place.name),
                    at,
                );
            }
            why if why.starts_with("inadmissible") => {
                out.reason(Code::Inadmissible, run.clone(), format!("{run} is {why}"), at);
            }
            why => out.reason(Code::Missing, run.clone(), format!("{run}: {why}"), at),
        }
    }
    for h in heard.iter().filter(|h| h.weight == Weight::Marginal) {
        out.reason(
            Code::Marginal,
            h.voice.run.clone(),
            format!("{}: {}", h.voice.run, h.voice.reason),
            Some(h.voice.at),
        );
    }
    for h in heard.iter().filter(|h| h.weight == Weight::HarsherFail) {
        out.reason(
            Code::OpenDefeater,
            h.voice.run.clone(),
            format!("{} failed on a harsher or different vehicle: {}", h.voice.run, h.voice.reason),
            Some(h.voice.at),
        );
    }
}

/// State of the argument that the cause of a fail lies outside the claimed process.
enum Outside {
    None,
    Incomplete(Vec<&'static str>),
    Argued(String),
}

fn outside_cause(case: &Case, claim: &str, run: &str) -> Outside {
    let Some(o) = case
        .site()
        .outside_causes
        .iter()
        .find(|o| o.run.text == run && o.assembly.text == case.id() && o.claims.iter().any(|c| c.text == claim))
    else {
        return Outside::None;
    };
    let as_of = case.court.as_of();
    let mut lacks = Vec::new();
    if o.proof.is_none() {
        lacks.push("a proof of the cause");
    }
    let condition = o.condition.as_ref().and_then(|c| case.site().condition(c)).filter(|c| case.is_complete(c));
    if condition.is_none() {
        lacks.push("a complete condition");
    }
    let repeated = o.repeat.as_ref().is_some_and(|r| {
        case.court
            .standings
            .get(r.text.as_str())
            .is_some_and(|s| s.verdict == Verdict::Pass && s.role == "used" && s.effect < GateEffect::Exploratory)
            && case.runs(claim).iter().any(|x| x.run.id.text == r.text)
    });
    if !repeated {
        lacks.push("a repeat that was planned and passed");
    }
    let accepted = o.accepted_by.as_ref().and_then(|p| case.site().person(p)).is_some_and(|p| {
        p.org == Org::Customer
            && p.authority.iter().any(|a| a.text == "accept")
            && p.valid_from <= as_of
            && as_of <= p.valid_to
    }) && o.accepted_on.is_some_and(|d| d <= as_of);
    if !accepted {
        lacks.push("the acceptance of the customer's engineer");
    }
    match (lacks.is_empty(), condition) {
        (true, Some(c)) => Outside::Argued(c.id.text.clone()),
        _ => Outside::Incomplete(lacks),
    }
}

/// Value, limit and margin of the claim are those of the weakest voice that carries it.
fn worst_voice(out: &mut ClaimResult, places: &[Place]) {
    let rank = |v: &Voice| match v.counts_as {
        "H" => 0,
        "P" | "Pb" | "M" => 1,
        "Hs" => 2,
        "not shown" | "not covered" => 3,
        _ => 4,
    };
    let relative = |v: &Voice| {
        let scale = if v.unit.contains("log10") || v.unit == "dec" { 1.0 } else { v.limit.abs().max(1e-300) };
        if v.margin.is_nan() { f64::INFINITY } else { v.margin / scale }
    };
    let best = out.voices.iter().min_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| relative(a).total_cmp(&relative(b))));
    if let Some(v) = best.cloned() {
        out.value = v.value;
        out.limit = v.limit;
        out.guard = v.guard;
        out.margin = v.margin;
        out.unit = v.unit.clone();
        out.n = v.n;
        out.criterion = v.criterion.clone();
        out.place = out
            .places
            .iter()
            .filter(|p| p.run == v.run)
            .min_by(|a, b| a.margin.total_cmp(&b.margin))
            .map(|p| p.place.clone())
            .or_else(|| places.first().map(|p| p.name.clone()))
            .unwrap_or_default();
    } else if let Some(p) = places.first() {
        out.place = p.name.clone();
    }
}
