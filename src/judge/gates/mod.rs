//! Takes a run; gives its standing: which gates of admissibility it passes, and what it may still do.

mod identity;
mod laboratory;
mod readings;

use std::collections::BTreeMap;

use crate::diag::At;
use crate::judge::verdict::verdict;
use crate::model::assessment::{GateEffect, GateResult, RunStanding, Verdict};
use crate::model::evidence::RunKind;
use crate::model::governance::Criterion;
use crate::model::site::{RunFolder, Site};
use crate::model::workings::Workings;

/// The standing of every run, by id.
pub fn standings<'a>(site: &'a Site, workings: &Workings) -> BTreeMap<&'a str, RunStanding> {
    site.runs.iter().map(|r| (r.run.id.text.as_str(), standing(site, workings, r))).collect()
}

/// What a gate needs to look at.
pub(super) struct Dock<'a> {
    pub site: &'a Site,
    pub workings: &'a Workings,
    pub r: &'a RunFolder,
}

impl<'a> Dock<'a> {
    /// The agreed limit of a gate, by the quantity that it compares.
    fn limit(&self, gate: &str, quantity: &str) -> Option<&'a Criterion> {
        self.site.criteria.iter().find(|c| c.quantity.text == quantity && c.applies_to.iter().any(|x| x.text == gate))
    }

    fn result(&self, gate: &'static str, effect: GateEffect, text: impl Into<String>) -> GateResult {
        GateResult { gate, effect, text: text.into(), at: self.r.run.at }
    }

    fn result_at(&self, gate: &'static str, effect: GateEffect, text: impl Into<String>, at: At) -> GateResult {
        GateResult { gate, effect, text: text.into(), at }
    }
}

fn standing(site: &Site, workings: &Workings, r: &RunFolder) -> RunStanding {
    let d = Dock { site, workings, r };
    let run = &r.run;
    let (age, expires) = laboratory::g12_age(&d);
    let gates = vec![
        readings::g1_integrity(&d),
        identity::g2_registration(&d),
        laboratory::g3_scope(&d),
        laboratory::g4_calibration(&d),
        readings::g5_conditions(&d),
        readings::g6_controls(&d),
        identity::g7_identity(&d),
        readings::g9_sampling(&d),
        readings::g10_completeness(&d),
        identity::g11_independence(&d),
        age,
    ];
    let effect = gates.iter().map(|g| g.effect).max().unwrap_or(GateEffect::Passed);
    let first_failed = gates.iter().find(|g| g.effect != GateEffect::Passed).map_or("", |g| g.gate);
    // Only criteria of the claims that the run is to speak to: a limit of another claim says nothing of it.
    let (claims, _) = site.targets(run);
    let concerns = |id: &str| {
        site.criterion(id).is_some_and(|c| c.applies_to.iter().any(|x| claims.iter().any(|t| t.text == x.text)))
    };
    let worst = workings
        .outcomes
        .iter()
        .filter(|o| o.run == run.id.text && concerns(&o.criterion))
        .map(|o| verdict(o).0)
        .min()
        .unwrap_or(Verdict::NotShown);
    let informative = run.kind == RunKind::Datasheet || run.informative == Some(true);
    let excluded = run.excluded == Some(true);
    let exploratory = gates.iter().any(|g| g.effect == GateEffect::Exploratory);
    let role = if run.end.day > site.as_of {
        "pending"
    } else if informative {
        "informative"
    } else if excluded {
        "excluded"
    } else {
        match effect {
            GateEffect::Inadmissible => "inadmissible",
            // Age takes nothing away from a run that was never registered, and adds nothing to it.
            _ if exploratory => "exploratory",
            GateEffect::Expired => "expired",
            _ => "used",
        }
    };
    let verdict = match role {
        "pending" => Verdict::Planned,
        "informative" => Verdict::Informative,
        "inadmissible" => Verdict::Inadmissible,
        _ => worst,
    };
    RunStanding { run: run.id.text.clone(), gates, effect, first_failed, verdict, expires, role }
}
