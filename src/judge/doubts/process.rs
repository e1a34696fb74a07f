//! Doubts about the process and the product: blanks, wipes, gaps, fields, standby, feeds, holes, changes.

use super::Raised;
use crate::judge::court::Case;
use crate::judge::rules::audit;
use crate::model::assembly::{SourceKind, Wiped};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::evidence::{RunKind, Washed};
use crate::model::governance::{AuditKind, Severity, TreeKind};
use crate::model::processes::StepKind;
use crate::quantity::significant;

fn leaf<'a>(claims: &'a [ClaimResult], id: &str) -> Option<&'a ClaimResult> {
    claims.iter().find(|c| c.leaf && c.id == id)
}

/// DF6: a blank in zone by flux.
pub fn df6_blanks(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    if let Some(c) = leaf(claims, "C2.1")
        && c.reasons.iter().any(|r| r.code == Code::NotCovered && r.text.contains("says nothing"))
    {
        let text = "the table of zones and fluxes has blanks".to_string();
        out.push(Raised::new("DF6", "C2.1", "stack", Severity::Major, text, Some(case.a.assembly.at)));
    }
}

/// DF7: somebody wipes, and the stack says that nobody does.
pub fn df7_wipes(case: &Case, _: &[ClaimResult], out: &mut Vec<Raised>) {
    if case.a.flux_uses.iter().any(|f| f.wiped != Wiped::Never) {
        return;
    }
    for kind in [AuditKind::Bench, AuditKind::Rework] {
        let Some(a) = audit::newest(case, kind) else { continue };
        for f in a.finding.iter().filter(|f| f.flux.is_none() && f.text.to_lowercase().contains("wip")) {
            if f.closed_on.is_some_and(|d| d <= case.court.as_of()) {
                continue;
            }
            let text = format!("audit {} saw wiping that the process does not know: {}", a.id, f.text);
            out.push(Raised::new("DF7", "C6.5", &a.id, Severity::Minor, text, Some(f.at)));
        }
    }
}

/// DF8: the gap of a part that traps flux was not measured.
pub fn df8_gaps(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for id in ["C2.5", "C3.2"] {
        let holds = |c: &&ClaimResult| c.state >= State::WithConditions && c.state != State::NotApplicable;
        let Some(c) = leaf(claims, id).filter(holds) else { continue };
        for p in &case.a.components {
            if p.gap.is_some() && !matches!(p.gap_source, Some(SourceKind::Measured)) {
                let source = p.gap_source.map_or("no source", |s| s.word());
                let text = format!("the gap under {} was not measured ({source})", p.refdes);
                let calculated = p.gap_source == Some(SourceKind::Calculated);
                let severity = if calculated { Severity::Note } else { Severity::Minor };
                out.push(Raised::new("DF8", &c.id, &p.refdes, severity, text, Some(p.at)));
            }
        }
    }
}

/// DF9: pairs whose field nobody tested.
pub fn df9_field(_: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    if let Some(c) = leaf(claims, "C3.7") {
        let n = c.places.iter().filter(|p| p.state == State::NotYet).count();
        if n > 0 {
            let text = format!("{n} pairs of conductors are not covered in field, regime and geometry");
            out.push(Raised::new("DF9", "C3.7", "pairs", Severity::Note, text, None));
        }
    }
}

/// DF10: it stands wet while it waits.
pub fn df10_standby(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    let env = case.environment();
    let standby = env.standby.as_ref().map_or(0.0, |s| s.si);
    let wet =
        case.court.workings.facts.iter().find(|f| f.assembly == case.id() && f.name == "wet_hours" && f.value > 0.0);
    let Some(w) = wet else { return };
    let tested =
        leaf(claims, "C4.6").is_some_and(|c| c.state >= State::WithConditions && c.state != State::NotApplicable);
    if standby > 0.3 && !tested {
        let text = format!(
            "{} % of its life is standby, {} h a year near or above the deliquescence of its residue",
            significant(standby * 100.0, 2),
            significant(w.value, 3)
        );
        out.push(Raised::new("DF10", "C3.10", "standby", Severity::Minor, text, Some(env.at)));
    }
}

/// DF11: a condition whose feed does not exist.
pub fn df11_feeds(case: &Case, _: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in case.conditions() {
        if case.lacks(c).iter().any(|l| l.contains("feed"))
            && let Some(claim) = c.claims.first()
        {
            let text = format!("the feed of {} does not exist or is stale", c.id);
            out.push(Raised::new("DF11", claim, &c.id, Severity::Note, text, Some(c.at)));
        }
    }
}

/// DF12: planned runs that are not reported.
pub fn df12_holes(case: &Case, _: &[ClaimResult], out: &mut Vec<Raised>) {
    for (p, x) in case.site().planned().filter(|(_, x)| x.assemblies.iter().any(|a| a.text == case.id())) {
        if !case.court.reported(&x.id) {
            // Each claim of that run is held at not-yet by the run itself; this line is for the count.
            let text = format!("{} ({}) is planned in {} and not reported", x.id, x.what, p.id);
            out.push(Raised::new("DF12", "C11.1", &x.id, Severity::Note, text, Some(x.at)));
        }
    }
}

/// DF13: many units are reworked.
pub fn df13_rework(case: &Case, _: &[ClaimResult], out: &mut Vec<Raised>) {
    for s in case.process().step.iter().filter(|s| s.kind == StepKind::Rework) {
        if let Some(r) = s.rate.as_ref().filter(|r| r.si > 0.03) {
            out.push(Raised::new(
                "DF13",
                "C6.5",
                &s.recipe,
                Severity::Note,
                format!("{r} of the units are reworked"),
                Some(r.at),
            ));
        }
    }
}

/// DF14: a place comes near the softening point.
pub fn df14_softening(_: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    if let Some(c) = leaf(claims, "C2.7").filter(|c| c.margin < 10.0) {
        let text =
            format!("{} is {} K beyond the agreed margin to the softening point", c.place, significant(c.margin, 2));
        out.push(Raised::new("DF14", "C2.7", &c.place, Severity::Note, text, None));
    }
}

/// DF17: nobody knows the field record of the present process.
pub fn df17_field_record(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    let known = case.site().runs.iter().any(|r| {
        r.run.kind == RunKind::Returns
            && case.site().targets(&r.run).1.iter().any(|a| a.text == case.id())
            && case.site().builds_of(&r.run).any(|(_, b)| b.washed == Washed::Water)
    });
    if !known && claims.iter().any(|c| c.tree == TreeKind::Present && c.id == "I12") {
        let text = "the field record of the present process is not known".to_string();
        out.push(Raised::new("DF17", "I12", "returns", Severity::Note, text, Some(case.a.assembly.at)));
    }
}

/// DF18: the product moved on after the test boards of it were built.
pub fn df18_newer_layout(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for v in case.site().vehicles.iter().filter(|v| v.assembly.as_ref().is_some_and(|a| a.text == case.id())) {
        let Some(rev) = &v.assembly_rev else { continue };
        if rev.text == case.a.assembly.rev.text {
            continue;
        }
        for c in claims.iter().filter(|c| c.leaf && c.state != State::NotApplicable) {
            let uses = c.runs.iter().any(|id| {
                case.site().run(id).is_some_and(|r| case.site().builds_of(&r.run).any(|(x, _)| x.id.text == v.id.text))
            });
            if uses {
                let text = format!("{} is revision {rev}, the assembly is revision {}", v.id, case.a.assembly.rev);
                out.push(Raised::new("DF18", &c.id, &v.id, Severity::Minor, text, Some(v.at)));
            }
        }
    }
}

/// DF26: evidence younger than an approval.
pub fn df26_approval(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for a in case.site().acceptances.iter().filter(|a| a.assembly.text == case.id()) {
        let Some(on) = a.on else { continue };
        let newer =
            claims.iter().flat_map(|c| c.runs.iter()).filter_map(|id| case.site().run(id)).find(|r| r.run.end.day > on);
        if let Some(r) = newer {
            let text = format!("{} was accepted on {on}, {} ended on {}", a.document, r.run.id, r.run.end.day);
            out.push(Raised::new("DF26", &a.claim, &r.run.id, Severity::Note, text, Some(a.at)));
        }
    }
}

/// A notice of change: after its day the claims that it names are open again; before it, it is printed.
pub fn changes(case: &Case, _: &[ClaimResult], out: &mut Vec<Raised>) {
    for n in &case.site().changes {
        let used = n.material.as_ref().is_none_or(|m| is_used(case, m));
        if !used || n.notified_on > case.court.as_of() {
            continue;
        }
        let effective = n.effective_on <= case.court.as_of();
        let severity = if effective { Severity::Major } else { Severity::Note };
        for claim in &n.claims {
            let text = format!("{}, effective {}", n.text, n.effective_on);
            out.push(Raised::new("EXPIRED_CHANGE", claim, &n.id, severity, text, Some(n.at)));
        }
    }
}

/// Whether a material is part of the assembly; where the site does not say what it is used for, it is.
fn is_used(case: &Case, id: &str) -> bool {
    use crate::model::processes::MaterialKind as M;
    let (a, board) = (case.a, &case.a.board);
    let process = |p: Option<&crate::model::Text>| p.and_then(|p| case.site().process(p));
    // A key of the board that is no material's id may stand for any.
    let keyed = |key: &str| key == id || case.site().material(key).is_none();
    match case.material(id).kind {
        k if k.is_flux() => {
            let steps = case.process().step.iter().flat_map(|s| &s.fluxes);
            a.flux_uses.iter().filter(|f| f.order.si > 0.0).map(|f| &f.flux).chain(steps).any(|f| f.text == id)
        }
        M::Saponifier => [process(a.assembly.wash_process.as_ref()), process(Some(&a.assembly.present_process))]
            .into_iter()
            .flatten()
            .any(|p| p.wash_agent.as_ref().is_some_and(|x| x.text == id)),
        M::Coating => a.coating.as_ref().is_some_and(|c| c.material.text == id),
        M::Mask => keyed(&board.mask),
        M::Finish => keyed(&board.finish),
        M::Laminate => keyed(&board.laminate),
        _ => true,
    }
}
