//! Takes plain numbers of a site; gives the cheapest way to buy evidence and to treat every assembly, with how sure that is.

use super::instance::Instance;
use super::policy::Policy;
use super::reach::Won;
use super::staged::{Followed, follow, foreseen};
use crate::model::planning::Search;
use std::collections::BTreeMap;

/// How far to look.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Most policies that are all weighed; beyond them the search goes from one to a better one.
    pub policies: usize,
    /// Most integer programmes.
    pub programmes: usize,
    /// Most branches of one of them.
    pub branches: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self { policies: 400, programmes: 600, branches: 20_000 }
    }
}

/// The best that was found.
#[derive(Debug, Clone)]
pub struct Best {
    pub followed: Followed,
    pub search: Search,
}

/// Chances and amounts that differ by less are equal.
const SAME: f64 = 1e-9;

/// Whether `a` is better than `b`: fewer assemblies without a supported treatment, then less cost.
pub fn better(a: (f64, f64), b: (f64, f64)) -> bool {
    a.0 < b.0 - SAME || (a.0 < b.0 + SAME && a.1 < b.1 - SAME * (1.0 + b.1.abs()))
}

/// Searches with some of the packages only. No assembly is put into containment to save money: of two plans the one
/// with fewer expected assemblies without a supported treatment is better, whatever it costs.
///
/// # Errors
/// In words, when not even a plan without evidence fits into the lines.
pub fn best(of: &Instance, packs: &[usize], limits: &Limits, stop: &dyn Fn() -> bool) -> Result<Best, String> {
    let mut run =
        Run { of, limits, stop, solved: 0, weighed: 0, stopped: None, refused: None, foreseen: BTreeMap::new() };
    let relevant: Vec<usize> = of.relevant().into_iter().filter(|p| packs.contains(p)).collect();
    let (followed, bound) = match Policy::all(&relevant, limits.policies) {
        Some(all) => run.all(all)?,
        None => run.climb(&relevant)?,
    };
    let gap = if followed.cost.abs() > 0.0 { (followed.cost - bound).max(0.0) / followed.cost.abs() } else { 0.0 };
    let proven = gap <= SAME && run.stopped.is_none();
    let search = Search { proven, bound, gap, policies: run.weighed, solved: run.solved, stopped: run.stopped };
    Ok(Best { followed, search })
}

struct Run<'a> {
    of: &'a Instance,
    limits: &'a Limits,
    stop: &'a dyn Fn() -> bool,
    solved: usize,
    weighed: usize,
    stopped: Option<String>,
    refused: Option<String>,
    /// Least cost by packages that succeeded and the month in which that is known.
    foreseen: BTreeMap<(Won, u32), f64>,
}

impl Run<'_> {
    /// One policy; none when it does not fit, or when the search has to end.
    fn follow(&mut self, policy: &Policy) -> Option<Followed> {
        if (self.stop)() {
            self.stopped = Some("the time that was given is over".into());
            return None;
        }
        if self.solved >= self.limits.programmes {
            self.stopped = Some(format!("{} integer programmes were solved", self.solved));
            return None;
        }
        self.solved += 1;
        match follow(self.of, policy, self.limits.branches, self.stop) {
            Ok(f) => {
                if !f.proven && self.stopped.is_none() {
                    self.stopped =
                        Some(format!("an integer programme was not finished within {} branches", self.limits.branches));
                }
                Some(f)
            }
            Err(e) => {
                self.refused.get_or_insert(e);
                None
            }
        }
    }

    /// What a policy costs at least: as if its outcomes were foreseen when today's changes are decided.
    fn at_least(&mut self, policy: &Policy) -> f64 {
        let mut sum = 0.0;
        for leaf in policy.leaves(self.of) {
            let key = (leaf.won, leaf.month);
            if !self.foreseen.contains_key(&key) {
                self.solved += 1;
                let found = foreseen(self.of, leaf.won, leaf.month, self.limits.branches, self.stop);
                self.foreseen.insert(key, found.unwrap_or(f64::NEG_INFINITY));
            }
            let packs: f64 = leaf.results.iter().map(|r| self.of.packs[r.0].cost * self.of.paid(r.2)).sum();
            sum += leaf.chance * (self.foreseen[&key] + packs);
        }
        sum
    }

    /// The best of some policies that leave as many assemblies without a supported treatment, and the least that any of
    /// them can cost. Those that cannot be better than the best so far are not followed.
    fn best_of(&mut self, policies: Vec<Policy>) -> (Option<Followed>, f64) {
        let mut order: Vec<(f64, Policy)> = policies.into_iter().map(|p| (self.at_least(&p), p)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut best, mut bound): (Option<Followed>, f64) = (None, f64::INFINITY);
        for (least, policy) in order {
            if best.as_ref().is_some_and(|b| least >= b.cost - SAME * (1.0 + b.cost.abs())) {
                break;
            }
            let Some(f) = self.follow(&policy) else {
                bound = bound.min(least);
                continue;
            };
            bound = bound.min(f.bound);
            if best.as_ref().is_none_or(|b| better((f.contained, f.cost), (b.contained, b.cost))) {
                best = Some(f);
            }
        }
        (best, bound)
    }

    /// Every policy, those first that leave the fewest assemblies without a supported treatment; the others never win.
    fn all(&mut self, policies: Vec<Policy>) -> Result<(Followed, f64), String> {
        self.weighed = policies.len();
        let weighed: Vec<(f64, Policy)> = policies.into_iter().map(|p| (p.contained(self.of), p)).collect();
        let mut order: Vec<f64> = weighed.iter().map(|w| w.0).collect();
        order.sort_by(f64::total_cmp);
        order.dedup_by(|a, b| *a - *b < SAME);
        for least in order {
            let alike = weighed.iter().filter(|w| (w.0 - least).abs() < SAME).map(|w| w.1.clone()).collect();
            if let (Some(best), bound) = self.best_of(alike) {
                return Ok((best, bound));
            }
        }
        Err(self.refused.take().unwrap_or_else(|| "no plan was found within the limits".into()))
    }

    /// From no evidence on, always to the best policy that differs by one purchase, as long as that is better.
    fn climb(&mut self, packs: &[usize]) -> Result<(Followed, f64), String> {
        self.weighed = 1;
        let start = self.follow(&Policy::Decide);
        let mut best =
            start.ok_or_else(|| self.refused.take().unwrap_or_else(|| "no plan was found within the limits".into()))?;
        while self.stopped.is_none() {
            let around = best.policy.neighbours(packs);
            self.weighed += around.len();
            let weighed: Vec<(f64, Policy)> = around.into_iter().map(|p| (p.contained(self.of), p)).collect();
            let fewest = weighed.iter().map(|w| w.0).fold(best.contained, f64::min);
            let alike = weighed.into_iter().filter(|w| w.0 < fewest + SAME).map(|w| w.1).collect();
            match self.best_of(alike).0 {
                Some(n) if better((n.contained, n.cost), (best.contained, best.cost)) => best = n,
                _ => break,
            }
        }
        self.stopped.get_or_insert_with(|| "policies were weighed one purchase at a time".into());
        Ok((best, self.free()))
    }

    /// What it would cost if every package had succeeded already, for nothing, and containment were as good as a route:
    /// no policy costs less.
    fn free(&mut self) -> f64 {
        let mut of = self.of.clone();
        for sets in of.after.iter_mut() {
            for (t, set) in sets.iter_mut().enumerate() {
                if !set.is_empty() || t == of.today || of.treatments[t].contained {
                    *set = vec![0];
                }
            }
        }
        of.treatments.iter_mut().for_each(|t| t.contained = false);
        self.solved += 1;
        follow(&of, &Policy::Decide, self.limits.branches, self.stop).map_or(f64::NEG_INFINITY, |f| f.bound)
    }
}
