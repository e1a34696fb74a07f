//! Checks of scope (C1): built as claimed, frozen process, requirements, environment, places, units.

use super::lacks;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::judge::places::traps_flux;
use crate::judge::rules::threshold;
use crate::model::assembly::{BodyClass, PairSource, SourceKind};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::evidence::RunKind;
use crate::model::governance::{ClaimSpec, Disposition};

/// The pilot was built at the claimed revisions, and no pilot board was washed.
pub fn built_as_claimed(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let a = &case.a.assembly;
    let Some(p) = &case.a.pilot else {
        return lacks(out, Code::Missing, "pilot", "no pilot build is recorded", Some(a.at));
    };
    for (what, claimed, built) in [
        ("assembly", &a.rev, &p.assembly_rev),
        ("parts list", &a.bom_rev, &p.bom_rev),
        ("layout", &a.layout_rev, &p.layout_rev),
    ] {
        out.saw(format!("{what}: claimed {claimed}, built {built}"), built.at);
        if claimed.text != built.text {
            let text = format!("the {what} is claimed at {claimed} and was built at {built}");
            lacks(out, Code::NotCovered, what, text, Some(built.at));
        }
    }
    if p.washed {
        lacks(out, Code::Inadmissible, "G8", "pilot boards were washed", Some(p.at));
    }
    if p.built_on > case.court.as_of() {
        lacks(out, Code::Missing, "pilot", format!("the pilot is dated {}", p.built_on), Some(p.at));
    }
}

/// Every recipe of the process is at a revision, and the pilot used it.
pub fn process_frozen(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let Some(p) = &case.a.pilot else {
        return lacks(out, Code::Missing, "pilot", "no pilot build is recorded", Some(case.a.assembly.at));
    };
    let undecided = |s: &str| matches!(s.to_lowercase().as_str(), "tbd" | "?" | "open" | "draft");
    for s in &case.process().step {
        let recipe = format!("{}:{}", s.recipe, s.recipe_rev);
        if undecided(&s.recipe) || undecided(&s.recipe_rev) {
            lacks(out, Code::Missing, &s.recipe, format!("{}: the recipe {recipe} is not decided", s.kind), Some(s.at));
        } else if !p.recipes.iter().any(|r| r.text == recipe) {
            let text = format!("{}: the pilot did not use {recipe}", s.kind);
            lacks(out, Code::NotCovered, &s.recipe, text, Some(s.recipe_rev.at));
        } else {
            out.saw(format!("{}: {recipe}", s.kind), s.at);
        }
    }
}

/// No clause is open, and none forbids.
pub fn requirements_closed(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let mine: Vec<_> =
        case.site().requirements.iter().filter(|r| r.assemblies.iter().any(|a| a.text == case.id())).collect();
    if mine.is_empty() {
        return lacks(out, Code::Missing, "", "no requirement of this assembly was swept", Some(case.a.assembly.at));
    }
    out.n = mine.len();
    for r in mine {
        out.saw(format!("{} {} {} {}: {}", r.id, r.document, r.document_rev, r.clause, r.disposition), r.at);
        match r.disposition {
            Disposition::Open => {
                lacks(out, Code::Missing, &r.id, format!("{} is open: {} {}", r.id, r.document, r.clause), Some(r.at));
            }
            Disposition::Forbids => {
                out.reason(Code::Conflict, r.id.text.clone(), format!("{} forbids it: {}", r.id, r.text), Some(r.at));
                out.cap(State::Contradicted);
            }
            Disposition::Waived if r.customer_ref.is_none() => {
                lacks(
                    out,
                    Code::Missing,
                    &r.id,
                    format!("{} is waived without a letter of the customer", r.id),
                    Some(r.at),
                );
            }
            _ => {}
        }
    }
}

/// The climate has a source, and says what happens in condensation and standby.
pub fn environment_sourced(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let e = case.environment();
    out.saw(format!("{}: source {}", e.title, e.source), e.at);
    if e.condensing.is_none() {
        lacks(out, Code::Missing, "condensing", "condensing hours are not known", Some(e.at));
    }
    if e.standby.is_none() {
        lacks(out, Code::Missing, "standby", "the share of standby is not known", Some(e.at));
    }
    match e.source {
        SourceKind::Measured => {
            if let Some(limit) = threshold(case, spec, "bins_logged", out) {
                let wanted = limit.value.si;
                if e.logged.as_ref().is_none_or(|l| l.si < wanted) {
                    let text = format!("the log is shorter than {}", limit.value);
                    lacks(out, Code::InputEstimated, "logged", text, Some(e.at));
                }
            }
        }
        SourceKind::Contract => {}
        SourceKind::Class => {
            // A class names a range, not this place: it carries a claim only with a logger as condition.
            let logger =
                case.conditions().find(|c| c.claims.iter().any(|x| x.text == spec.id.text) && case.is_complete(c));
            match logger {
                Some(c) => {
                    out.rests_on(case, &c.id.text);
                    out.cap(State::WithConditions);
                }
                None => lacks(
                    out,
                    Code::InputEstimated,
                    "source",
                    "the climate comes from a class only, and no complete condition asks for a logger",
                    Some(e.at),
                ),
            }
        }
        other => lacks(out, Code::InputEstimated, "source", format!("the climate is {other}"), Some(e.at)),
    }
}

/// Parts that trap flux have gaps that are not guessed, and pairs come from the layout.
pub fn places_complete(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let a = case.a;
    if a.components.is_empty() || a.pairs.is_empty() || a.zones.is_empty() {
        lacks(out, Code::Missing, "", "parts, pairs of conductors and zones must be listed", Some(a.assembly.at));
    }
    for c in &a.components {
        if traps_flux(c.body_class) && c.gap.is_none() {
            lacks(out, Code::InputEstimated, &c.refdes, format!("the gap under {} is not known", c.refdes), Some(c.at));
        }
        match c.gap_source {
            Some(SourceKind::Estimate) => {
                lacks(
                    out,
                    Code::InputEstimated,
                    &c.refdes,
                    format!("the gap under {} is a guess", c.refdes),
                    Some(c.at),
                );
            }
            None if c.gap.is_some() => {
                lacks(
                    out,
                    Code::InputEstimated,
                    &c.refdes,
                    format!("the gap under {} has no source", c.refdes),
                    Some(c.at),
                );
            }
            _ => {}
        }
        if matches!(c.body_class, BodyClass::Btc | BodyClass::Lga)
            && !a.pairs.iter().any(|p| p.place.text == c.refdes.text)
        {
            lacks(
                out,
                Code::Missing,
                &c.refdes,
                format!("no pair of conductors under {} is listed", c.refdes),
                Some(c.at),
            );
        }
    }
    for p in a.pairs.iter().filter(|p| p.source != PairSource::Layout) {
        lacks(out, Code::InputEstimated, &p.id, format!("{} is taken from the {}", p.id, p.source), Some(p.at));
    }
    out.n = a.components.len() + a.pairs.len();
    out.saw(format!("{} parts and {} pairs", a.components.len(), a.pairs.len()), a.assembly.at);
}

/// Every quantity carries its unit (else the site is not read), and every areal result states its area.
pub fn units_closed(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    out.n = case.site().quantities;
    if case.site().quantities == 0 {
        return lacks(out, Code::Missing, "", "no quantity was read", None);
    }
    out.saw(format!("{} quantities were read, each with its unit", case.site().quantities), case.a.assembly.at);
    for r in case.site().runs.iter().filter(|r| matches!(r.run.kind, RunKind::Ionic | RunKind::IncomingIonic)) {
        for t in r.tables("ionic") {
            if t.rows() > 0 {
                out.saw(format!("{}: area basis {}", r.run.id, t.text("area_basis", 0)), t.at(0));
            }
        }
    }
}
