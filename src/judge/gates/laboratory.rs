//! Gates on the laboratory: scope (G3), calibration (G4), age (G12).

use super::Dock;
use crate::judge::court::is_laboratory;
use crate::model::Day;
use crate::model::assessment::{GateEffect, GateResult};
use crate::model::evidence::RunKind;
use crate::model::governance::{Independence, Org};

/// G3: method and edition lie in the laboratory's scope at start and end; else a validated in-house method.
pub fn g3_scope(d: &Dock) -> GateResult {
    let run = &d.r.run;
    let Some(lab) = d.site.lab(&run.lab) else {
        return d.result("G3", GateEffect::Inadmissible, "no laboratory");
    };
    let (start, end) = (run.start.day, run.end.day);
    let of_method: Vec<_> = lab
        .scope
        .iter()
        .filter(|s| s.method.text == run.method.text && s.edition.text == run.method_edition.text)
        .collect();
    if lab.accreditation.is_some()
        && let Some(s) = of_method.iter().find(|s| s.valid_from <= start && end <= s.valid_to)
    {
        return d.result_at(
            "G3",
            GateEffect::Passed,
            format!(
                "{} {} in the scope of {} from {} to {}",
                run.method, run.method_edition, lab.id, s.valid_from, s.valid_to
            ),
            s.at,
        );
    }
    let customer_accepts = lab
        .approved_by
        .as_ref()
        .and_then(|p| d.site.person(p))
        .is_some_and(|p| p.org == Org::Customer && p.valid_from <= start && start <= p.valid_to);
    if lab.independence == Independence::Internal && lab.method_validation.is_some() && customer_accepts {
        return if is_laboratory(run.kind) {
            d.result_at("G3", GateEffect::CapConditional, format!("in-house method of {}, validated", lab.id), lab.at)
        } else {
            d.result_at(
                "G3",
                GateEffect::Passed,
                format!("measured in the house by a validated method, {}", lab.id),
                lab.at,
            )
        };
    }
    let why = match of_method.first() {
        Some(s) => format!(
            "the scope of {} for {} {} runs from {} to {}, the run from {start} to {end}",
            lab.id, run.method, run.method_edition, s.valid_from, s.valid_to
        ),
        None => format!("{} {} is not in the scope of {}", run.method, run.method_edition, lab.id),
    };
    let at = of_method.first().map_or(lab.at, |s| s.at);
    d.result_at("G3", GateEffect::Inadmissible, why, at)
}

/// G4: the calibration of every instrument brackets the run, or a check after it found it in tolerance.
pub fn g4_calibration(d: &Dock) -> GateResult {
    let run = &d.r.run;
    if run.instruments.is_empty() {
        let by_eye = matches!(
            run.kind,
            RunKind::VisualStudy
                | RunKind::Visual
                | RunKind::Returns
                | RunKind::Datasheet
                | RunKind::CircuitTest
                | RunKind::Joint
                | RunKind::Lots
        );
        return if by_eye {
            d.result("G4", GateEffect::Passed, "no measuring instrument is used")
        } else {
            d.result("G4", GateEffect::Inadmissible, "no instrument is named")
        };
    }
    for id in &run.instruments {
        let Some(i) = d.site.instruments.iter().find(|i| i.id.text == id.text) else { continue };
        let brackets = i.cal_from <= run.start.day && run.end.day <= i.cal_to;
        // A check afterwards mends a calibration that ran out during the run, not one that had run out before.
        let current = i.cal_from <= run.start.day && run.start.day <= i.cal_to;
        let checked = current && i.post_check.is_some_and(|p| run.end.day <= p && p <= d.site.as_of);
        if !brackets && !checked {
            return d.result_at(
                "G4",
                GateEffect::Inadmissible,
                format!(
                    "calibration of {} from {} to {} does not bracket the run from {} to {}",
                    i.id, i.cal_from, i.cal_to, run.start.day, run.end.day
                ),
                i.at,
            );
        }
    }
    d.result("G4", GateEffect::Passed, "every instrument is calibrated over the whole run")
}

/// G12: the evidence is not older than was agreed for its kind.
pub fn g12_age(d: &Dock) -> (GateResult, Option<Day>) {
    let run = &d.r.run;
    let kind = run.kind.word();
    if run.kind == RunKind::Datasheet {
        return (d.result("G12", GateEffect::Passed, "informative whatever its age"), None);
    }
    let expiry = d
        .site
        .ages
        .iter()
        .filter(|a| a.kind.text == kind)
        .map(|a| (run.end.day.plus_months(a.months.si as i64), a.at))
        .min();
    match expiry {
        None => (
            d.result(
                "G12",
                GateEffect::Inadmissible,
                format!("CRITERION_MISSING: no age is agreed for runs of kind {kind}"),
            ),
            None,
        ),
        Some((day, at)) if day < d.site.as_of => {
            (d.result_at("G12", GateEffect::Expired, format!("counted until {day}"), at), Some(day))
        }
        Some((day, at)) => (d.result_at("G12", GateEffect::Passed, format!("counts until {day}"), at), Some(day)),
    }
}
