//! Takes weighed plans and how sure the numbers are; gives the spread of what every plan saves.

use super::named::Weighed;
use super::poly::Poly;
use super::prices::Prices;
use super::spread::{Case, spreads};
use crate::compute::maths::distribution::Distribution;
use crate::model::economy::{Shape, Uncertain};
use crate::quantity::Quantity;

/// Weight of the mode of a PERT distribution, as usual.
const LAMBDA: f64 = 4.0;
/// Distance of the median from the mean, as a share of the mean, from which on one must look at the whole distribution.
const APART: f64 = 0.1;

/// The distribution of an uncertain number, in its own unit or as a factor.
///
/// # Errors
/// In words, when a number of it is missing.
pub fn distribution(u: &Uncertain) -> Result<Distribution, String> {
    let n = |q: &Option<Quantity>, name: &str| {
        q.as_ref().map(|q| q.si).ok_or_else(|| format!("{} needs {name}", u.parameter))
    };
    let (low, mode, high) = (|| n(&u.low, "low"), || n(&u.mode, "mode"), || n(&u.high, "high"));
    let (mean, sd) = (|| n(&u.mean, "mean"), || n(&u.sd, "sd"));
    Ok(match u.shape {
        Shape::Fixed => Distribution::Fixed { value: mode()? },
        Shape::Triangular => Distribution::Triangular { low: low()?, mode: mode()?, high: high()? },
        Shape::Pert => Distribution::Pert { low: low()?, mode: mode()?, high: high()?, lambda: LAMBDA },
        Shape::Uniform => Distribution::Uniform { low: low()?, high: high()? },
        Shape::Normal => Distribution::Normal { mean: mean()?, sd: sd()? },
        Shape::Lognormal => Distribution::Lognormal { mean: mean()?, sd: sd()? },
    })
}

/// Simulates all plans but the first, which is what savings are measured against, with common draws.
///
/// # Errors
/// As [`distribution`].
pub fn enter(uncertain: &[&Uncertain], p: &Prices, weighed: &mut [Weighed]) -> Result<Vec<String>, String> {
    let of: Vec<Distribution> = uncertain.iter().map(|u| distribution(u)).collect::<Result<_, _>>()?;
    let chances: Vec<Poly> = p.packs.iter().map(|x| x.2.poly.clone()).collect();
    let Some((keep, others)) = weighed.split_first_mut() else { return Ok(Vec::new()) };
    let cases: Vec<Case> = others.iter().map(|w| Case { paths: w.paths.clone() }).collect();
    let (seed, draws) = (p.economy.seed.si as u64, p.economy.draws.si as usize);
    let mut warnings = Vec::new();
    for (w, s) in others.iter_mut().zip(spreads(&of, &chances, &keep.cost, &cases, seed, draws)) {
        if w.paths.len() > 1 && (s.p50 - s.mean).abs() > APART * s.mean.abs() {
            warnings.push(format!(
                "{} ends on one of {} paths that lie far apart: neither its mean nor its median comes about, so look at the histogram",
                w.result.id,
                w.paths.len()
            ));
        }
        w.result.spread = Some(s);
    }
    Ok(warnings)
}
