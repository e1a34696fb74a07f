//! Takes resistances, some known only to lie above, below or between limits; gives the lognormal population behind them.

use super::{Case, Fields, Kind};
use crate::compute::maths::{Readings, mean, normal_fit, normal_quantile};
use std::f64::consts::LN_10;

pub const KINDS: &[(&str, Kind)] = &[("lognormal_mle", lognormal)];

/// Decimal logarithms of a list that may be missing.
fn logs(case: &Case, name: &str) -> Result<Vec<f64>, String> {
    if case.value(name).is_none() {
        return Ok(Vec::new());
    }
    let ohm = case.list(name, 0)?;
    match ohm.iter().find(|r| **r <= 0.0) {
        Some(r) => Err(format!("{name}: a resistance of {r} ohm has no logarithm")),
        None => Ok(ohm.iter().map(|r| libm::log10(*r)).collect()),
    }
}

/// Intervals as decimal logarithms; one that begins at 0 ohm is a reading below its end.
fn intervals(case: &Case, readings: &mut Readings) -> Result<(), String> {
    const NAME: &str = "interval_ohm";
    let Some(v) = case.value(NAME) else { return Ok(()) };
    let wrong = |i: usize| format!("{NAME}[{i}] is not a pair of resistances, the lower first");
    for (i, pair) in v.as_array().ok_or_else(|| format!("{NAME} is not a list"))?.iter().enumerate() {
        let ends: Vec<f64> = pair.as_array().ok_or_else(|| wrong(i))?.iter().filter_map(|e| e.as_f64()).collect();
        match ends[..] {
            [low, high] if low == 0.0 && high > 0.0 => readings.below.push(libm::log10(high)),
            [low, high] if low > 0.0 && low < high => readings.between.push((libm::log10(low), libm::log10(high))),
            _ => return Err(wrong(i)),
        }
    }
    Ok(())
}

fn lognormal(case: &Case) -> Result<Fields, String> {
    let mut r = Readings {
        exact: logs(case, "exact_ohm")?,
        above: logs(case, "right_censored_at_ohm")?,
        below: logs(case, "left_censored_at_ohm")?,
        between: Vec::new(),
    };
    intervals(case, &mut r)?;
    if r.count() == 0 {
        return Err("no readings at all".into());
    }
    let fit = normal_fit(&r);
    let out = Fields::default()
        .add("status", if fit.is_some() { "ok" } else { "no_finite_mle" })
        .add("n", r.count())
        .add("n_right_censored", r.above.len());
    let Some(f) = fit else { return Ok(out) };
    let z = normal_quantile(0.95);
    let low = f.mean - z * f.s;
    let error = (f.var_mean + z * z * f.var_s - 2.0 * z * f.cov).sqrt();
    // What those would report who take a ceiling as a reading, or leave such readings out.
    let naive = !r.above.is_empty() && !r.exact.is_empty() && r.below.is_empty() && r.between.is_empty();
    let out = if naive {
        let all: Vec<f64> = r.exact.iter().chain(&r.above).copied().collect();
        out.put("naive_substitution_mean_log10", mean(&all)).put("naive_drop_mean_log10", mean(&r.exact))
    } else {
        out
    };
    Ok(out
        .put("mean_log10", f.mean)
        .put("sd_log10_mle", f.s)
        .put("mean_ln", f.mean * LN_10)
        .put("sd_ln_mle", f.s * LN_10)
        .put("median_ohm", libm::pow(10.0, f.mean))
        .put("q05_log10", low)
        .put("q05_ohm", libm::pow(10.0, low))
        .put("se_mean_log10", f.var_mean.sqrt())
        .put("se_sd_log10", f.var_s.sqrt())
        .put("cov_log10", f.cov)
        .put("q05_log10_lower95_wald", low - z * error)
        .put("loglik_of_log10", f.loglik))
}
