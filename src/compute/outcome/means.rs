//! Takes a case; gives mean, geometric ratio, paired shift or the upper limit of a chart.

use super::case::{Case, Found};
use crate::compute::calc::{individuals_limits, log_mean, mean_value, paired_shift, t_factor};
use crate::compute::maths::{self, moving_range, sd, t_quantile};
use crate::compute::work::work;
use crate::model::governance::Sense;
use crate::model::workings::{Origin, Workings};

/// One-sided confidence of the favourable bound, when the criterion states none.
fn confidence(case: &Case) -> (f64, Origin) {
    match &case.criterion.conf {
        Some(q) => (q.si, Origin::Place(q.at)),
        None => (0.95, Origin::Constant("usual confidence")),
    }
}

/// Half-width of the one-sided confidence bound of a mean; zero for a single reading.
fn reach(case: &Case, x: &[f64]) -> f64 {
    if x.len() < 2 {
        return 0.0;
    }
    let n = x.len() as f64;
    t_quantile(confidence(case).0, n - 1.0) * sd(x) / n.sqrt()
}

/// Even the favourable end, `half` away from `value`, does not meet the limit.
fn beyond(case: &Case, value: f64, half: f64) -> bool {
    let low = value + half + case.guard < case.limit;
    match case.criterion.operator {
        Sense::Ge => low,
        Sense::Le => value - half - case.guard > case.limit,
        Sense::In => low || value - half - case.guard > case.upper,
    }
}

/// Arithmetic mean.
pub fn mean(case: &Case, w: &mut Workings) -> Result<Found, String> {
    if let Some((done, _)) = &case.prepared.done {
        return Ok(Found::new(done, 0, beyond(case, done.values[0], 0.0)));
    }
    let x = case.values();
    let n = x.len() as f64;
    let inputs = vec![("sum_x", maths::mean(&x) * n, case.rows()), ("n", n, case.rows())];
    let done = work(w, &mean_value::CALC, &case.subject, x.len(), &case.unit, inputs)?;
    Ok(Found::new(&done, 0, beyond(case, done.values[0], reach(case, &x))))
}

/// Geometric mean of ratios, which is the ratio of the geometric means.
pub fn ratio(case: &Case, w: &mut Workings) -> Result<Found, String> {
    let x = case.values();
    if x.iter().any(|v| *v <= 0.0) {
        return Err("a geometric mean needs positive readings".into());
    }
    let logs: Vec<f64> = x.iter().map(|v| libm::log10(*v)).collect();
    let n = x.len() as f64;
    let m = maths::mean(&logs);
    let inputs = vec![("sum_lg", m * n, case.rows()), ("n", n, case.rows())];
    let done = work(w, &log_mean::CALC, &case.subject, x.len(), &case.unit, inputs)?;
    let half = reach(case, &logs);
    let end = |sign: f64| libm::pow(10.0, m + sign * half);
    let fails = match case.criterion.operator {
        Sense::Ge => end(1.0) + case.guard < case.limit,
        Sense::Le => end(-1.0) - case.guard > case.limit,
        Sense::In => end(1.0) + case.guard < case.limit || end(-1.0) - case.guard > case.upper,
    };
    Ok(Found::new(&done, 0, fails))
}

/// Bound of the mean paired difference.
pub fn shift(case: &Case, w: &mut Workings) -> Result<Found, String> {
    let x = case.values();
    if x.len() < 2 {
        return Err("a paired shift needs two pairs at least".into());
    }
    if case.criterion.operator != Sense::Le {
        return Err("a paired shift is compared with an upper limit".into());
    }
    let (d, s, n) = (maths::mean(&x), sd(&x), x.len() as f64);
    let (conf, origin) = confidence(case);
    let subject = format!("{}: Student's factor", case.subject);
    let q =
        work(w, &t_factor::CALC, &subject, x.len(), "1", vec![("conf", conf, origin), ("nu", n - 1.0, case.rows())])?;
    let inputs = vec![("d", d, case.rows()), ("s", s, case.rows()), ("n", n, case.rows()), q.first("q")];
    let done = work(w, &paired_shift::CALC, &case.subject, x.len(), &case.unit, inputs)?;
    let least = (d.abs() - q.values[0] * s / n.sqrt()).max(0.0);
    let mut found = Found::new(&done, 0, least - case.guard > case.limit);
    found.needed = Some(pairs_needed(case.limit - case.guard - d.abs(), s, conf));
    Ok(found)
}

fn pairs_needed(room: f64, s: f64, conf: f64) -> String {
    let shown = |n: f64| t_quantile(0.5 + 0.5 * conf, n - 1.0) * s / n.sqrt() <= room;
    let most = 1e6;
    if room <= 0.0 || !shown(most) {
        return "no number of readings".into();
    }
    let (mut low, mut high) = (1.0, 2.0);
    while !shown(high) {
        low = high;
        high = (high * 2.0f64).min(most);
    }
    while high - low > 1.0 {
        let mid = (0.5 * (low + high)).floor();
        if shown(mid) { high = mid } else { low = mid }
    }
    format!("n {high}")
}

/// Upper limit of the individuals chart through the readings in the order of the file.
pub fn upper_limit(case: &Case, w: &mut Workings) -> Result<Found, String> {
    let x = case.values();
    if x.len() < 2 {
        return Err("a chart needs two points at least".into());
    }
    let m = maths::mean(&x);
    let inputs = vec![("mean", m, case.rows()), ("MR", moving_range(&x), case.rows())];
    let done = work(w, &individuals_limits::CALC, &case.subject, x.len(), &case.unit, inputs)?;
    Ok(Found::new(&done, 0, beyond(case, m, reach(case, &x))))
}
