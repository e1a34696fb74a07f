//! Takes points in order; gives limits and signals of control charts, and capability.

use super::{Case, Fields, Kind, number};
use crate::compute::calc::{capability, ewma_chart, individuals_limits, individuals_rules};
use crate::compute::maths::{mean, median, moving_range, normal_cdf, sd};
use serde_json::Value;

pub const KINDS: &[(&str, Kind)] = &[("i_mr", i_mr), ("capability", capable), ("ewma", ewma)];

fn i_mr(case: &Case) -> Result<Fields, String> {
    use individuals_rules::{D4, E2, SIGMA, Signals};
    let x = case.list("x", 2)?;
    let (m, range) = (mean(&x), moving_range(&x));
    let steps: Vec<f64> = x.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    let (upper, lower) = (m + E2 * range, m - E2 * range);
    let (upper_table, lower_table) = individuals_limits::limits(m, range);
    let found = Signals::of(&x);
    Ok(Fields::default()
        .put("mean", m)
        .put("mr_bar", range)
        .put("sigma_within", range * SIGMA)
        .put("ucl_x", upper)
        .put("lcl_x", lower)
        .put("ucl_mr", range * D4)
        .put("lcl_mr", 0.0)
        .put("sd_overall", sd(&x))
        .put("ucl_x_table", upper_table)
        .put("lcl_x_table", lower_table)
        .put("ucl_mr_table", 3.267 * range)
        .put("median_mr", median(&steps))
        .add("beyond_limits", found.beyond)
        .add("run8_one_side", found.eight)
        .add("run9_one_side", found.nine)
        .add("trend6", found.trend)
        .add("mr_beyond_index", found.jumps))
}

fn capable(case: &Case) -> Result<Fields, String> {
    let x = case.list("x", 2)?;
    let end = |name: &str| case.value(name).map(|_| case.one(name)).transpose();
    let (lsl, usl) = (end("lsl")?, end("usl")?);
    let (low, high) = (lsl.unwrap_or(f64::NEG_INFINITY), usl.unwrap_or(f64::INFINITY));
    if lsl.is_none() && usl.is_none() {
        return Err("neither lsl nor usl is given".into());
    }
    if low >= high {
        return Err(format!("lsl = {low} is not below usl = {high}"));
    }
    let (m, s) = (mean(&x), sd(&x));
    let within = moving_range(&x) * individuals_rules::SIGMA;
    if !(s > 0.0 && within > 0.0 && s.is_finite()) {
        return Err("the readings have no spread".into());
    }
    let n = x.len() as f64;
    let (ppk, bound) = capability::cpk(m, s, n, low, high, 0.95);
    let outside = normal_cdf((low - m) / s) + normal_cdf((m - high) / s);
    let mut out = Fields::default();
    if lsl.is_some() && usl.is_some() {
        out = out.put("cp", (high - low) / (6.0 * within)).put("pp", (high - low) / (6.0 * s));
    }
    Ok(out
        .put("cpk", (high - m).min(m - low) / (3.0 * within))
        .put("ppk", ppk)
        .put("ppk_lower95_bissell", bound)
        .put("expected_ppm_outside_overall_normal", 1e6 * outside))
}

fn ewma(case: &Case) -> Result<Fields, String> {
    let x = case.list("x", 1)?;
    let lambda = case.within("lambda", 1e-9, 1.0)?;
    let (l, sigma) = (case.within("L", 0.0, 1e6)?, case.within("sigma", 0.0, 1e300)?);
    let c = ewma_chart::chart(&x, lambda, l, case.one("target")?, sigma);
    let list = |f: fn(&ewma_chart::Point) -> f64| Value::Array(c.points.iter().map(|p| number(f(p))).collect());
    Ok(Fields::default()
        .add("z", list(|p| p.z))
        .add("ucl", list(|p| p.upper))
        .add("lcl", list(|p| p.lower))
        .put("ucl_asymptotic", c.upper)
        .put("lcl_asymptotic", c.lower)
        .add("signals", c.signals))
}
