//! Takes a doubt; gives what became of it: a refutation needs evidence that itself holds, an acceptance a customer.

use super::Raised;
use crate::judge::court::Case;
use crate::model::Text;
use crate::model::assessment::{ClaimResult, Defeater, DefeaterStatus, State, Verdict};
use crate::model::governance::{Answer, DoubtStatus, FindingSeverity, Severity};

/// What became of a doubt. `claims` are all leaves, `holding` the ids of those that hold without this answer.
pub fn weigh(case: &Case, r: &Raised, claims: &[ClaimResult], holding: &[String]) -> Defeater {
    let id = r.id();
    let mut d = Defeater {
        standard: r.standard,
        claim: r.claim.clone(),
        severity: r.severity,
        text: r.text.clone(),
        status: if r.severity == Severity::Note { DefeaterStatus::Noted } else { DefeaterStatus::Open },
        answer: String::new(),
        answered_by: String::new(),
        at: r.at,
        id,
    };
    if let Some(a) = answer(case, &d.id) {
        let (status, words) = worth(case, a, r, claims, holding);
        d.status = match (status, r.severity) {
            (DefeaterStatus::Open, Severity::Note) => DefeaterStatus::Noted,
            (status, _) => status,
        };
        d.answer = words;
        d.answered_by = format!("{}, {}", a.by, a.on);
    }
    d
}

/// The waiver by which a doubt is accepted; none where it needs none.
pub fn waiver_of(case: &Case, d: &Defeater) -> Option<String> {
    let waiver = answer(case, &d.id)?.waiver.as_ref()?;
    crate::judge::waivers::in_force(case, waiver, &d.claim).then(|| waiver.text.clone())
}

/// The last answer of the day of judgement; of two on one day the worse one.
fn answer<'a>(case: &Case<'a>, doubt: &str) -> Option<&'a Answer> {
    let rank = |a: &Answer| match a.status {
        DoubtStatus::Confirmed => 3,
        DoubtStatus::Open => 2,
        DoubtStatus::Accepted => 1,
        DoubtStatus::Refuted => 0,
    };
    let to = |a: &&Answer| a.doubt.text == doubt && a.assemblies.iter().any(|x| x.text == case.id());
    let given = case.site().answers.iter().filter(to).filter(|a| a.on <= case.court.as_of());
    given.max_by_key(|a| (a.on, rank(a))).or_else(|| case.site().answers.iter().find(to))
}

fn worth(case: &Case, a: &Answer, r: &Raised, claims: &[ClaimResult], holding: &[String]) -> (DefeaterStatus, String) {
    let open = |why: String| (DefeaterStatus::Open, format!("{} (the answer does not hold: {why})", a.text));
    if a.on > case.court.as_of() {
        return open(format!("it is dated {}", a.on));
    }
    let in_office = case.in_office(&a.by, a.on);
    match a.status {
        DoubtStatus::Open => open("it says so itself".into()),
        DoubtStatus::Confirmed => (DefeaterStatus::Confirmed, a.text.text.clone()),
        DoubtStatus::Accepted => {
            let customer = case.customer_signs(&a.by, a.on, &["accept", "waive"]);
            let waived = a.waiver.as_ref().is_some_and(|w| crate::judge::waivers::in_force(case, w, &r.claim));
            if customer || waived {
                (DefeaterStatus::Accepted, a.text.text.clone())
            } else {
                open("only a customer with the authority, in office that day, can accept a doubt".into())
            }
        }
        DoubtStatus::Refuted if !in_office => open(format!("{} was not in office on {}", a.by, a.on)),
        DoubtStatus::Refuted => {
            // What is doubted is no evidence for itself.
            let itself = |e: &Text| e.text == r.subject || (e.text == r.claim && !stays_dry(r, claims));
            let others: Vec<_> = a.evidence.iter().filter(|e| !itself(e)).collect();
            if others.is_empty() {
                return open("it names no evidence but what is doubted".into());
            }
            match others.iter().find(|e| !holds(case, e, r, claims, holding)) {
                Some(e) => open(format!("{e} does not hold")),
                None => (DefeaterStatus::Refuted, a.text.text.clone()),
            }
        }
    }
}

/// A doubt about wet use may be met by the claim on wet use where that shows by the climate alone that it stays dry:
/// no run stands behind it, so nothing of what is doubted does.
fn stays_dry(r: &Raised, claims: &[ClaimResult]) -> bool {
    claims.iter().any(|c| {
        let shown = matches!(c.state, State::Supported | State::WithConditions);
        c.id == r.claim && c.rule == "wetting" && c.runs.is_empty() && shown
    })
}

/// Whether a piece of evidence that an answer names holds by itself: a run that counts for this assembly and passes, a
/// complete condition, an audit in age without a major finding, or another claim of the same tree that holds.
fn holds(case: &Case, id: &str, r: &Raised, claims: &[ClaimResult], holding: &[String]) -> bool {
    if let Some(s) = case.court.standings.get(id) {
        let mine =
            case.site().run(id).is_some_and(|x| case.site().targets(&x.run).1.iter().any(|a| a.text == case.id()));
        return mine && s.role == "used" && s.verdict == Verdict::Pass;
    }
    if let Some(c) = case.site().condition(id) {
        return c.assembly.text == case.id() && case.is_complete(c);
    }
    if let Some(a) = case.site().audits.iter().find(|a| a.id.text == id) {
        let as_of = case.court.as_of();
        let in_age = case.court.expiry(&format!("{}-audit", a.kind), a.date).is_some_and(|d| as_of <= d);
        let open_major = a.finding.iter().any(|f| {
            (f.severity == FindingSeverity::Major || f.flux.is_some())
                && f.closed_on.is_none_or(|d| d > as_of)
                && (f.assemblies.is_empty() || f.assemblies.iter().any(|x| x.text == case.id()))
        });
        return a.date <= as_of && a.assemblies.iter().any(|x| x.text == case.id()) && in_age && !open_major;
    }
    if id == r.claim && stays_dry(r, claims) {
        return true;
    }
    let tree = |id: &str| claims.iter().find(|c| c.id == id).map(|c| c.tree);
    tree(id).is_some() && tree(id) == tree(&r.claim).or(tree(id)) && holding.iter().any(|c| c == id)
}
