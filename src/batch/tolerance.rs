//! Takes readings, coverage and confidence; gives one-sided tolerance factors and bounds.

use super::{Case, Fields, Kind};
use crate::compute::maths::{mean, sd, tolerance_k};

pub const KINDS: &[(&str, Kind)] = &[("factor", factor), ("lower_bound_log10", lower_bound)];

fn k(case: &Case, n: f64) -> Result<f64, String> {
    let p = case.within("coverage", 0.5, 0.9999)?;
    let conf = case.within("confidence", 0.5, 0.9999)?;
    Ok(tolerance_k(n, p, conf))
}

fn factor(case: &Case) -> Result<Fields, String> {
    let n = case.whole("n", 2.0, 1e7)?;
    Ok(Fields::default().put("k", k(case, n)?))
}

fn lower_bound(case: &Case) -> Result<Fields, String> {
    let r = case.list("resistance_ohm", 2)?;
    if let Some(x) = r.iter().find(|x| **x <= 0.0) {
        return Err(format!("a resistance of {x} ohm has no logarithm"));
    }
    let logs: Vec<f64> = r.iter().map(|x| libm::log10(*x)).collect();
    let n = logs.len() as f64;
    let k = k(case, n)?;
    let (m, s) = (mean(&logs), sd(&logs));
    let lower = m - k * s;
    Ok(Fields::default()
        .add("n", logs.len())
        .put("mean_log10", m)
        .put("sd_log10", s)
        .put("k", k)
        .put("lower_log10", lower)
        .put("lower_ohm", libm::pow(10.0, lower)))
}
