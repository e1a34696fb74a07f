//! Checks of surveillance (C10): charts, triggers, returns, witness coupons.

use super::lacks;
use crate::judge::court::{Case, Speakers};
use crate::judge::finding::Write;
use crate::judge::rules::threshold;
use crate::model::assessment::{ClaimResult, Code, State, Verdict};
use crate::model::evidence::RunKind;
use crate::model::governance::{Chart, ClaimSpec, WashState};

fn charts<'a>(case: &Case<'a>) -> Vec<&'a Chart> {
    case.site().charts.iter().filter(|c| c.assemblies.iter().any(|a| a.text == case.id())).collect()
}

/// A chart with owner, reaction and enough points, none of them outside.
pub fn charts_live(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let Some(limit) = threshold(case, spec, "chart_points", out) else { return };
    let all = charts(case);
    if all.is_empty() {
        return lacks(out, Code::Missing, "", "no chart is kept for this assembly", Some(case.a.assembly.at));
    }
    for c in all {
        if c.reaction.is_none() || c.owner.is_none() {
            lacks(out, Code::Missing, &c.id, format!("chart {} has no owner or no reaction plan", c.id), Some(c.at));
        }
        let points: usize = case
            .court
            .workings
            .sets
            .iter()
            .filter(|s| s.run == c.run.text && s.quantity == c.quantity.text)
            .map(|s| s.samples.len())
            .sum();
        out.value = points as f64;
        out.limit = limit.value.si;
        out.margin = out.value - out.limit;
        out.unit = "points".into();
        out.n = points;
        if !out.runs.contains(&c.run.text) {
            out.runs.push(c.run.text.clone());
        }
        match case.court.standings.get(c.run.text.as_str()) {
            None => lacks(
                out,
                Code::UnreportedRun,
                &c.run,
                format!("run {} of chart {} is not reported", c.run, c.id),
                Some(c.run.at),
            ),
            Some(s) if s.role != "used" => {
                lacks(
                    out,
                    Code::Inadmissible,
                    &c.run,
                    format!("run {} of chart {} is {}", c.run, c.id, s.role),
                    Some(c.run.at),
                );
            }
            Some(s) => {
                let run = c.run.text.clone();
                crate::judge::conditions::earlier(&mut out.valid_until, &mut out.valid_until_from, s.expires, || {
                    format!("age of {run}")
                });
            }
        }
        if (points as f64) < limit.value.si {
            out.reason(
                Code::ConditionIncomplete,
                c.id.text.clone(),
                format!("chart {}: {points} points, {} needed before its limits count", c.id, limit.value.si),
                Some(c.at),
            );
            out.cap(if points > 0 { State::WithConditions } else { State::NotYet });
        }
        for o in case
            .court
            .workings
            .outcomes
            .iter()
            .filter(|o| o.run == c.run.text && case.court.set(o).quantity == c.quantity.text)
        {
            if !out.workings.contains(&o.working) {
                out.workings.push(o.working);
            }
            if crate::judge::verdict::verdict(o).0 == Verdict::Fail {
                lacks(out, Code::OpenDefeater, &c.id, format!("chart {} is out of control", c.id), Some(o.worst_at));
            }
        }
    }
}

/// Every change that would re-open a claim has an owner.
pub fn triggers_owned(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let all = &case.site().triggers;
    if all.is_empty() {
        return lacks(out, Code::Missing, "", "no trigger is listed", None);
    }
    out.n = all.len();
    for t in all {
        match &t.owner {
            Some(p) => out.saw(format!("{}: {} watches", t.signal, p), t.at),
            None => lacks(out, Code::Missing, &t.id, format!("nobody watches for: {}", t.signal), Some(t.at)),
        }
    }
}

/// Returns are coded, and none is confirmed as caused by residue on an unwashed unit.
pub fn returns_coded(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let all = charts(case);
    match all.iter().find(|c| c.returns_coded) {
        Some(c) => out.saw(format!("chart {} codes returns for residue", c.id), c.at),
        None => lacks(out, Code::Missing, "", "returns are not coded for residue", Some(case.a.assembly.at)),
    }
    for r in case.site().runs.iter().filter(|r| r.run.kind == RunKind::Returns && case.court.reported(&r.run.id)) {
        let targeted = case.site().targets(&r.run).1.iter().any(|a| a.text == case.id());
        for set in case.court.workings.sets.iter().filter(|s| s.run == r.run.id.text) {
            let Some(s) = set.samples.iter().find(|s| s.value > 0.0) else { continue };
            let unwashed = case
                .builds(&r.run, set, WashState::Unwashed)
                .iter()
                .any(|(v, _)| v.assembly.as_ref().is_some_and(|a| a.text == case.id()));
            let unknown =
                matches!(case.speakers(&r.run, set, WashState::Any), Speakers::NoBuild | Speakers::UnknownBoards);
            if unwashed {
                out.reason(
                    Code::Conflict,
                    r.run.id.text.clone(),
                    format!("{}: {} came back with residue confirmed as the cause", r.run.id, s.board),
                    Some(s.at),
                );
                out.cap(State::Contradicted);
            } else if unknown && targeted {
                let text =
                    format!("{}: {} came back with residue, and nobody states how it was washed", r.run.id, s.board);
                lacks(out, Code::OpenDefeater, &r.run.id, text, Some(s.at));
            }
        }
    }
}

/// Witness coupons have an interval.
pub fn witness_interval(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    match charts(case).iter().find_map(|c| c.witness_interval.as_ref().map(|q| (c, q))) {
        Some((c, q)) => out.saw(format!("chart {}: witness coupons every {q}", c.id), q.at),
        None => lacks(out, Code::Missing, "", "no interval of witness coupons is stated", Some(case.a.assembly.at)),
    }
}
