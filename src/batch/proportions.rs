//! Takes counts; gives bounds of shares and of their differences, exact tests and sample sizes.

use super::{Case, Fields, Kind};
use crate::compute::calc::{
    fisher_exact, newcombe_difference, order_statistic, proportion_bounds, proportion_upper, success_run,
    wilson_interval,
};
use crate::compute::maths::complement;

pub const KINDS: &[(&str, Kind)] = &[
    ("clopper_pearson", clopper_pearson),
    ("wilson", wilson),
    ("newcombe_difference", newcombe),
    ("fisher_exact", fisher),
    ("success_run_sample_size", success),
    ("upper_bound_zero_failures", zero_failures),
    ("upper_bound_k_failures", k_failures),
];

/// Most trials.
const MOST: f64 = 1e9;

/// Events and trials under the given names.
fn counts(case: &Case, k: &str, n: &str) -> Result<(f64, f64), String> {
    let trials = case.whole(n, 1.0, MOST)?;
    let events = case.whole(k, 0.0, MOST)?;
    if events > trials {
        return Err(format!("{k} = {events} is more than {n} = {trials}"));
    }
    Ok((events, trials))
}

fn clopper_pearson(case: &Case) -> Result<Fields, String> {
    let (k, n) = counts(case, "k", "n")?;
    let (low, high) = proportion_bounds::bounds(k, n, case.share("confidence")?);
    Ok(Fields::default().put("low", low).put("high", high))
}

fn wilson(case: &Case) -> Result<Fields, String> {
    let (k, n) = counts(case, "k", "n")?;
    let (low, high) = wilson_interval::interval(k, n, case.share("confidence")?);
    Ok(Fields::default().put("low", low).put("high", high))
}

fn newcombe(case: &Case) -> Result<Fields, String> {
    let ((k1, n1), (k2, n2)) = (counts(case, "k1", "n1")?, counts(case, "k2", "n2")?);
    let (d, low, high) = newcombe_difference::difference(k1, n1, k2, n2, case.share("confidence")?);
    Ok(Fields::default().put("difference", d).put("low", low).put("high", high))
}

/// Most items of one place of a table: weights of all tables are summed one by one.
const TABLE: f64 = 1e7;

fn fisher(case: &Case) -> Result<Fields, String> {
    let wrong = || "table is not two rows of two counts".to_string();
    let rows = case.value("table").ok_or("no input table")?.as_array().ok_or_else(wrong)?;
    let cells: Vec<f64> = rows.iter().filter_map(|r| r.as_array()).flatten().filter_map(|v| v.as_f64()).collect();
    let shape = rows.len() == 2 && rows.iter().all(|r| r.as_array().is_some_and(|r| r.len() == 2));
    let [a, b, c, d] = cells[..] else { return Err(wrong()) };
    if !shape {
        return Err(wrong());
    }
    if let Some(x) = cells.iter().find(|x| x.fract() != 0.0 || !(0.0..=TABLE).contains(*x)) {
        return Err(format!("{x} in the table is not a whole number from 0 to {TABLE}"));
    }
    let p = fisher_exact::test(a, b, c, d);
    // 0/0 is no number, as the set says.
    let odds = a * d / (b * c);
    Ok(Fields::default()
        .put("p_two_sided", p.two)
        .put("p_less", p.less)
        .put("p_greater", p.greater)
        .put("sample_odds_ratio", odds))
}

fn success(case: &Case) -> Result<Fields, String> {
    let r = case.share("reliability")?;
    let c = case.share("confidence")?;
    let k = case.value("allowed_failures").map_or(Ok(0.0), |_| case.whole("allowed_failures", 0.0, 1e6))?;
    let n = success_run::n(r, c, k);
    if n.is_infinite() {
        return Err("more than 1e12 trials would be needed".into());
    }
    let out = Fields::default()
        .count("n", n as i64)
        .put("tail_at_n", success_run::tail(n, r, k))
        .put("tail_at_n_minus_1", success_run::tail(n - 1.0, r, k));
    if k > 0.0 {
        return Ok(out);
    }
    Ok(out.put("n_real_valued", libm::log(complement(c)) / libm::log1p(-complement(r))))
}

fn zero_failures(case: &Case) -> Result<Fields, String> {
    let n = case.whole("n", 1.0, MOST)?;
    let c = case.share("confidence")?;
    Ok(Fields::default()
        .put("upper", proportion_upper::upper(0.0, n, c))
        .put("lower_reliability", order_statistic::share(n, c))
        .put("rule_of_three", 3.0 / n))
}

fn k_failures(case: &Case) -> Result<Fields, String> {
    let (k, n) = counts(case, "k", "n")?;
    let upper = proportion_upper::upper(k, n, case.share("confidence")?);
    Ok(Fields::default().put("upper", upper).put("lower_reliability", 1.0 - upper))
}
