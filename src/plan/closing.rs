//! Takes trees of claims and actions that lift some of them; gives the cheapest actions that lift a tree, exactly.

use super::program::{Program, Sum, Var};
use super::reach::weeks;
use super::tree::{From, Tree};
use crate::model::assessment::State;
use crate::model::economy::Action;

/// Branches after which the search for the cheapest set is given up.
const BRANCHES: u64 = 200_000;
/// Longest that a chain of actions may be, weeks.
const LONG: f64 = 1e5;

/// A tree that is to be lifted: the assembly that its claims belong to, and the tree.
pub type Goal<'a> = (&'a str, &'a Tree);

/// Actions of the cheapest set, by index, or the claims that nothing lifts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Closing {
    Set(Vec<usize>),
    /// Assembly and claim.
    Beyond(Vec<(String, String)>),
}

/// Whether an action lifts a claim of an assembly.
pub fn lifts(action: &Action, assembly: &str, claim: &str) -> bool {
    action.closes.iter().any(|c| c.assembly.text == assembly && c.claims.iter().any(|x| x.text == claim))
}

/// Whether some of the actions lift a tree.
fn lifted(actions: &[&Action], set: &[usize], (assembly, tree): Goal) -> bool {
    tree.holds(&|id| set.iter().any(|&i| lifts(actions[i], assembly, id)))
}

/// The cheapest actions that lift at least one goal of every group; of sets that cost the same the one that is done
/// first, then the one with fewer actions. What has to come before an action is part of the set.
///
/// # Errors
/// In words, when the search did not end.
pub fn cheapest(actions: &[&Action], groups: &[Vec<Goal>], stop: &dyn Fn() -> bool) -> Result<Closing, String> {
    let all: Vec<usize> = (0..actions.len()).collect();
    let mut beyond = Vec::new();
    for group in groups.iter().filter(|g| !g.iter().any(|&goal| lifted(actions, &all, goal))) {
        if let Some(&(assembly, tree)) = group.first() {
            let any = |id: &str| actions.iter().any(|a| lifts(a, assembly, id));
            beyond.extend(tree.blocking(&any).into_iter().map(|n| (assembly.to_string(), n.id.clone())));
        }
    }
    if !beyond.is_empty() {
        return Ok(Closing::Beyond(beyond));
    }
    let cheapest = solve(actions, groups, None, stop)?;
    let cost: f64 = cheapest.iter().map(|&i| actions[i].cost.si).sum();
    let mut set = solve(actions, groups, Some(cost), stop)?;
    // What costs nothing may have come along without need.
    for i in set.clone() {
        let rest: Vec<usize> = set.iter().copied().filter(|&j| j != i).collect();
        let needed = rest.iter().any(|&j| actions[j].after.iter().any(|x| x.text == actions[i].id.text));
        if !needed && groups.iter().all(|g| g.iter().any(|&goal| lifted(actions, &rest, goal))) {
            set = rest;
        }
    }
    Ok(Closing::Set(set))
}

/// The set of least cost, or of least time among those that cost no more than `within`.
fn solve(
    actions: &[&Action],
    groups: &[Vec<Goal>],
    within: Option<f64>,
    stop: &dyn Fn() -> bool,
) -> Result<Vec<usize>, String> {
    let mut p = Program::default();
    // A little for every action, so that of equal sets the smaller one is taken.
    let take: Vec<Var> = actions.iter().map(|a| p.choice(if within.is_some() { 1e-6 } else { a.cost.si })).collect();
    let before = |a: &Action| -> Vec<usize> {
        (0..actions.len()).filter(|&j| a.after.iter().any(|x| x.text == actions[j].id.text)).collect()
    };
    for (i, a) in actions.iter().enumerate() {
        for j in before(a) {
            p.at_most(&[(take[i], 1.0), (take[j], -1.0)], 0.0);
        }
    }
    for group in groups {
        let tops: Sum = group.iter().filter_map(|&goal| top(&mut p, actions, &take, goal)).map(|v| (v, 1.0)).collect();
        p.at_least(&tops, 1.0);
    }
    if let Some(cost) = within {
        let sum: Sum = actions.iter().zip(&take).map(|(a, v)| (*v, a.cost.si)).collect();
        p.at_most(&sum, cost * (1.0 + 1e-9) + 1e-6);
        let end = p.number(1.0, 0.0);
        let ends: Vec<Var> = actions.iter().map(|_| p.number(0.0, 0.0)).collect();
        for (i, a) in actions.iter().enumerate() {
            // end_i >= weeks_i, or weeks_i after one before it, when taken; the last end is the one that counts.
            p.at_least(&[(ends[i], 1.0), (take[i], -a.weeks.si)], 0.0);
            for j in before(a) {
                p.at_least(&[(ends[i], 1.0), (ends[j], -1.0), (take[i], -LONG)], a.weeks.si - LONG);
            }
            p.at_least(&[(end, 1.0), (ends[i], -1.0)], 0.0);
        }
    }
    let found = p.solve(BRANCHES, stop)?;
    if !found.proven {
        return Err("the cheapest closing set was not found within the limits".into());
    }
    Ok((0..actions.len()).filter(|&i| found.yes(take[i])).collect())
}

/// The variable of the top of a tree: at most 1, and only above 0 when actions that are taken lift it.
fn top(p: &mut Program, actions: &[&Action], take: &[Var], (assembly, tree): Goal) -> Option<Var> {
    let mut vars: Vec<Option<Var>> = Vec::new();
    for node in &tree.nodes {
        let by: Sum =
            actions.iter().zip(take).filter(|(a, _)| lifts(a, assembly, &node.id)).map(|(_, v)| (*v, -1.0)).collect();
        let v = p.share(0.0);
        let own = |p: &mut Program| {
            let mut sum = if node.may_be_lifted() { by.clone() } else { Vec::new() };
            sum.push((v, 1.0));
            p.at_most(&sum, 0.0);
        };
        vars.push(match node.state {
            State::NotApplicable => None,
            State::Supported | State::WithConditions => {
                p.at_least(&[(v, 1.0)], 1.0);
                Some(v)
            }
            _ if node.from == From::Evidence => {
                own(p);
                Some(v)
            }
            _ => {
                let below: Vec<Var> = node.below.iter().filter_map(|&i| vars[i]).collect();
                if node.from == From::Any || below.is_empty() {
                    let mut sum: Sum = below.iter().map(|b| (*b, -1.0)).collect();
                    sum.push((v, 1.0));
                    p.at_most(&sum, 0.0);
                } else {
                    below.iter().for_each(|b| p.at_most(&[(v, 1.0), (*b, -1.0)], 0.0));
                }
                if node.held {
                    own(p);
                }
                Some(v)
            }
        });
    }
    vars.last().copied().flatten()
}

/// Weeks until the last of some actions is done.
pub fn calendar(actions: &[&Action], set: &[usize]) -> f64 {
    weeks(&set.iter().map(|&i| actions[i]).collect::<Vec<_>>())
}
