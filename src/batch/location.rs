//! Takes series and groups of readings; gives slopes, tests of trend, robust values and comparisons of two groups.

use super::{Case, Fields, Kind};
use crate::compute::calc::{mann_kendall, mann_whitney, robust_location, theil_sen, welch};
use crate::compute::maths::{mean, sample_quantile, sd, sorted};

pub const KINDS: &[(&str, Kind)] = &[
    ("theil_sen", sen),
    ("mann_kendall", kendall),
    ("robust_location", location),
    ("mann_whitney", whitney),
    ("welch_t", welch_t),
];

fn sen(case: &Case) -> Result<Fields, String> {
    let (x, y) = (case.list("x", 2)?, case.list("y", 2)?);
    let l = theil_sen::line(&x, &y, case.share("confidence")?)?;
    // More ties than a variance allows: no interval, in the words of JSON.
    let none = (f64::NAN, f64::NAN);
    let (rounded, between) = (l.rounded.unwrap_or(none), l.interpolated.unwrap_or(none));
    Ok(Fields::default()
        .put("slope", l.slope)
        .put("intercept_separate", l.intercept)
        .add("n_slopes", l.slopes)
        .put("ci_low_scipy", rounded.0)
        .put("ci_high_scipy", rounded.1)
        .put("ci_low_interpolated", between.0)
        .put("ci_high_interpolated", between.1))
}

fn kendall(case: &Case) -> Result<Fields, String> {
    let y = case.list("y", 2)?;
    let t = mann_kendall::test(&y).ok_or("needs two readings")?;
    let out = Fields::default()
        .count("S", t.s)
        .put("var_S", t.variance)
        .put("z", t.z)
        .put("p_two_sided", t.p_two)
        .put("tau_a", t.tau_a)
        .put("tau_b", t.tau_b);
    Ok(match mann_kendall::exact(&y) {
        Some(p) => out.put("p_one_sided_exact", p),
        None => out,
    })
}

fn location(case: &Case) -> Result<Fields, String> {
    let x = case.list("x", 1)?;
    let (median, mad) = robust_location::location(&x);
    let v = sorted(&x);
    let logs: Vec<f64> = x.iter().map(|v| libm::log(*v)).collect();
    Ok(Fields::default()
        .put("median", median)
        .put("mad_raw", mad)
        .put("mad_normal", mad / robust_location::NORMAL)
        .put("geometric_mean", if v[0] == 0.0 { 0.0 } else { libm::exp(mean(&logs)) })
        .put("mean", mean(&x))
        .put("sd", sd(&x))
        .put("p10_type7", sample_quantile(&v, 0.1))
        .put("q1_type7", sample_quantile(&v, 0.25))
        .put("q3_type7", sample_quantile(&v, 0.75))
        .put("p90_type7", sample_quantile(&v, 0.9)))
}

fn whitney(case: &Case) -> Result<Fields, String> {
    let t = mann_whitney::test(&case.list("a", 1)?, &case.list("b", 1)?);
    let out = Fields::default()
        .put("U1", t.u1)
        .put("U2", t.u2)
        .put("p_asymptotic_cc", t.corrected)
        .put("p_asymptotic_no_cc", t.plain);
    Ok(match t.exact {
        Some(p) => out.put("p_exact", p),
        None => out,
    })
}

fn welch_t(case: &Case) -> Result<Fields, String> {
    let (a, b) = (case.list("a", 2)?, case.list("b", 2)?);
    let d = welch::difference(&a, &b, case.share("confidence")?)?;
    Ok(Fields::default()
        .put("t", d.t)
        .put("df", d.nu)
        .put("p_two_sided", d.p)
        .put("difference", d.diff)
        .put("ci_low", d.low)
        .put("ci_high", d.high))
}
