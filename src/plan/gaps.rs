//! Takes the trees of every assembly and what could still be done; gives the cheapest actions that lift each, and the site.

use super::closing::{Closing, Goal, calendar, cheapest, lifts};
use super::money::{Inputs, Ledger, Money};
use super::reach::{Pack, weeks};
use super::tree::Tree;
use crate::compute::calc::joint_chance;
use crate::model::assessment::{AssemblyResult, Assessment, State};
use crate::model::economy::Action;
use crate::model::governance::TreeKind;
use crate::model::planning::{ClosingAction, ClosingSet, Wider};
use crate::model::site::Site;

/// The trees that actions may lift.
const TREES: [TreeKind; 2] = [TreeKind::Leave, TreeKind::Wash];

/// For every assembly without a supported route: the cheapest set that lifts leaving, and the one that lifts washing
/// where an action speaks to it; then the cheapest set after which every assembly has a route.
///
/// # Errors
/// In words, when a search did not end.
pub fn closing(
    site: &Site,
    assessment: &Assessment,
    packs: &[Pack],
    stop: &dyn Fn() -> bool,
    b: &mut Ledger,
) -> Result<Vec<ClosingSet>, String> {
    let actions: Vec<&Action> = site.plan.actions.iter().collect();
    let good = |s: State| matches!(s, State::Supported | State::WithConditions);
    let without: Vec<&AssemblyResult> = assessment
        .assemblies
        .iter()
        .filter(|r| !good(r.state) && !good(r.wash_state) && !good(r.present_state))
        .collect();
    let mut out = Vec::new();
    let mut groups: Vec<Vec<(String, Tree)>> = Vec::new();
    for r in &without {
        let mut group = Vec::new();
        for kind in TREES {
            let Some(tree) = Tree::of(site, r, kind) else { continue };
            let spoken = tree.nodes.iter().any(|n| actions.iter().any(|a| lifts(a, &r.id, &n.id)));
            if kind == TreeKind::Leave || spoken {
                let found = cheapest(&actions, &[vec![(r.id.as_str(), &tree)]], stop)?;
                out.push(set(&r.id, kind.word(), &actions, packs, &found, &[(&r.id, &tree)], b)?);
            }
            group.push((r.id.clone(), tree));
        }
        groups.push(group);
    }
    if groups.len() > 1 {
        let goals: Vec<Vec<Goal>> = groups.iter().map(|g| g.iter().map(|(id, t)| (id.as_str(), t)).collect()).collect();
        let found = cheapest(&actions, &goals, stop)?;
        let all: Vec<Goal> = goals.concat();
        out.push(set("", "any", &actions, packs, &found, &all, b)?);
    }
    Ok(out)
}

fn set(
    assembly: &str,
    tree: &str,
    actions: &[&Action],
    packs: &[Pack],
    found: &Closing,
    goals: &[Goal],
    b: &mut Ledger,
) -> Result<ClosingSet, String> {
    let name = if assembly.is_empty() { "the site".to_string() } else { format!("{assembly}, {tree}") };
    let (indexes, beyond): (Vec<usize>, Vec<String>) = match found {
        Closing::Set(s) => (s.clone(), Vec::new()),
        Closing::Beyond(claims) => (
            Vec::new(),
            claims.iter().map(|(a, c)| if assembly.is_empty() { format!("{a} {c}") } else { c.clone() }).collect(),
        ),
    };
    let taken: Vec<&Action> = indexes.iter().map(|&i| actions[i]).collect();
    let parts: Vec<Money> = taken.iter().map(|a| Money::stated(&a.cost)).collect();
    let nothing = Money::fixed(0.0, "no action");
    let inputs: Inputs =
        if parts.is_empty() { vec![("c", &nothing)] } else { parts.iter().map(|m| ("c", m)).collect() };
    let cost = b.first(&crate::compute::calc::cost_sum::CALC, &format!("closing set of {name}"), &inputs)?;
    let same = |p: &&Pack| {
        p.actions.len() == taken.len() && p.actions.iter().all(|x| taken.iter().any(|y| y.id.text == x.id.text))
    };
    let stated = packs.iter().find(same).filter(|p| {
        let product: f64 = p.actions.iter().map(|a| a.chance.si).product();
        p.chance != product
    });
    let one = Money::fixed(1.0, "nothing else has to succeed");
    let mut chance = match stated {
        Some(p) => Money::fixed(p.chance, "stated by the package of these actions"),
        None => one.clone(),
    };
    let subject = format!("closing set of {name}: all succeed");
    if stated.is_some() || taken.is_empty() {
        let start = if taken.is_empty() { Money::fixed(0.0, "no set") } else { chance.clone() };
        chance = b.first(&joint_chance::CALC, &subject, &vec![("p_1", &start), ("p_2", &one)])?;
    } else {
        for a in &taken {
            let own = Money::stated(&a.chance);
            chance = b.first(&joint_chance::CALC, &subject, &vec![("p_1", &chance), ("p_2", &own)])?;
        }
    }
    let blocked = |a: &Action| -> Vec<(String, String)> {
        let mut out = Vec::new();
        for (id, tree) in goals {
            for n in tree.blocking(&|_| false) {
                if lifts(a, id, &n.id) && !out.contains(&((*id).to_string(), n.id.clone())) {
                    out.push(((*id).to_string(), n.id.clone()));
                }
            }
        }
        out
    };
    Ok(ClosingSet {
        assembly: assembly.to_string(),
        tree: tree.to_string(),
        actions: taken
            .iter()
            .map(|a| ClosingAction {
                action: a.id.text.clone(),
                text: a.text.text.clone(),
                cost: a.cost.si,
                weeks: a.weeks.si,
                span: span(a, &taken),
                chance: a.chance.si,
                lifts: blocked(a),
                before: taken.iter().filter(|x| follows(x, a)).map(|x| x.id.text.clone()).collect(),
                at: a.at,
            })
            .collect(),
        cost: cost.amount(),
        weeks: calendar(actions, &indexes),
        chance: chance.amount(),
        stated: stated.is_some(),
        beyond,
        wider: if taken.is_empty() { Vec::new() } else { wider(packs, &taken, &|a| !blocked(a).is_empty()) },
    })
}

/// Whether an action cannot begin before another one is done.
fn follows(action: &Action, before: &Action) -> bool {
    action.after.iter().any(|x| x.text == before.id.text)
}

/// Beginning and end of an action, weeks from the beginning of the set: it begins when all before it is done.
fn span(a: &Action, set: &[&Action]) -> (f64, f64) {
    let before: Vec<&Action> = set.iter().copied().filter(|b| chained(a, b, set, set.len())).collect();
    let from = weeks(&before);
    (from, from + a.weeks.si)
}

/// Whether a chain leads from one action to another one after it.
fn chained(a: &Action, before: &Action, set: &[&Action], depth: usize) -> bool {
    follows(a, before) || depth > 0 && set.iter().any(|x| follows(a, x) && chained(x, before, set, depth - 1))
}

/// Packages that hold a set and more, with what the rest of them is good for.
fn wider(packs: &[Pack], set: &[&Action], lifts: &dyn Fn(&Action) -> bool) -> Vec<Wider> {
    let within = |p: &Pack, a: &Action| p.actions.iter().any(|x| x.id.text == a.id.text);
    let found = packs.iter().filter(|p| p.actions.len() > set.len() && set.iter().all(|a| within(p, a)));
    found
        .map(|p| {
            let rest = p.actions.iter().copied().filter(|a| !set.iter().any(|x| x.id.text == a.id.text));
            let needed = |a: &Action| {
                lifts(a) || p.actions.iter().any(|x| lifts(x) && chained(x, a, &p.actions, p.actions.len()))
            };
            let (other, idle): (Vec<&Action>, Vec<&Action>) = rest.partition(|a| needed(a));
            let ids = |list: Vec<&Action>| list.iter().map(|a| a.id.text.clone()).collect();
            Wider {
                package: p.id.clone(),
                actions: p.actions.len(),
                cost: p.cost,
                weeks: p.weeks,
                chance: p.chance,
                idle: ids(idle),
                other: ids(other),
            }
        })
        .collect()
}
