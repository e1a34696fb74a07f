//! Takes the search; gives what every package of evidence is worth: against the best plan that may not buy it.

use super::instance::Instance;
use super::policy::Policy;
use super::search::{Best, Ends, Limits, best_knowing};
use super::staged::Followed;

/// Steps of the search for the chance from which on a package pays.
const HALVINGS: u32 = 12;

/// What one package is worth, in plain numbers.
#[derive(Debug, Clone)]
pub struct Worth {
    pub pack: usize,
    pub with: f64,
    pub without: f64,
    pub break_even: Option<f64>,
    pub contained: (f64, f64),
    /// The best plan without it.
    pub instead: Followed,
    /// Whether the best plan buys it on any path.
    pub bought: bool,
}

/// Whether a policy buys a package on any of its paths.
pub fn buys(p: &Policy, pack: usize) -> bool {
    match p {
        Policy::Decide => false,
        Policy::Buy(packs, then) => packs.contains(&pack) || then.iter().any(|t| buys(t, pack)),
    }
}

/// The worth of every package that some treatment waits for. `with` is the best plan that may buy all of them.
///
/// # Errors
/// As [`super::search::best`].
pub fn worth(
    of: &Instance,
    with: &Best,
    limits: &Limits,
    stop: &dyn Fn() -> bool,
    ends: &mut Ends,
) -> Result<Vec<Worth>, String> {
    let all = of.relevant();
    let mut out = Vec::new();
    for &pack in &all {
        let rest: Vec<usize> = all.iter().copied().filter(|p| *p != pack).collect();
        let without = best_knowing(of, &rest, None, limits, stop, ends)?.followed;
        let mut pays = |chance: f64| -> Result<bool, String> {
            let mut other = of.clone();
            other.packs[pack].chance = chance;
            let first = best_knowing(&other, &all, Some(pack), limits, stop, ends)?.followed;
            Ok(first.cost < without.cost - 1e-6 * without.cost.abs())
        };
        let break_even = if all.len() > limits.exact || stop() { None } else { least(&mut pays)? };
        out.push(Worth {
            pack,
            with: with.followed.cost,
            without: without.cost,
            break_even,
            contained: (with.followed.contained, without.contained),
            bought: buys(&with.followed.policy, pack),
            instead: without,
        });
    }
    Ok(out)
}

/// The least chance from which on something pays, by halving; none when it does not even for certain.
fn least(pays: &mut dyn FnMut(f64) -> Result<bool, String>) -> Result<Option<f64>, String> {
    if !pays(1.0)? {
        return Ok(None);
    }
    if pays(0.0)? {
        return Ok(Some(0.0));
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if pays(middle)? { high = middle } else { low = middle }
    }
    Ok(Some(high))
}
