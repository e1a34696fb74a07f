//! Ways of buying evidence: which packages first, and which then, whatever comes out of them.

use super::instance::Instance;
use super::reach::Won;

/// Most packages of which pairs are weighed as one step.
const PAIRS: usize = 8;

/// What is bought next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Policy {
    /// Nothing more: every assembly is decided.
    Decide,
    /// These packages side by side; then what each outcome asks for, the outcomes counted in binary, the first package
    /// the lowest bit.
    Buy(Vec<usize>, Vec<Policy>),
}

/// One end of a policy.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaf {
    pub won: Won,
    pub chance: f64,
    /// Month in which the last result is known.
    pub month: u32,
    /// Package, success, month of payment.
    pub results: Vec<(usize, bool, u32)>,
}

impl Policy {
    /// Its ends, in order of outcome.
    pub fn leaves(&self, of: &Instance) -> Vec<Leaf> {
        let mut out = Vec::new();
        self.collect(of, Leaf { won: 0, chance: 1.0, month: 0, results: Vec::new() }, &mut out);
        out
    }

    fn collect(&self, of: &Instance, at: Leaf, out: &mut Vec<Leaf>) {
        let Self::Buy(packs, then) = self else {
            out.push(at);
            return;
        };
        let known = at.month + packs.iter().map(|&p| of.packs[p].months).max().unwrap_or(0);
        for (outcome, next) in then.iter().enumerate() {
            let mut leaf = Leaf { month: known, ..at.clone() };
            for (k, &p) in packs.iter().enumerate() {
                let (test, success) = (&of.packs[p], outcome >> k & 1 == 1);
                leaf.chance *= if success { test.chance } else { 1.0 - test.chance };
                leaf.won |= if success { 1 << p } else { 0 };
                leaf.results.push((p, success, if test.paid_at_end { at.month + test.months } else { at.month }));
            }
            next.collect(of, leaf, out);
        }
    }

    /// Expected number of assemblies that end without a supported treatment.
    pub fn contained(&self, of: &Instance) -> f64 {
        self.leaves(of).iter().map(|l| l.chance * of.contained(l.won) as f64).sum()
    }

    /// Every policy over some packages, the least bought first; none when there are more than `most`.
    pub fn all(packs: &[usize], most: usize) -> Option<Vec<Self>> {
        let mut out = vec![Self::Decide];
        for set in 1u32..1 << packs.len().min(16) {
            let chosen: Vec<usize> =
                packs.iter().enumerate().filter(|(k, _)| set >> k & 1 == 1).map(|x| *x.1).collect();
            let rest: Vec<usize> = packs.iter().copied().filter(|p| !chosen.contains(p)).collect();
            let next = Self::all(&rest, most)?;
            let outcomes = 1usize << chosen.len();
            let ways = (0..outcomes).fold(1.0, |n, _| n * next.len() as f64);
            if ways + out.len() as f64 > most as f64 {
                return None;
            }
            let mut then = vec![0usize; outcomes];
            loop {
                out.push(Self::Buy(chosen.clone(), then.iter().map(|&i| next[i].clone()).collect()));
                let Some(k) = then.iter().position(|&i| i + 1 < next.len()) else { break };
                then[..k].fill(0);
                then[k] += 1;
            }
        }
        Some(out)
    }

    /// Policies that differ from this one by one more purchase, or one less, at one of its ends.
    pub fn neighbours(&self, packs: &[usize]) -> Vec<Self> {
        match self {
            Self::Decide => {
                let buy = |set: Vec<usize>| {
                    let ends = 1usize << set.len();
                    Self::Buy(set, vec![Self::Decide; ends])
                };
                let pairs =
                    packs.iter().enumerate().flat_map(|(i, &p)| packs[i + 1..].iter().map(move |&q| vec![p, q]));
                // Two at a time only while there are few of them.
                let pairs = pairs.filter(|_| packs.len() <= PAIRS);
                packs.iter().map(|&p| vec![p]).chain(pairs).map(buy).collect()
            }
            Self::Buy(bought, then) => {
                let mut out = Vec::new();
                if then.iter().all(|t| *t == Self::Decide) {
                    out.push(Self::Decide);
                }
                let rest: Vec<usize> = packs.iter().copied().filter(|p| !bought.contains(p)).collect();
                for (i, t) in then.iter().enumerate() {
                    for n in t.neighbours(&rest) {
                        let mut then = then.clone();
                        then[i] = n;
                        out.push(Self::Buy(bought.clone(), then));
                    }
                }
                out
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::instance::Test;

    #[test]
    fn policies_are_counted_by_hand() {
        // f(0) = 1; f(1) = 1 + f(0)^2 = 2; f(2) = 1 + 2 f(1)^2 + f(0)^4 = 10; f(3) = 1 + 3 f(2)^2 + 3 f(1)^4 + 1 = 350.
        for (n, count) in [(0, 1), (1, 2), (2, 10), (3, 350)] {
            let packs: Vec<usize> = (0..n).collect();
            assert_eq!(Policy::all(&packs, 1000).expect("few").len(), count);
        }
        assert_eq!(Policy::all(&[0, 1, 2, 3], 1000), None);
    }

    #[test]
    fn one_after_the_other_takes_longer_and_all_chances_sum_to_one() {
        let test = |months, chance, paid_at_end| Test { cost: 1.0, months, chance, paid_at_end };
        let of = Instance { packs: vec![test(3, 0.65, false), test(5, 0.7, true)], ..Instance::default() };
        let then = Policy::Buy(vec![1], vec![Policy::Decide, Policy::Decide]);
        let leaves = Policy::Buy(vec![0], vec![then, Policy::Decide]).leaves(&of);
        let expected = [(0, 0.35 * 0.3, 8), (2, 0.35 * 0.7, 8), (1, 0.65, 3)];
        for (l, (won, chance, month)) in leaves.iter().zip(expected) {
            assert!(l.won == won && (l.chance - chance).abs() < 1e-12 && l.month == month, "{l:?}");
        }
        assert_eq!(leaves[1].results, [(0, false, 0), (1, true, 8)]);
        assert!((leaves.iter().map(|l| l.chance).sum::<f64>() - 1.0).abs() < 1e-12);
    }
}
