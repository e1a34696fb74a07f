//! Takes judged claims; gives planned against reported runs, and evidence and criteria that no claim uses.

use crate::judge::court::Case;
use crate::model::assessment::{ClaimResult, RunCount};

/// Runs of this assembly by what became of them.
pub fn runs(case: &Case) -> RunCount {
    let mut out = RunCount::default();
    for (_, x) in case.site().planned().filter(|(_, x)| x.assemblies.iter().any(|a| a.text == case.id())) {
        out.planned += 1;
        if !case.court.reported(&x.id) {
            out.pending += 1;
            out.unreported.push(x.id.text.clone());
        }
    }
    out.registered = out.pending;
    for r in &case.site().runs {
        let mine = case.site().targets(&r.run).1.iter().any(|a| a.text == case.id());
        if !mine || !case.court.reported(&r.run.id) {
            continue;
        }
        out.registered += 1;
        match case.court.standing(&r.run.id).role {
            "informative" => out.informative += 1,
            "inadmissible" => out.inadmissible += 1,
            "excluded" => out.excluded += 1,
            "exploratory" => out.exploratory += 1,
            "expired" => out.expired += 1,
            _ => out.used += 1,
        }
    }
    out
}

/// Criteria and runs of this assembly that no claim uses: a finding of their own.
pub fn unused(case: &Case, claims: &[ClaimResult]) -> Vec<String> {
    let mut out = Vec::new();
    for c in case
        .site()
        .criteria
        .iter()
        .filter(|c| c.assemblies.is_empty() || c.assemblies.iter().any(|a| a.text == case.id()))
    {
        let gate = c.applies_to.iter().any(|x| x.text.starts_with('G'));
        let used = claims.iter().any(|k| k.criterion == c.id.text || k.voices.iter().any(|v| v.criterion == c.id.text));
        let threshold =
            claims.iter().any(|k| k.leaf && k.rule != "evidence" && c.applies_to.iter().any(|x| x.text == k.id));
        if !gate && !used && !threshold {
            out.push(format!("criterion {} compares nothing of this assembly", c.id));
        }
    }
    for r in &case.site().runs {
        if case.site().targets(&r.run).1.iter().any(|a| a.text == case.id())
            && case.court.standing(&r.run.id).role == "used"
            && !claims.iter().any(|k| k.runs.contains(&r.run.id.text))
        {
            out.push(format!("run {} carries no claim of this assembly", r.run.id));
        }
    }
    out
}
