//! Takes plain numbers of a site; gives the cheapest way to buy evidence and to treat every assembly, with how sure that is.

use super::instance::Instance;
use super::policy::Policy;
use super::staged::{Followed, follow};
use crate::model::planning::Search;

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
    let mut run = Run { of, limits, stop, solved: 0, weighed: 0, stopped: None, refused: None };
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

    /// Every policy, those first that leave the fewest assemblies without a supported treatment; the others never win.
    fn all(&mut self, policies: Vec<Policy>) -> Result<(Followed, f64), String> {
        self.weighed = policies.len();
        let weighed: Vec<(f64, Policy)> = policies.into_iter().map(|p| (p.contained(self.of), p)).collect();
        let mut order: Vec<f64> = weighed.iter().map(|w| w.0).collect();
        order.sort_by(f64::total_cmp);
        order.dedup_by(|a, b| *a - *b < SAME);
        for least in order {
            let (mut best, mut bound): (Option<Followed>, f64) = (None, f64::INFINITY);
            for (_, policy) in weighed.iter().filter(|w| (w.0 - least).abs() < SAME) {
                let Some(f) = self.follow(policy) else { continue };
                bound = bound.min(f.bound);
                if best.as_ref().is_none_or(|b| better((f.contained, f.cost), (b.contained, b.cost))) {
                    best = Some(f);
                }
            }
            if let Some(best) = best {
                let bound = if self.stopped.is_some() { bound.min(self.free()) } else { bound };
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
        loop {
            let mut next: Option<Followed> = None;
            let mut around: Vec<(f64, Policy)> =
                best.policy.neighbours(packs).into_iter().map(|p| (p.contained(self.of), p)).collect();
            around.sort_by(|a, b| a.0.total_cmp(&b.0));
            self.weighed += around.len();
            for (contained, policy) in around {
                let to_beat = next.as_ref().unwrap_or(&best);
                if contained > to_beat.contained + SAME {
                    break;
                }
                let Some(f) = self.follow(&policy) else { if self.stopped.is_some() { break } else { continue } };
                if better((f.contained, f.cost), (to_beat.contained, to_beat.cost)) {
                    next = Some(f);
                }
            }
            match next {
                Some(n) => best = n,
                None => break,
            }
            if self.solved >= self.limits.programmes || (self.stop)() {
                break;
            }
        }
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
