//! Gates on who, what and when: registration before the data (G2), identity (G7), independence (G11).

use super::Dock;
use crate::judge::court::is_laboratory;
use crate::model::assessment::{GateEffect, GateResult};
use crate::model::evidence::RunKind;

/// G2: the protocol was signed before the run began, and planned it.
pub fn g2_registration(d: &Dock) -> GateResult {
    let run = &d.r.run;
    let Some((protocol, _)) = d.site.planned().find(|(_, x)| x.id.text == run.id.text) else {
        return d.result(
            "G2",
            GateEffect::Exploratory,
            "no protocol planned this run: it may raise doubts, never support",
        );
    };
    if run.protocol.as_ref().is_none_or(|p| p.text != protocol.id.text) {
        return d.result(
            "G2",
            GateEffect::Exploratory,
            format!("the run does not name protocol {}, which planned it", protocol.id),
        );
    }
    if protocol.signed_on >= run.start.day {
        return d.result(
            "G2",
            GateEffect::Exploratory,
            format!(
                "protocol {} was signed on {}, not before the start on {}",
                protocol.id, protocol.signed_on, run.start.day
            ),
        );
    }
    d.result(
        "G2",
        GateEffect::Passed,
        format!("planned in {} signed {}, started {}", protocol.id, protocol.signed_on, run.start.day),
    )
}

/// G7: every build names its fluxes with revision and a registered lot.
pub fn g7_identity(d: &Dock) -> GateResult {
    let run = &d.r.run;
    let free = matches!(
        run.kind,
        RunKind::IncomingIonic | RunKind::VisualStudy | RunKind::Datasheet | RunKind::Returns | RunKind::Lots
    );
    if run.builds.is_empty() {
        return if free {
            d.result("G7", GateEffect::Passed, "no build belongs to this kind of run")
        } else {
            d.result("G7", GateEffect::Inadmissible, "no build is named: materials and lots are unknown")
        };
    }
    for (_, build) in d.site.builds_of(run) {
        // Insulation is measured on finished boards, other things perhaps before and after a wash; data of a line grow
        // with the boards.
        let finished = matches!(run.kind, RunKind::Sir | RunKind::Ecm);
        let (word, day) = if finished { ("start", run.start.day) } else { ("end", run.end.day) };
        if is_laboratory(run.kind) && build.date > day {
            let text = format!("build {} is dated {}, after the {word} on {day}", build.id, build.date);
            return d.result_at("G7", GateEffect::Inadmissible, text, build.at);
        }
        for f in &build.flux {
            let Some(lot) = d.site.lots.iter().find(|l| l.id.text == f.lot.text && l.material.text == f.material.text)
            else {
                return d.result_at(
                    "G7",
                    GateEffect::Inadmissible,
                    format!("build {}: lot {} of {} is not registered", build.id, f.lot, f.material),
                    f.at,
                );
            };
            if lot.formulation_rev.text != f.formulation_rev.text {
                return d.result_at(
                    "G7",
                    GateEffect::Inadmissible,
                    format!(
                        "build {}: {} is stated at formulation {}, lot {} is {}",
                        build.id, f.material, f.formulation_rev, lot.id, lot.formulation_rev
                    ),
                    f.at,
                );
            }
        }
    }
    d.result("G7", GateEffect::Passed, "materials, revisions, lots, recipes and operators are named")
}

/// G11: whoever analysed did not build, and somebody else checked.
pub fn g11_independence(d: &Dock) -> GateResult {
    let run = &d.r.run;
    let built_it = d.site.builds_of(run).any(|(_, b)| b.operator.text == run.analyst.text);
    if built_it {
        return d.result_at(
            "G11",
            GateEffect::CapConditional,
            format!("{} built and analysed", run.analyst),
            run.analyst.at,
        );
    }
    match &run.second_check {
        None => d.result("G11", GateEffect::CapConditional, "no second person checked the analysis"),
        Some(p) if p.text == run.analyst.text => {
            d.result_at("G11", GateEffect::CapConditional, "the analyst checked their own work", p.at)
        }
        Some(_) if run.analysis_version.is_none() && is_laboratory(run.kind) => {
            d.result("G11", GateEffect::CapConditional, "the version of the analysis is not recorded")
        }
        Some(p) => d.result("G11", GateEffect::Passed, format!("analysed by {}, checked by {p}", run.analyst)),
    }
}
