//! The rule of audits: the newest audit of a kind, in age, without an open finding that matters.

use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::finding::{Write, blank};
use crate::judge::verdict::verdict;
use crate::model::assembly::Wiped;
use crate::model::assessment::{ClaimResult, Code, State, Verdict};
use crate::model::evidence::{Build, Run, RunKind};
use crate::model::governance::{Audit, AuditKind, ClaimSpec, FindingSeverity};
use crate::model::processes::StepKind;

/// The newest audit of a kind that names the assembly, not after the day of judgement.
pub fn newest<'a>(case: &Case<'a>, kind: AuditKind) -> Option<&'a Audit> {
    case.site()
        .audits
        .iter()
        .filter(|a| a.kind == kind && a.date <= case.court.as_of() && a.assemblies.iter().any(|x| x.text == case.id()))
        .max_by(|a, b| a.date.cmp(&b.date).then_with(|| a.id.text.cmp(&b.id.text)))
}

/// Judges a leaf by an audit.
pub fn judge(case: &Case, spec: &ClaimSpec) -> ClaimResult {
    let mut out = blank(spec);
    let Some(kind) = spec.check.as_ref().and_then(|c| AuditKind::from_word(c)) else {
        out.reason(Code::CriterionMissing, "", "the claim names no kind of audit", Some(spec.at));
        return out;
    };
    out.state = State::Supported;
    check(case, kind, &mut out);
    if kind == AuditKind::Rework {
        rework_is_tested(case, &mut out);
    }
    out
}

/// Adds what the newest audit of a kind says.
pub fn check(case: &Case, kind: AuditKind, out: &mut ClaimResult) {
    let Some(a) = newest(case, kind) else {
        out.reason(Code::Missing, kind.word(), format!("no {kind} audit names this assembly"), None);
        out.cap(State::NotYet);
        return;
    };
    out.saw(format!("audit {} of {}: {}", a.id, a.date, a.report), a.at);
    let age_kind = format!("{kind}-audit");
    match case.court.expiry(&age_kind, a.date) {
        None => {
            out.reason(
                Code::CriterionMissing,
                age_kind.clone(),
                format!("no age is agreed for a {age_kind}"),
                Some(a.at),
            );
            out.cap(State::NotYet);
        }
        Some(day) if day < case.court.as_of() => {
            out.reason(Code::ExpiredAge, a.id.text.clone(), format!("audit {} counted until {day}", a.id), Some(a.at));
            out.cap(State::NotYet);
        }
        Some(day) => {
            let id = a.id.text.clone();
            earlier(&mut out.valid_until, &mut out.valid_until_from, Some(day), || format!("{kind} audit {id}"));
        }
    }
    let open: Vec<_> = a
        .finding
        .iter()
        .filter(|f| f.closed_on.is_none_or(|d| d > case.court.as_of()))
        .filter(|f| f.assemblies.is_empty() || f.assemblies.iter().any(|x| x.text == case.id()))
        .collect();
    let mut minor = 0;
    for f in &open {
        if f.severity == FindingSeverity::Major || f.flux.is_some() {
            out.reason(Code::OpenDefeater, a.id.text.clone(), format!("audit {}: {}", a.id, f.text), Some(f.at));
            out.cap(State::NotYet);
        } else {
            minor += 1;
        }
    }
    out.n = open.len();
    if f64::from(minor) > a.max_minor.si {
        out.reason(
            Code::OpenDefeater,
            a.id.text.clone(),
            format!("audit {}: {minor} open minor findings, agreed {}", a.id, a.max_minor.si),
            Some(a.at),
        );
        out.cap(State::NotYet);
    }
}

/// Whether the boards of a build show insulation that passes a criterion of the run's claims, and none that fails one.
fn passes(case: &Case, run: &Run, build: &Build) -> bool {
    let (claims, _) = case.site().targets(run);
    let verdicts: Vec<Verdict> = case
        .court
        .workings
        .outcomes
        .iter()
        .filter(|o| o.run == run.id.text && case.court.set(o).build == build.id.text)
        .filter(|o| {
            let c = case.site().criterion(&o.criterion);
            c.is_some_and(|c| c.applies_to.iter().any(|x| claims.iter().any(|t| t.text == x.text)))
        })
        .map(|o| verdict(o).0)
        .collect();
    verdicts.contains(&Verdict::Pass) && !verdicts.contains(&Verdict::Fail)
}

/// Every flux of rework is metered and is on a build that counts.
fn rework_is_tested(case: &Case, out: &mut ClaimResult) {
    for s in
        case.process().step.iter().filter(|s| matches!(s.kind, StepKind::Rework | StepKind::TouchUp | StepKind::Hand))
    {
        if s.metered != Some(true) {
            out.reason(
                Code::Missing,
                s.recipe.text.clone(),
                format!("{} {}: its flux is not metered", s.kind, s.recipe),
                Some(s.at),
            );
            out.cap(State::NotYet);
        }
        for flux in &s.fluxes {
            let tested = case.site().runs.iter().filter(|r| case.court.standing(&r.run.id).role == "used").any(|r| {
                case.site().targets(&r.run).1.iter().any(|a| a.text == case.id())
                    && matches!(r.run.kind, RunKind::Sir | RunKind::Ecm)
                    && case.site().builds_of(&r.run).any(|(_, b)| {
                        b.flux.iter().any(|f| f.material.text == flux.text)
                            && (s.kind != StepKind::Rework
                                || b.rework_cycles.si >= s.max_cycles.as_ref().map_or(1.0, |q| q.si))
                            && passes(case, &r.run, b)
                    })
            });
            if !tested {
                out.reason(
                    Code::NotCovered,
                    "K4",
                    format!("{} leaves {flux}, which is on no vehicle that counts for this assembly", s.kind),
                    Some(flux.at),
                );
                out.cap(State::NotYet);
            }
        }
    }
    let wiped = case.a.flux_uses.iter().find(|f| f.wiped != Wiped::Never && f.order.si > 0.0);
    if let Some(f) = wiped {
        out.saw(format!("zone {} is wiped: {}", f.zone, f.wiped), f.at);
    }
}
