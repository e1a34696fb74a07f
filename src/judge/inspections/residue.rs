//! Checks of the residue (C2): stack complete, composition known, heat seen, stays hard.

use super::lacks;
use crate::diag::At;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::judge::rules::{audit, threshold};
use crate::judge::verdict::verdict;
use crate::model::assembly::FluxUse;
use crate::model::assessment::{ClaimResult, Code, Verdict};
use crate::model::governance::{AuditKind, ClaimSpec, WashState};
use crate::quantity::significant;

/// No blank cell in zone by flux, and no flux on the benches that is not listed.
pub fn flux_stack_complete(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let a = case.a;
    let mut fluxes: Vec<&str> = case
        .process()
        .step
        .iter()
        .filter(|s| s.kind.deposits_flux())
        .flat_map(|s| s.fluxes.iter().map(|f| f.text.as_str()))
        .collect();
    fluxes.sort_unstable();
    fluxes.dedup();
    if fluxes.is_empty() || a.zones.is_empty() {
        lacks(out, Code::Missing, "K4", "no flux or no zone is listed", Some(a.assembly.at));
    }
    for s in case.process().step.iter().filter(|s| s.kind.deposits_flux() && s.fluxes.is_empty()) {
        lacks(out, Code::NotCovered, "K4", format!("{} {} names no flux", s.kind, s.recipe), Some(s.at));
    }
    for z in &a.zones {
        for flux in &fluxes {
            match a.flux_uses.iter().find(|f| f.zone.text == z.id.text && f.flux.text == *flux) {
                None => lacks(
                    out,
                    Code::NotCovered,
                    "K4",
                    format!("zone {} says nothing of {flux}: how much, or that it never comes", z.id),
                    Some(z.at),
                ),
                Some(f) if f.order.si == 0.0 && f.absent_proof.is_none() => lacks(
                    out,
                    Code::NotCovered,
                    "K4",
                    format!("{flux} is said never to come to {}, without a proof", z.id),
                    Some(f.at),
                ),
                Some(f) => out.saw(format!("{} in {}: order {}", flux, z.id, f.order.si), f.at),
            }
        }
    }
    for f in &a.flux_uses {
        if f.order.si > 0.0 && !fluxes.contains(&f.flux.text.as_str()) {
            lacks(
                out,
                Code::NotCovered,
                "K4",
                format!("{} is used in {}, and no step of the process leaves it", f.flux, f.zone),
                Some(f.at),
            );
        }
    }
    audit::check(case, AuditKind::Bench, out);
    if let Some(b) = audit::newest(case, AuditKind::Bench) {
        for f in b.finding.iter().filter(|f| f.closed_on.is_none_or(|d| d > case.court.as_of())) {
            if let Some(flux) = &f.flux
                && (f.assemblies.is_empty() || f.assemblies.iter().any(|x| x.text == case.id()))
            {
                lacks(
                    out,
                    Code::NotCovered,
                    "K4",
                    format!(
                        "{flux} was found on a bench, is not listed and is on no vehicle: STOP-SHIP of unwashed lots"
                    ),
                    Some(f.at),
                );
            }
        }
    }
}

/// Designator, halogen, acids with their deliquescence, solids and softening point of every flux that comes.
pub fn composition_known(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let mut ids: Vec<&str> =
        case.a.flux_uses.iter().filter(|f| f.order.si > 0.0).map(|f| f.flux.text.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    if ids.is_empty() {
        return lacks(out, Code::Missing, "", "no flux is listed", Some(case.a.assembly.at));
    }
    for id in ids {
        let m = case.material(id);
        let mut unknown = Vec::new();
        if m.formulation_rev.is_none() {
            unknown.push("formulation revision");
        }
        if m.class_letters.is_none() {
            unknown.push("designator");
        }
        if m.halogen.is_none() {
            unknown.push("halogen");
        }
        if m.solids.is_none() {
            unknown.push("solids");
        }
        if m.softening.is_none() {
            unknown.push("softening point");
        }
        let acids = !m.acid.is_empty() && m.acid.iter().all(|a| a.deliquescence.is_some());
        if !acids {
            // A refused acid list can be carried by measured deliquescence of the residue as a condition.
            let measured =
                case.conditions().find(|c| c.claims.iter().any(|x| x.text == spec.id.text) && case.is_complete(c));
            match measured {
                Some(c) => {
                    out.rests_on(case, &c.id.text);
                    out.cap(crate::model::assessment::State::WithConditions);
                }
                None => unknown.push("acids with their deliquescence"),
            }
        }
        if unknown.is_empty() {
            out.saw(format!("{id}: known"), m.at);
        } else {
            lacks(out, Code::Missing, id, format!("{id}: unknown {}", unknown.join(", ")), Some(m.at));
        }
    }
}

/// Every flux reached its deactivation temperature, or an unheated cell passed.
pub fn heat_seen(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let uses: Vec<_> = case.a.flux_uses.iter().filter(|f| f.order.si > 0.0).collect();
    if uses.is_empty() {
        return lacks(out, Code::Missing, "", "no flux is listed", Some(case.a.assembly.at));
    }
    for f in uses {
        match &f.heated_fraction {
            Some(h) if h.si >= 1.0 => out.saw(format!("{} in {}: heated everywhere", f.flux, f.zone), h.at),
            h => {
                let share = h.as_ref().map_or("unknown".to_string(), |h| significant(h.si * 100.0, 3));
                match unheated_pass(case, &spec.id, f) {
                    Some((run, at)) => {
                        out.saw(
                            format!("{} in {}: heated share {share} %, unheated cell passes in {run}", f.flux, f.zone),
                            at,
                        );
                        if !out.runs.contains(&run) {
                            out.runs.push(run);
                        }
                    }
                    None => lacks(
                        out,
                        Code::NotCovered,
                        "K5",
                        format!("{} in {}: heated share {share} %, and no unheated cell passes", f.flux, f.zone),
                        Some(f.at),
                    ),
                }
            }
        }
    }
}

/// An admissible run of this claim whose unheated cell of the flux passes the insulation criterion. A cell that fails
/// at a dose that the line may reach undoes it.
fn unheated_pass(case: &Case, claim: &str, usage: &FluxUse) -> Option<(String, At)> {
    let flux = &usage.flux.text;
    let most = usage.dose_ucl.as_ref().or(usage.dose.as_ref()).map(|q| q.si);
    let mut pass = None;
    for r in case.runs(claim).into_iter().filter(|r| case.court.standing(&r.run.id).role == "used") {
        let (claims, _) = case.site().targets(&r.run);
        for o in case.court.workings.outcomes.iter().filter(|o| o.run == r.run.id.text) {
            let set = case.court.set(o);
            let applies = case
                .site()
                .criterion(&o.criterion)
                .is_some_and(|c| c.applies_to.iter().any(|x| claims.iter().any(|t| t.text == x.text)));
            let unheated = case
                .builds(&r.run, set, WashState::Unwashed)
                .iter()
                .flat_map(|(_, b)| &b.flux)
                .find(|x| x.material.text == *flux && !x.heated);
            let Some(x) = unheated.filter(|_| applies && set.quantity == "sir") else { continue };
            let within = matches!((&x.dose, most), (Some(d), Some(m)) if d.si <= m * 1.05);
            match verdict(o).0 {
                Verdict::Fail if within => return None,
                Verdict::Pass if pass.is_none() => pass = Some((r.run.id.text.clone(), o.worst_at)),
                _ => {}
            }
        }
    }
    pass
}

/// No place gets within the agreed margin of the softening point.
pub fn stays_hard(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let Some(limit) = threshold(case, spec, "softening_margin", out) else { return };
    let wanted = limit.value.si;
    let hottest = case
        .a
        .components
        .iter()
        .filter_map(|c| c.local_max.as_ref().map(|t| (t, &c.refdes)))
        .max_by(|a, b| a.0.si.total_cmp(&b.0.si));
    let Some((hot, part)) = hottest else {
        return lacks(out, Code::Missing, "local_max", "no local temperature is known", Some(case.a.assembly.at));
    };
    let mut worst = f64::INFINITY;
    for f in case.a.flux_uses.iter().filter(|f| f.order.si > 0.0) {
        let m = case.material(&f.flux);
        let Some(s) = &m.softening else {
            lacks(out, Code::Missing, &m.id, format!("the softening point of {} is not known", m.id), Some(m.at));
            continue;
        };
        let margin = s.si - hot.si;
        worst = worst.min(margin);
        out.saw(format!("{}: softening {s}, hottest place {part} {hot}", m.id), s.at);
        if margin < wanted {
            lacks(
                out,
                Code::NotShown,
                &m.id,
                format!(
                    "{}: {} K from {part} to the softening point, agreed {} K",
                    m.id,
                    significant(margin, 2),
                    significant(wanted, 2)
                ),
                Some(hot.at),
            );
        }
    }
    if worst.is_finite() {
        out.value = worst;
        out.limit = wanted;
        out.margin = worst - wanted;
        out.unit = "K".into();
        out.place = part.text.clone();
    }
}
