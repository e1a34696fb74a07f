//! Takes judged leaves; gives every claim above them: by the minimum, or by the best of alternatives.

use crate::judge::conditions::earlier;
use crate::judge::finding::{Write, blank, lower};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::{ClaimSpec, Combine, TreeKind};

/// Results of all claims of one tree in the order of their specifications, leaves taken from `leaves`.
pub fn combine(specs: &[&ClaimSpec], tree: TreeKind, leaves: &[ClaimResult]) -> Vec<ClaimResult> {
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
                let kids: Vec<ClaimResult> = children
                    .iter()
                    .filter(|&&j| specs[j].optional != Some(true) && (!done[j].after_issue || done[i].after_issue))
                    .map(|&j| done[j].clone())
                    .collect();
                raise(specs[i], &kids, &mut done[i]);
                ready[i] = true;
            }
        }
    }
    done
}

fn raise(spec: &ClaimSpec, kids: &[ClaimResult], out: &mut ClaimResult) {
    let applicable: Vec<&ClaimResult> = kids.iter().filter(|k| k.state != State::NotApplicable).collect();
    if applicable.is_empty() {
        if spec.all_na == Some(true) && !kids.is_empty() {
            out.state = State::NotApplicable;
        } else {
            out.reason(Code::Missing, "", "nothing below it applies", Some(spec.at));
        }
        return;
    }
    out.state = match spec.combine.unwrap_or(Combine::All) {
        Combine::All => applicable.iter().fold(State::NotApplicable, |s, k| lower(s, k.state)),
        Combine::Any => {
            let best = applicable.iter().map(|k| k.state).max().unwrap_or(State::NotYet);
            let refuted = applicable.iter().any(|k| k.state == State::Contradicted && k.value.is_finite());
            if best >= State::WithConditions && refuted {
                out.reason(Code::Conflict, "", "one alternative holds and another is contradicted", Some(spec.at));
                State::NotYet
            } else {
                best
            }
        }
    };
    for k in &applicable {
        for c in &k.conditions {
            if !out.conditions.contains(c) {
                out.conditions.push(c.clone());
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
}
