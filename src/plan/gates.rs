//! Takes gates and what the states allow; gives whether each is open, and what it waits for.

use super::reach::{Reach, state_of, tree_of};
use crate::model::assessment::{Assessment, State};
use crate::model::economy::{Gate, TreatmentRoute};
use crate::model::governance::TreeKind;
use crate::model::planning::GateState;
use crate::model::site::Site;

/// Every gate of the site, in order of file.
pub fn gates(site: &Site, assessment: &Assessment, reach: &Reach) -> Vec<GateState> {
    site.plan.gates.iter().map(|g| gate(site, assessment, reach, g)).collect()
}

fn gate(site: &Site, assessment: &Assessment, reach: &Reach, g: &Gate) -> GateState {
    let mut waits = Vec::new();
    if let Some(line) = &g.line {
        for a in 0..assessment.assemblies.len() {
            waits.push(leaves(site, assessment, reach, a, line));
        }
    }
    for c in &g.claim {
        let claim = assessment.assemblies.iter().find(|r| r.id == c.assembly.text);
        let claim = claim.and_then(|r| r.claims.iter().find(|x| x.id == c.claim.text));
        let state = claim.map_or(State::NotYet, |x| x.state);
        let good = matches!(state, State::Supported | State::WithConditions);
        waits.push((good, format!("{} {} is {}", c.assembly, c.claim, state.letter())));
    }
    for f in &g.fact {
        let done = f.done_on.is_some_and(|d| d <= assessment.as_of);
        let words = match (done, f.done_on) {
            (true, Some(day)) => format!("{}: since {day}", f.text),
            (false, Some(day)) => format!("{}: only on {day}", f.text),
            _ => format!("{}: not yet", f.text),
        };
        waits.push((done, words));
    }
    let open = !waits.is_empty() && waits.iter().all(|w| w.0);
    GateState { id: g.id.text.clone(), title: g.title.text.clone(), open, waits, at: g.at }
}

/// Whether an assembly can do without a line: another treatment is supported today, and its line is installed.
fn leaves(site: &Site, assessment: &Assessment, reach: &Reach, a: usize, line: &str) -> (bool, String) {
    let r = &assessment.assemblies[a];
    let plan = &site.plan;
    let (mut installed, mut missing) = (None, None);
    for (t, treatment) in plan.treatments.iter().enumerate() {
        let other =
            treatment.route != TreatmentRoute::Contained && treatment.line.as_ref().is_none_or(|l| l.text != line);
        if !other || !reach.may(a, t, 0) {
            continue;
        }
        let there = treatment
            .line
            .as_ref()
            .is_none_or(|l| plan.line(l).and_then(|l| l.installed_on).is_some_and(|day| day <= assessment.as_of));
        if there {
            installed.get_or_insert(&treatment.id.text);
        } else {
            missing.get_or_insert((&treatment.id.text, treatment.line.as_ref().map_or("", |l| l.text.as_str())));
        }
    }
    if let Some(t) = installed {
        return (true, format!("{}: {t} is supported", r.id));
    }
    if let Some((t, line)) = missing {
        return (false, format!("{}: {t} is supported, but {line} is not installed", r.id));
    }
    let trees = [TreeKind::Leave, TreeKind::Wash, TreeKind::Present];
    let top = |t: TreeKind| r.claims.iter().find(|c| c.tree == t && c.parent.is_none()).map_or("", |c| c.id.as_str());
    let states: Vec<String> = trees.iter().map(|t| format!("{} {}", top(*t), state_of(r, *t).letter())).collect();
    let on_line = plan.treatments.iter().enumerate().any(|(t, x)| tree_of(x.route).is_some() && reach.may(a, t, 0));
    let what = if on_line { format!("no supported route but on {line}") } else { "no supported route".to_string() };
    (false, format!("{}: {what} ({})", r.id, states.join(", ")))
}
