//! Takes packages and what is done with today's changes given; gives, from the last result back, the best way to buy evidence.

use super::instance::Instance;
use super::policy::Policy;
use super::reach::Won;
use super::search::better;
use std::collections::BTreeMap;

/// What is bought and what came out until some month.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct State {
    tested: Won,
    won: Won,
    month: u32,
}

/// Expected assemblies without a supported treatment, expected cost from here on, packages included.
type Value = (f64, f64);

/// Every way of buying some packages, one after the other or side by side, weighed from its ends back. What one end costs
/// does not depend on the way there, so few ends carry very many ways.
pub struct Induction<'a> {
    of: &'a Instance,
    packs: &'a [usize],
    /// Cost when no more is bought, by what succeeded and the month in which that is known; none where nothing fits.
    end: &'a mut dyn FnMut(Won, u32) -> Option<f64>,
    /// By state: the value, and what is bought next.
    seen: BTreeMap<State, Option<(Value, Won)>>,
}

impl<'a> Induction<'a> {
    pub fn new(of: &'a Instance, packs: &'a [usize], end: &'a mut dyn FnMut(Won, u32) -> Option<f64>) -> Self {
        Self { of, packs, end, seen: BTreeMap::new() }
    }

    /// The best policy and its value; with `first` of those that buy this package before anything is known. None when
    /// nothing fits.
    pub fn best(&mut self, first: Option<usize>) -> Option<(Policy, Value)> {
        let root = State { tested: 0, won: 0, month: 0 };
        let (value, next) = match first {
            None => self.value(root)?,
            Some(pack) => self.least(root, |set| set >> pack & 1 == 1)?,
        };
        Some((self.policy(root, next), value))
    }

    /// Number of states that were looked at.
    pub fn states(&self) -> usize {
        self.seen.len()
    }

    fn value(&mut self, s: State) -> Option<(Value, Won)> {
        if let Some(known) = self.seen.get(&s) {
            return *known;
        }
        let best = self.least(s, |_| true);
        self.seen.insert(s, best);
        best
    }

    /// The best of what may be bought next, nothing being the first of them.
    fn least(&mut self, s: State, may: impl Fn(Won) -> bool) -> Option<(Value, Won)> {
        let rest: Vec<usize> = self.packs.iter().copied().filter(|p| s.tested >> p & 1 == 0).collect();
        let mut best: Option<(Value, Won)> = None;
        for chosen in 0u32..1 << rest.len() {
            let set = members(&rest, chosen).fold(0, |w: Won, p| w | 1 << p);
            if !may(set) {
                continue;
            }
            let value = match set {
                0 => (self.end)(s.won, s.month).map(|cost| (self.of.contained(s.won) as f64, cost)),
                _ => self.bought(s, set),
            };
            if let Some(v) = value
                && best.is_none_or(|b| better(v, b.0))
            {
                best = Some((v, set));
            }
        }
        best
    }

    /// Value of buying a set next.
    fn bought(&mut self, s: State, set: Won) -> Option<Value> {
        let packs: Vec<usize> = members(self.packs, u32::MAX).filter(|p| set >> p & 1 == 1).collect();
        let month = s.month + packs.iter().map(|&p| self.of.packs[p].months).max().unwrap_or(0);
        let paid = |p: usize| {
            let test = &self.of.packs[p];
            test.cost * self.of.paid(s.month + if test.paid_at_end { test.months } else { 0 })
        };
        let mut sum = (0.0, packs.iter().map(|&p| paid(p)).sum::<f64>());
        for outcome in 0u32..1 << packs.len() {
            let succeeds = |k: usize| outcome >> k & 1 == 1;
            let each = packs.iter().enumerate();
            let chance: f64 = each
                .clone()
                .map(|(k, &p)| if succeeds(k) { self.of.packs[p].chance } else { 1.0 - self.of.packs[p].chance })
                .product();
            if chance == 0.0 {
                continue;
            }
            let won = each.filter(|(k, _)| succeeds(*k)).fold(s.won, |w, (_, &p)| w | 1 << p);
            let (value, _) = self.value(State { tested: s.tested | set, won, month })?;
            sum = (sum.0 + chance * value.0, sum.1 + chance * value.1);
        }
        Some(sum)
    }

    /// What is bought next, and then, written out.
    fn policy(&mut self, s: State, set: Won) -> Policy {
        if set == 0 {
            return Policy::Decide;
        }
        let packs: Vec<usize> = members(self.packs, u32::MAX).filter(|p| set >> p & 1 == 1).collect();
        let month = s.month + packs.iter().map(|&p| self.of.packs[p].months).max().unwrap_or(0);
        let then = (0u32..1 << packs.len()).map(|outcome| {
            let won =
                packs.iter().enumerate().filter(|(k, _)| outcome >> k & 1 == 1).fold(s.won, |w, (_, &p)| w | 1 << p);
            let next = State { tested: s.tested | set, won, month };
            // An outcome that cannot come about was not looked at.
            let set = self.seen.get(&next).copied().flatten().map_or(0, |known| known.1);
            self.policy(next, set)
        });
        let then = then.collect();
        Policy::Buy(packs, then)
    }
}

/// Members of a list by the bits of a number.
fn members(list: &[usize], bits: u32) -> impl Iterator<Item = usize> {
    list.iter().enumerate().filter(move |(k, _)| bits >> k & 1 == 1).map(|x| *x.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::instance::Test;

    /// Three tests, each with its own length, cost and chance; ends whose costs and months differ.
    fn site() -> Instance {
        let test = |cost, months, chance, paid_at_end| Test { cost, months, chance, paid_at_end };
        Instance {
            once: 0.99,
            packs: vec![test(4.0, 2, 0.6, false), test(7.0, 5, 0.8, true), test(3.0, 1, 0.3, false)],
            ..Instance::default()
        }
    }

    #[test]
    fn induction_is_as_good_as_every_policy_written_out() {
        let of = site();
        let packs = [0, 1, 2];
        for seed in 0..40u32 {
            // Any numbers will do as costs of ends, as long as they depend on outcome and month alone.
            let end = |won: Won, month: u32| {
                let mixed = (won * 7919 + seed * 104_729 + month * 31) % 97;
                f64::from(mixed) + f64::from(month) - 9.0 * f64::from(won.count_ones())
            };
            let cost = |p: &Policy| -> f64 {
                let one = |l: &crate::plan::policy::Leaf| {
                    let paid = l.results.iter().map(|r| of.packs[r.0].cost * of.paid(r.2)).sum::<f64>();
                    l.chance * (paid + end(l.won, l.month))
                };
                p.leaves(&of).iter().map(one).sum()
            };
            let all = Policy::all(&packs, 1000).expect("few");
            let least = all.iter().map(cost).fold(f64::INFINITY, f64::min);
            let mut ends = |won, month| Some(end(won, month));
            let mut run = Induction::new(&of, &packs, &mut ends);
            let (policy, value) = run.best(None).expect("a policy");
            assert!(
                (value.1 - least).abs() < 1e-9 && (cost(&policy) - least).abs() < 1e-9,
                "{seed}: {value:?}, {least}"
            );
            for first in packs {
                let buys = |p: &&Policy| matches!(p, Policy::Buy(set, _) if set.contains(&first));
                let least = all.iter().filter(buys).map(cost).fold(f64::INFINITY, f64::min);
                let (policy, value) = run.best(Some(first)).expect("a policy");
                assert!((value.1 - least).abs() < 1e-9 && (cost(&policy) - least).abs() < 1e-9, "{seed}: {first}");
            }
        }
    }

    #[test]
    fn where_no_end_fits_there_is_no_policy() {
        let of = site();
        let mut ends = |_: Won, _: u32| None;
        assert!(Induction::new(&of, &[0, 1], &mut ends).best(None).is_none());
    }
}
