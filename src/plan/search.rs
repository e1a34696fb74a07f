//! Takes plain numbers of a site; gives the cheapest way to buy evidence and to treat every assembly, with how sure that is.

use super::induction::Induction;
use super::instance::{Instance, Step};
use super::policy::{Leaf, Policy};
use super::reach::Won;
use super::staged::{End, Followed, Known, follow, known};
use crate::model::planning::Search;
use std::collections::BTreeMap;

/// How far to look.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Most packages of which every policy is weighed; beyond them the search goes from one to a better one.
    pub exact: usize,
    /// Most sets of today's changes that are all tried.
    pub today: usize,
    /// Most integer programmes.
    pub programmes: usize,
    /// Most branches of one of them.
    pub branches: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self { exact: 6, today: 300, programmes: 6000, branches: 20_000 }
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
/// Assemblies times ends beyond which one programme over all ends is not tried.
const SMALL: usize = 400;

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
    best_knowing(of, packs, None, limits, stop, &mut Ends::new())
}

/// As [`best`], with the ends that were solved for this site before; they do not depend on chances. With `first` the best
/// plan that buys this package before anything is known.
///
/// # Errors
/// As there; and when there are too many packages to weigh every policy, and one is to be `first`.
pub fn best_knowing(
    of: &Instance,
    packs: &[usize],
    first: Option<usize>,
    limits: &Limits,
    stop: &dyn Fn() -> bool,
    ends: &mut Ends,
) -> Result<Best, String> {
    let mut run = Run { of, limits, stop, solved: 0, weighed: 0, loose: false, stopped: None, refused: None, ends };
    let relevant: Vec<usize> = of.relevant().into_iter().filter(|p| packs.contains(p)).collect();
    let (followed, bound) = match (relevant.len() <= limits.exact, first) {
        (true, _) => run.induce(&relevant, first)?,
        (false, None) => run.climb(&relevant)?,
        (false, Some(_)) => return Err("too many packages to weigh every policy".into()),
    };
    let gap = if followed.cost.abs() > 0.0 { (followed.cost - bound).max(0.0) / followed.cost.abs() } else { 0.0 };
    let proven = gap <= SAME && run.stopped.is_none();
    let search = Search { proven, bound, gap, policies: run.weighed, solved: run.solved, stopped: run.stopped };
    Ok(Best { followed, search })
}

/// Packages that succeeded, month in which that is known, and today's changes where they are given.
type EndKey = (Won, u32, Option<Vec<Step>>);
/// Ends that were solved.
pub type Ends = BTreeMap<EndKey, Option<Known>>;

struct Run<'a> {
    of: &'a Instance,
    limits: &'a Limits,
    stop: &'a dyn Fn() -> bool,
    solved: usize,
    weighed: usize,
    /// Some end was not solved to its optimum.
    loose: bool,
    stopped: Option<String>,
    refused: Option<String>,
    /// What is done by packages that succeeded, the month in which that is known, and today's changes.
    ends: &'a mut Ends,
}

impl Run<'_> {
    /// One end alone, solved once; see [`known`].
    fn known(&mut self, won: Won, month: u32, now: Option<&[Step]>) -> Option<Known> {
        let key = (won, month, now.map(<[Step]>::to_vec));
        if let Some(k) = self.ends.get(&key) {
            let k = k.clone();
            self.loose |= k.as_ref().is_some_and(|k| k.cost - k.bound > SAME * (1.0 + k.cost.abs()));
            return k;
        }
        if !self.may_go_on() {
            return None;
        }
        self.solved += 1;
        let found = match known(self.of, won, month, now, self.limits.branches, self.stop) {
            Ok(k) => {
                self.loose |= k.cost - k.bound > SAME * (1.0 + k.cost.abs());
                Some(k)
            }
            Err(e) => {
                self.refused.get_or_insert(e);
                None
            }
        };
        self.ends.insert(key, found.clone());
        found
    }

    /// Whether another integer programme may be solved.
    fn may_go_on(&mut self) -> bool {
        if (self.stop)() {
            self.stopped = Some("the time that was given is over".into());
        } else if self.solved >= self.limits.programmes {
            self.stopped = Some(format!("{} integer programmes were solved", self.solved));
        }
        self.stopped.is_none()
    }

    /// Expected cost of packages.
    fn packages(&self, leaves: &[Leaf]) -> f64 {
        let one = |r: &(usize, bool, u32)| self.of.packs[r.0].cost * self.of.paid(r.2);
        leaves.iter().map(|l| l.chance * l.results.iter().map(one).sum::<f64>()).sum()
    }

    /// What a policy costs at least: as if its outcomes were foreseen when today's changes are decided.
    fn at_least(&mut self, policy: &Policy) -> f64 {
        let leaves = policy.leaves(self.of);
        let mut sum = self.packages(&leaves);
        for l in &leaves {
            sum += l.chance * self.known(l.won, l.month, None).map_or(f64::NEG_INFINITY, |k| k.bound);
        }
        sum
    }

    /// One policy with these of today's changes; none when they do not fit.
    fn with_now(&mut self, policy: &Policy, leaves: &[Leaf], now: &[Step]) -> Option<Followed> {
        let (mut cost, mut ends) = (self.packages(leaves), Vec::new());
        for leaf in leaves {
            let k = self.known(leaf.won, leaf.month, Some(now))?;
            cost += leaf.chance * k.cost;
            ends.push(End { leaf: leaf.clone(), steps: k.steps });
        }
        let contained = policy.contained(self.of);
        Some(Followed { policy: policy.clone(), ends, cost, bound: f64::NEG_INFINITY, proven: false, contained })
    }

    /// The cheapest way to follow one policy, which costs at least `least`: with today's changes as they would be if one of
    /// its ends were foreseen; where that leaves a gap, by one programme over all ends. None when nothing fits.
    fn follow(&mut self, policy: &Policy, least: f64) -> Option<Followed> {
        let leaves = policy.leaves(self.of);
        let mut nows: Vec<Vec<Step>> =
            leaves.iter().filter_map(|l| self.known(l.won, l.month, None)).map(|k| k.now).collect();
        if let Some(first) = nows.first().cloned() {
            nows.push(first.into_iter().filter(|s| nows.iter().all(|n| n.contains(s))).collect());
        }
        nows.sort();
        nows.dedup();
        let mut best: Option<Followed> = None;
        for now in nows {
            if let Some(f) = self.with_now(policy, &leaves, &now)
                && best.as_ref().is_none_or(|b| f.cost < b.cost)
            {
                best = Some(f);
            }
        }
        let close = |b: &Followed| b.cost - least <= SAME * (1.0 + b.cost.abs());
        if let Some(b) = best.as_mut().filter(|b| close(b)) {
            (b.bound, b.proven) = (b.cost, true);
            return best;
        }
        let small = leaves.len() * self.of.assemblies() <= SMALL;
        if small && self.may_go_on() {
            self.solved += 1;
            match follow(self.of, policy, self.limits.branches, self.stop) {
                Ok(f) if best.as_ref().is_none_or(|b| f.cost <= b.cost) => best = Some(f),
                Ok(f) => best.as_mut().into_iter().for_each(|b| b.bound = b.bound.max(f.bound)),
                Err(e) => {
                    self.refused.get_or_insert(e);
                }
            }
        }
        if let Some(b) = &mut best {
            b.bound = b.bound.max(least);
            b.proven = close(b);
        }
        best
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
            let Some(f) = self.follow(&policy, least) else {
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

    /// Every policy over a few packages, with these of today's changes, or with each outcome foreseen.
    fn induction(
        &mut self,
        packs: &[usize],
        first: Option<usize>,
        now: Option<&[Step]>,
    ) -> Option<(Policy, (f64, f64))> {
        let of = self.of;
        let mut end = |won, month| {
            let k = self.known(won, month, now)?;
            Some(if now.is_some() { k.cost } else { k.bound })
        };
        let mut all = Induction::new(of, packs, &mut end);
        let (best, states) = (all.best(first), all.states());
        self.weighed = self.weighed.max(states);
        best
    }

    /// The best policy over a few packages: with today's changes as they would be if an end were foreseen; where that
    /// leaves a gap, with every set of today's changes.
    fn induce(&mut self, packs: &[usize], first: Option<usize>) -> Result<(Followed, f64), String> {
        // Foreseen outcomes cost no more than those that one has to wait for.
        let least = self.induction(packs, first, None);
        let mine: Won = packs.iter().fold(0, |w, p| w | 1 << p);
        let foreseen = self.ends.iter().filter(|(key, _)| key.2.is_none() && key.0 & !mine == 0);
        let mut nows: Vec<Vec<Step>> = foreseen.filter_map(|(_, k)| k.as_ref()).map(|k| k.now.clone()).collect();
        if let Some(one) = nows.first().cloned() {
            nows.push(one.into_iter().filter(|s| nows.iter().all(|n| n.contains(s))).collect());
        }
        nows.sort();
        nows.dedup();
        let mut best: Option<(Policy, (f64, f64), Vec<Step>)> = None;
        let mut tried = 0;
        let close = |best: &Option<(Policy, (f64, f64), Vec<Step>)>| match (best, &least) {
            (Some((_, v, _)), Some((_, least))) => v.0 <= least.0 + SAME && v.1 - least.1 <= SAME * (1.0 + v.1.abs()),
            _ => false,
        };
        loop {
            while let Some(now) = nows.get(tried).filter(|_| !close(&best)).cloned() {
                tried += 1;
                if let Some((policy, value)) = self.induction(packs, first, Some(&now))
                    && best.as_ref().is_none_or(|b| better(value, b.1))
                {
                    best = Some((policy, value, now));
                }
            }
            if close(&best) || nows.len() > tried || self.stopped.is_some() {
                break;
            }
            let Some(all) = self.of.today_changes(self.limits.today) else { break };
            let more: Vec<Vec<Step>> = all.into_iter().filter(|n| !nows.contains(n)).collect();
            if more.is_empty() {
                break;
            }
            nows.extend(more);
        }
        let every =
            self.of.today_changes(self.limits.today).is_some_and(|all| all.iter().all(|n| nows[..tried].contains(n)));
        let (policy, value, now) =
            best.ok_or_else(|| self.refused.take().unwrap_or_else(|| "no plan was found within the limits".into()))?;
        let leaves = policy.leaves(self.of);
        let mut followed = self.with_now(&policy, &leaves, &now).ok_or("a plan that was found cannot be followed")?;
        let foreseen = least.filter(|l| self.stopped.is_none() && value.0 <= l.1.0 + SAME).map(|l| l.1.1);
        let exact = every && !self.loose && self.stopped.is_none();
        let bound = if exact { followed.cost } else { foreseen.unwrap_or(f64::NEG_INFINITY) };
        (followed.bound, followed.proven) = (bound, followed.cost - bound <= SAME * (1.0 + followed.cost.abs()));
        Ok((followed, bound))
    }

    /// From no evidence on, always to the best policy that differs by one purchase, as long as that is better.
    fn climb(&mut self, packs: &[usize]) -> Result<(Followed, f64), String> {
        self.weighed = 1;
        let least = self.at_least(&Policy::Decide);
        let start = self.follow(&Policy::Decide, least);
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
        for a in 0..of.assemblies() {
            // What has a route already is never contained.
            let contained = self.of.is_contained(a, 0);
            for t in 0..of.treatments.len() {
                let any = t == of.today || of.treatments[t].contained;
                if !of.after[a][t].is_empty() || (contained && any) {
                    of.after[a][t] = vec![0];
                }
            }
        }
        of.treatments.iter_mut().for_each(|t| t.contained = false);
        self.solved += 1;
        known(&of, 0, 0, None, self.limits.branches, self.stop).map_or(f64::NEG_INFINITY, |k| k.bound)
    }
}
