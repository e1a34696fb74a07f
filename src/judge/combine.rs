//! Takes judged leaves; gives every claim above them: by the minimum, or by the best of alternatives.

use crate::judge::conditions::earlier;
use crate::judge::finding::{Write, blank, lower};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::{ClaimSpec, Combine, TreeKind};

/// Results of all claims of one tree in the order of their specifications, leaves taken from `leaves`. Every claim
/// above them passes `after` before the claim above it looks at it.
pub fn combine(
    specs: &[&ClaimSpec],
    tree: TreeKind,
    leaves: &[ClaimResult],
    after: &dyn Fn(&mut ClaimResult),
) -> Vec<ClaimResult> {
    let specs: Vec<&ClaimSpec> = specs.iter().copied().filter(|s| s.tree == tree).collect();
    let mut done: Vec<ClaimResult> = Vec::new();
    for s in &specs {
        done.push(match leaves.iter().find(|l| l.tree == tree && l.id == s.id.text) {
            Some(l) => l.clone(),
            None => blank(s),
        });
    }
    // Children before parents: a claim is ready when all of its children are.
    let mut ready: Vec<bool> = done.iter().map(|c| c.leaf).collect();
    for _ in 0..specs.len() {
        for i in 0..specs.len() {
            if ready[i] {
                continue;
            }
            let children: Vec<usize> = (0..specs.len())
                .filter(|&j| specs[j].parent.as_ref().is_some_and(|p| p.text == specs[i].id.text))
                .collect();
            if children.iter().all(|&j| ready[j]) {
                let kids: Vec<(&ClaimSpec, ClaimResult)> = children
                    .iter()
                    .filter(|&&j| specs[j].optional != Some(true) && (!done[j].after_issue || done[i].after_issue))
                    .map(|&j| (specs[j], done[j].clone()))
                    .collect();
                raise(specs[i], &kids, &mut done[i]);
                after(&mut done[i]);
                ready[i] = true;
            }
        }
    }
    done
}

fn raise(spec: &ClaimSpec, kids: &[(&ClaimSpec, ClaimResult)], out: &mut ClaimResult) {
    let mut bearing: Vec<&(&ClaimSpec, ClaimResult)> =
        kids.iter().filter(|k| k.1.state != State::NotApplicable).collect();
    if bearing.is_empty() {
        if spec.all_na == Some(true) && !kids.is_empty() {
            out.state = State::NotApplicable;
        } else {
            out.reason(Code::Missing, "", "nothing below it applies", Some(spec.at));
        }
        return;
    }
    match spec.combine.unwrap_or(Combine::All) {
        Combine::All => out.state = bearing.iter().fold(State::NotApplicable, |s, k| lower(s, k.1.state)),
        Combine::Any => {
            // The best alternative carries the claim, and only its waivers and conditions bind. Of two alike, evidence
            // comes before a waiver.
            let cost = |k: &(&ClaimSpec, ClaimResult)| (k.1.waivers.len(), k.1.conditions.len());
            let best = bearing.iter().copied().min_by_key(|k| (std::cmp::Reverse(k.1.state), cost(k)));
            let Some(best) = best else { return };
            out.state = best.1.state;
            let tag = |s: &ClaimSpec| s.phenomenon.as_ref().map(|p| p.text.trim().to_lowercase());
            let refuted = bearing.iter().find(|k| {
                k.1.state == State::Contradicted && tag(k.0).is_some() && tag(k.0) == tag(best.0) && k.0.id != best.0.id
            });
            if let Some(k) = refuted.filter(|_| out.state >= State::WithConditions) {
                out.reason(
                    Code::Conflict,
                    k.1.id.clone(),
                    format!("{} holds, and {} says the contrary of the same thing", best.1.id, k.1.id),
                    Some(spec.at),
                );
                out.state = State::NotYet;
            }
            if out.state >= State::WithConditions {
                bearing = vec![best];
            }
        }
    }
    for (_, k) in &bearing {
        for c in &k.conditions {
            if !out.conditions.contains(c) {
                out.conditions.push(c.clone());
            }
        }
        for w in &k.waivers {
            if !out.waivers.contains(w) {
                out.waivers.push(w.clone());
            }
        }
        let from = k.valid_until_from.clone();
        earlier(&mut out.valid_until, &mut out.valid_until_from, k.valid_until, || from);
        if k.state == out.state && k.state < State::Supported {
            for r in &k.reasons {
                out.reason(r.code, if k.leaf { k.id.clone() } else { r.detail.clone() }, r.text.clone(), r.at);
            }
        }
    }
    out.conditions.sort();
    out.waivers.sort();
}
