//! Checks of belief (C11): runs reconciled, laboratories, files, tool, decision rule, second person.

use super::lacks;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::model::assessment::{ClaimResult, Code, GateEffect, State};
use crate::model::governance::{ClaimSpec, DecisionRule};
use crate::model::site::RunFolder;

/// Runs that speak to any claim of this assembly.
fn mine<'a>(case: &Case<'a>) -> Vec<&'a RunFolder> {
    case.site().runs.iter().filter(|r| case.site().targets(&r.run).1.iter().any(|a| a.text == case.id())).collect()
}

/// Every planned run is reported, or excluded with reason, person and day; a run that waits keeps its own claims down.
pub fn runs_reconciled(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let planned: Vec<_> =
        case.site().planned().filter(|(_, x)| x.assemblies.iter().any(|a| a.text == case.id())).collect();
    if planned.is_empty() {
        return lacks(out, Code::Missing, "", "no protocol plans a run for this assembly", Some(case.a.assembly.at));
    }
    let mut waiting = 0;
    for (p, x) in &planned {
        if !case.court.reported(&x.id) {
            waiting += 1;
            out.saw(format!("{} ({}) is planned in {} and not reported", x.id, x.what, p.id), x.at);
        }
    }
    out.n = planned.len();
    out.saw(
        format!("{} planned, {} reported, {waiting} not reported", planned.len(), planned.len() - waiting),
        planned[0].1.at,
    );
    for r in mine(case) {
        if r.run.excluded == Some(true)
            && (r.run.excluded_reason.is_none() || r.run.excluded_by.is_none() || r.run.excluded_on.is_none())
        {
            lacks(
                out,
                Code::UnreportedRun,
                &r.run.id,
                format!("{} is excluded without reason, person or day", r.run.id),
                Some(r.run.at),
            );
        }
    }
}

/// Laboratory and calibration of every run that counts.
pub fn labs_in_scope(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let mut counted = 0;
    for r in mine(case) {
        let s = case.court.standing(&r.run.id);
        if s.role != "used" {
            continue;
        }
        counted += 1;
        for g in s.gates.iter().filter(|g| matches!(g.gate, "G3" | "G4")) {
            if g.effect == GateEffect::CapConditional {
                out.reason(Code::Inadmissible, g.gate, format!("{}: {}", r.run.id, g.text), Some(g.at));
                out.cap(State::WithConditions);
            }
        }
    }
    out.n = counted;
    if counted == 0 {
        return lacks(out, Code::Missing, "", "no run counts for this assembly", Some(case.a.assembly.at));
    }
    out.saw(format!("{counted} runs that count were made in scope with calibrated instruments"), case.a.assembly.at);
}

/// No file of a run of this assembly was altered.
pub fn files_intact(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let mut files = 0;
    for r in mine(case) {
        files += r.run.file.len();
        for (path, found) in &r.altered {
            lacks(
                out,
                Code::Inadmissible,
                "G1",
                format!("{}: {path} is not the file that was registered (SHA-256 found: {found})", r.run.id),
                Some(r.run.at),
            );
        }
    }
    out.n = files;
    if files == 0 {
        return lacks(out, Code::Missing, "", "no file of readings belongs to this assembly", Some(case.a.assembly.at));
    }
    out.saw(format!("{files} files have the digests that their runs state"), case.a.assembly.at);
}

/// The known-answer checks of the calculations pass on this machine.
pub fn tool_checked(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let (passed, failed) = case.court.known_answers;
    out.n = passed + failed;
    let digest = case.court.workings.self_test.get(..16).unwrap_or("no digest");
    out.saw(
        format!("self-test: {passed} known answers met, {failed} missed; record SHA-256 {digest}..."),
        case.a.assembly.at,
    );
    if failed > 0 || passed == 0 {
        lacks(out, Code::Inadmissible, "", format!("{failed} known answers of this tool are missed"), None);
    }
}

/// The protocol fixed a guarded decision rule, and criteria were agreed no later than it.
pub fn decision_rule_fixed(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let mut any = false;
    for p in &case.site().protocols {
        if !p.planned.iter().any(|x| x.assemblies.iter().any(|a| a.text == case.id())) {
            continue;
        }
        any = true;
        out.saw(
            format!("{} {} signed {}: decision rule {}", p.id, p.version, p.signed_on, p.decision_rule.word()),
            p.at,
        );
        if p.decision_rule != DecisionRule::Guarded {
            lacks(out, Code::CriterionMissing, &p.id, format!("{} decides without a guard band", p.id), Some(p.at));
        }
        let set = case.site().criteria_sets.iter().find(|s| s.id.text == p.criteria_set.text);
        if let Some(s) = set
            && s.agreed_on > p.signed_on
        {
            lacks(
                out,
                Code::CriterionAfterData,
                &s.id,
                format!("{} was agreed on {}, after protocol {} of {}", s.id, s.agreed_on, p.id, p.signed_on),
                Some(s.at),
            );
        }
    }
    if !any {
        lacks(out, Code::Missing, "", "no protocol speaks of this assembly", Some(case.a.assembly.at));
    }
}

/// Every analysis that counts was checked by a second person.
pub fn second_person(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let mut counted = 0;
    for r in mine(case) {
        let s = case.court.standing(&r.run.id);
        if s.role != "used" {
            continue;
        }
        counted += 1;
        for g in s.gates.iter().filter(|g| g.gate == "G11" && g.effect != GateEffect::Passed) {
            out.reason(Code::Inadmissible, "G11", format!("{}: {}", r.run.id, g.text), Some(g.at));
            out.cap(State::WithConditions);
        }
    }
    out.n = counted;
    if counted == 0 {
        lacks(out, Code::Missing, "", "no run counts for this assembly", Some(case.a.assembly.at));
    }
}
