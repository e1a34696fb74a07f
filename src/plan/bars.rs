//! Takes savings as sums of products, and what is uncertain; gives how each saving moves with each number alone, the widest first.

use super::drawn::distribution;
use super::money::Ledger;
use super::named::{Draft, Weighed};
use super::poly::Poly;
use super::prices::Prices;
use super::reach::{Pack, Reach};
use super::{RATE, named};
use crate::compute::maths::distribution::Distribution;
use crate::model::economy::Uncertain;
use crate::model::planning::Bar;
use crate::model::site::Site;
use crate::quantity::compact;

/// Share of the values below the low end, and above the high end, of a shape that has no ends.
const TAIL: f64 = 0.05;
/// A saving that moves by less than this does not move.
const STILL: f64 = 1e-6;

/// Low and high end of an uncertain number, in its own unit or as factors.
///
/// # Errors
/// As [`distribution`].
pub fn ends(u: &Uncertain) -> Result<(f64, f64), String> {
    let of = distribution(u)?;
    Ok(match of {
        Distribution::Fixed { value } => (value, value),
        Distribution::Normal { .. } | Distribution::Lognormal { .. } => (of.quantile(TAIL), of.quantile(1.0 - TAIL)),
        Distribution::Uniform { low, high }
        | Distribution::Triangular { low, high, .. }
        | Distribution::Pert { low, high, .. } => (low, high),
    })
}

/// Numbers that the site states outside of their own distribution.
///
/// # Errors
/// As [`distribution`].
pub fn outside(uncertain: &[&Uncertain], b: &Ledger) -> Result<Vec<String>, String> {
    let mut out = Vec::new();
    for (u, base) in uncertain.iter().zip(&b.base) {
        let (low, high) = ends(u)?;
        if *base < low || *base > high {
            let (low, high, base) = (compact(low), compact(high), compact(*base));
            let factor = if u.relative == Some(true) { "the factor " } else { "" };
            out.push(format!(
                "{} is {factor}{base} in every amount, and {low} to {high} in the draws: amounts and spread speak of two sites",
                u.parameter
            ));
        }
    }
    Ok(out)
}

/// Savings of all drafts, in order, at another discount rate. Its workings are thrown away.
///
/// # Errors
/// As [`named::weigh`].
pub fn at_rate(site: &Site, packs: &[Pack], reach: &Reach, drafts: &[Draft], rate: f64) -> Result<Vec<f64>, String> {
    let mut b = Ledger::new("", &[]);
    let p = Prices::new(site, packs, Some(rate), &mut b)?;
    let mut costs = Vec::new();
    for d in drafts {
        costs.push(named::weigh(&p, reach, d, None, &mut b)?.result.cost.value);
    }
    Ok(costs.iter().map(|c| costs[0] - c).collect())
}

/// One uncertain number at both ends, for every plan.
struct Swing<'a> {
    of: &'a Uncertain,
    ends: (f64, f64),
    savings: (Vec<f64>, Vec<f64>),
}

/// Writes the bars of every plan; the first one is what the others are measured against.
///
/// # Errors
/// As [`ends`]; and when a plan cannot be priced at another discount rate.
pub fn enter(
    site: &Site,
    (packs, reach): (&[Pack], &Reach),
    drafts: &[Draft],
    plans: &mut [Weighed],
    b: &Ledger,
) -> Result<(), String> {
    let Some(keep) = plans.first().map(|w| w.cost.clone()) else { return Ok(()) };
    let savings: Vec<Poly> = plans.iter().map(|w| keep.sub(&w.cost)).collect();
    let mut swings = Vec::new();
    let mut variable = 0;
    for u in &site.plan.uncertain {
        let drawn = u.parameter.text != RATE;
        let own = variable;
        variable += usize::from(drawn);
        let (low, high) = ends(u)?;
        let at = |x: f64| -> Result<Vec<f64>, String> {
            if !drawn {
                return at_rate(site, packs, reach, drafts, x);
            }
            let mut values = b.base.clone();
            values[own] = x;
            Ok(savings.iter().map(|s| s.at(&values)).collect())
        };
        swings.push(Swing { of: u, ends: (low, high), savings: (at(low)?, at(high)?) });
    }
    for (i, w) in plans.iter_mut().enumerate() {
        let bars = swings.iter().map(|s| Bar {
            parameter: s.of.parameter.text.clone(),
            low: s.ends.0,
            high: s.ends.1,
            saving_low: s.savings.0[i],
            saving_high: s.savings.1[i],
            basis: s.of.basis.text.clone(),
            at: s.of.at,
        });
        let width = |b: &Bar| (b.saving_high - b.saving_low).abs();
        let mut bars: Vec<Bar> = bars.filter(|b| width(b) > STILL).collect();
        bars.sort_by(|a, b| width(b).total_cmp(&width(a)).then_with(|| a.parameter.cmp(&b.parameter)));
        w.result.tornado = bars;
    }
    Ok(())
}
