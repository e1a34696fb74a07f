//! The doubt DF5: fails that do not contradict by themselves, and events that nobody explained; none may vanish.

use super::Raised;
use crate::judge::court::{Case, Speakers};
use crate::judge::verdict::verdict;
use crate::model::assessment::{ClaimResult, Verdict, Voice};
use crate::model::evidence::{PatternKind, Run};
use crate::model::governance::{Severity, WashState};
use crate::model::site::{AssemblyFile, RunFolder};
use crate::model::workings::{Outcome, SampleSet};
use crate::quantity::{Dimension, significant};

/// DF5: a run failed that does not contradict by itself: harsher, inadmissible, exploratory, left out, judged by a
/// late criterion, or of a surface that no claim speaks of. A drop that recovered and whose cause nobody recorded is a
/// question of the same weight.
pub fn df5_fails(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for r in &case.site().runs {
        let (targets, assemblies) = case.site().targets(&r.run);
        if !assemblies.iter().any(|a| a.text == case.id()) || !case.court.reported(&r.run.id) {
            continue;
        }
        let targeted: Vec<&ClaimResult> =
            claims.iter().filter(|c| c.leaf && targets.iter().any(|t| t.text == c.id)).collect();
        fails(case, r, &targeted, claims, out);
        unjudged(case, r, &targeted, out);
        events(case, r, &targeted, out);
    }
}

/// What failed when the chamber dripped speaks of wet use, not of the dry method that it was meant to be.
fn about<'a>(run: &Run, c: &'a ClaimResult) -> &'a str {
    let wet = run.condensation_seen && !run.condensing;
    if wet && c.id.starts_with('C') { "C3.10" } else { &c.id }
}

fn judged_by<'a>(case: &'a Case, run: &'a Run, claim: &str) -> Vec<&'a Outcome> {
    let criteria = case.criteria(claim);
    case.court
        .workings
        .outcomes
        .iter()
        .filter(|o| o.run == run.id.text && criteria.iter().any(|k| k.id.text == o.criterion))
        .collect()
}

/// Whether a set is of boards that a claim may speak of: this product or a vehicle, with its wash history.
fn concerns(case: &Case, run: &Run, set: &SampleSet, claim: &ClaimResult) -> bool {
    let washed = case
        .site()
        .claims
        .iter()
        .find(|s| s.tree == claim.tree && s.id.text == claim.id)
        .and_then(|s| s.washed)
        .unwrap_or(WashState::Any);
    let run = &case.site().run(&run.id).expect("a run of the site").run;
    !matches!(case.speakers(run, set, washed), Speakers::OtherProduct | Speakers::OtherWash)
}

fn is_about(v: &Voice, set: &SampleSet) -> bool {
    v.run == set.run && v.cell == set.cell && v.pattern == set.place
}

fn fails(case: &Case, r: &RunFolder, targeted: &[&ClaimResult], claims: &[ClaimResult], out: &mut Vec<Raised>) {
    let run = &r.run;
    let standing = case.court.standing(&run.id);
    for c in targeted {
        for o in judged_by(case, run, &c.id) {
            let (v, words) = verdict(o);
            let set = case.court.set(o);
            if v != Verdict::Fail || !concerns(case, run, set, c) {
                continue;
            }
            let here: Vec<&str> = c
                .voices
                .iter()
                .filter(|v| is_about(v, set) && v.criterion == o.criterion)
                .map(|v| v.counts_as)
                .collect();
            let heard = claims
                .iter()
                .flat_map(|x| &x.voices)
                .any(|v| is_about(v, set) && v.verdict == Verdict::Fail && matches!(v.counts_as, "H" | "Hs"));
            // Of something that is not on this assembly, unless a claim hears it all the same.
            let away = here.is_empty() && elsewhere(case, run, set, c);
            let text = if here.contains(&"H") || away {
                continue;
            } else if !matches!(standing.role, "used" | "expired") {
                format!("{} is {} ({}) and yet shows a fail: {words}", run.id, standing.role, standing.first_failed)
            } else if here.contains(&"Hs") {
                format!("{} failed under something harsher or different: {words}", run.id)
            } else if here.contains(&"criterion agreed after the data") {
                format!("{} fails under {}, which was agreed after its data: {words}", run.id, o.criterion)
            } else if heard || elsewhere(case, run, set, c) {
                // Another claim, of the surface that this cell has, takes it up.
                continue;
            } else {
                format!("{} fails at {}, which is no place of any claim: {words}", run.id, set.place)
            };
            out.push(Raised::new("DF5", about(run, c), &run.id, Severity::Major, text, Some(o.worst_at)));
        }
    }
}

/// Combs of a design that no criterion of the run's claims lists say nothing under any limit; where they read below the
/// limit of the others, that is not passed over in silence.
fn unjudged(case: &Case, r: &RunFolder, targeted: &[&ClaimResult], out: &mut Vec<Raised>) {
    let w = case.court.workings;
    let judged: Vec<&SampleSet> =
        targeted.iter().flat_map(|c| judged_by(case, &r.run, &c.id)).map(|o| case.court.set(o)).collect();
    for c in targeted {
        let limits = case.criteria(&c.id).into_iter().filter(|k| k.quantity.text == "sir");
        let limit = limits
            .filter_map(|k| match k.value.dimension() {
                Dimension::RESISTANCE => Some(libm::log10(k.value.si)),
                Dimension::DECADES => Some(k.value.si),
                _ => None,
            })
            .fold(f64::INFINITY, f64::min);
        for set in w.sets.iter().filter(|s| s.run == r.run.id.text && s.quantity == "sir" && limit.is_finite()) {
            let known = judged.iter().any(|j| j.build == set.build && j.place == set.place);
            if known || !concerns(case, &r.run, set, c) || elsewhere(case, &r.run, set, c) {
                continue;
            }
            if let Some(s) = set.samples.iter().find(|s| s.value < limit) {
                let text = format!(
                    "{}: {} of design {} reads {} log10 ohm, and no criterion lists that design",
                    r.run.id,
                    set.place,
                    set.design,
                    significant(s.value, 3)
                );
                out.push(Raised::new("DF5", about(&r.run, c), &r.run.id, Severity::Minor, text, Some(s.at)));
            }
        }
    }
}

/// Whether a set is of something that this assembly does not have: a place of another assembly, a body class that is
/// not on it, a flux that never comes to it; or of a place that a complete condition takes out of use.
fn elsewhere(case: &Case, run: &Run, set: &SampleSet, claim: &ClaimResult) -> bool {
    if case.excluding(&claim.id, &set.place).is_some() {
        return true;
    }
    let Some(kind) = set.pattern else {
        let named = |a: &AssemblyFile| has_place(a, &set.place);
        return !named(case.a) && case.site().assemblies.iter().any(named);
    };
    let Some((vehicle, build)) = case.site().builds_of(run).find(|(_, b)| b.id.text == set.build) else { return false };
    let foreign =
        build.flux.iter().any(|b| !case.a.flux_uses.iter().any(|f| f.order.si > 0.0 && f.flux.text == b.material.text));
    let class = case.site().pattern(&vehicle.id, &set.place).and_then(|p| p.body_class);
    let no_body = kind == PatternKind::Body && !case.a.components.iter().any(|c| Some(c.body_class) == class);
    foreign || no_body
}

fn has_place(a: &AssemblyFile, name: &str) -> bool {
    a.components.iter().any(|c| c.refdes.text == name || c.like.iter().any(|l| l.text == name))
        || a.zones.iter().any(|z| z.id.text == name)
        || a.pairs.iter().any(|p| p.id.text == name || p.place.text == name)
        || a.nodes.iter().any(|n| n.id.text == name)
        || a.rf.iter().any(|n| n.id.text == name)
        || a.contacts.iter().any(|n| n.id.text == name)
        || a.keep_outs.iter().any(|n| n.id.text == name)
        || a.board.fabricators.iter().any(|f| f.text == name)
}

/// Events in readings: for the claims whose criteria count them, or for every claim of the run when none does.
fn events(case: &Case, r: &RunFolder, targeted: &[&ClaimResult], out: &mut Vec<Raised>) {
    let run = &r.run;
    for (i, set) in case.court.workings.sets.iter().enumerate().filter(|(_, s)| s.run == run.id.text) {
        let takes = |c: &ClaimResult| judged_by(case, run, &c.id).iter().any(|o| o.set == i);
        let concerned: Vec<_> = targeted.iter().filter(|c| concerns(case, run, set, c)).collect();
        let judged = concerned.iter().any(|c| takes(c));
        for c in concerned.into_iter().filter(|c| !judged || takes(c)) {
            if let Some(e) = set.open_events.first() {
                let text = format!("{}: {}; no event with a proven cause is recorded", run.id, e.text);
                out.push(Raised::new("DF5", about(run, c), &run.id, Severity::Major, text, Some(e.at)));
            }
            if let Some(e) = set.hard_events.first().filter(|_| !judged) {
                let text = format!("{} in {}, and no criterion of its claims judges it", e.text, run.id);
                out.push(Raised::new("DF5", about(run, c), &run.id, Severity::Major, text, Some(e.at)));
            }
        }
    }
}
