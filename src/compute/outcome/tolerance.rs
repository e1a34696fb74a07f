//! Takes a case; gives its tolerance bound, adjusted for readings that share a board, or says why there is none.

use super::case::{Case, Found, Refusal};
use crate::compute::calc::{
    censored_fit, cluster_size, lower_tolerance_bound, order_statistic, readings_needed, tolerance_factor,
    upper_tolerance_bound, upper_tolerance_bound_log, variance_components,
};
use crate::compute::maths::{self, sd, tolerance_k};
use crate::compute::work::{Done, In, work};
use crate::model::governance::Sense;
use crate::model::workings::{Origin, RunFact, Workings};
use crate::quantity::significant;

/// Share of readings at the ceiling above which no bound is formed.
const CEILING_SHARE: f64 = 0.25;

/// Mean, spread and effective number with their origins.
struct Spread {
    mean: In,
    s: In,
    n_eff: Done,
}

/// Effective number of readings: the design effect from variance components between and within boards.
fn effective(case: &Case, boards: &[Vec<f64>], n: usize, w: &mut Workings) -> Result<Done, String> {
    let all: usize = boards.iter().map(Vec::len).sum();
    if boards.len() < 2 && all > 1 {
        return Err("all readings are of one board, so nothing is known of the spread between boards".into());
    }
    let r: In = match variance_components::mean_squares(boards) {
        Some((msb, msw, m0)) => {
            let inputs = vec![("MSB", msb, case.rows()), ("MSW", msw, case.rows()), ("m0", m0, case.rows())];
            let subject = format!("{}: readings of one board", case.subject);
            let done = work(w, &variance_components::CALC, &subject, all, &case.unit, inputs)?;
            note(case, &done, w);
            done.first("r")
        }
        None => ("r", 0.0, Origin::Constant("one reading on each board, or no spread")),
    };
    let squares: usize = boards.iter().map(|b| b.len() * b.len()).sum();
    let m = squares as f64 / all as f64;
    let inputs = vec![("n", n as f64, case.rows()), ("m", m, case.rows()), r];
    work(w, &cluster_size::CALC, &format!("{}: effective number", case.subject), all, "1", inputs)
}

/// Enters the correlation of readings on one board as a fact of the run, once per set.
fn note(case: &Case, done: &Done, w: &mut Workings) {
    let set = &case.prepared.set;
    let place = format!("{}/{}", set.build, set.place);
    let Some(first) = set.samples.first() else { return };
    if !w.run_facts.iter().any(|f| f.name == "icc" && f.place == place) {
        w.run_facts.push(RunFact {
            run: set.run.clone(),
            name: "icc",
            place,
            value: done.values[0],
            unit: "1".into(),
            working: Some(done.id),
            at: first.at,
        });
    }
}

fn wanted(case: &Case) -> Result<(In, In), String> {
    let c = case.criterion;
    match (&c.p, &c.conf) {
        (Some(p), Some(conf)) => Ok((("p", p.si, Origin::Place(p.at)), ("conf", conf.si, Origin::Place(conf.at)))),
        _ => Err("the criterion of a tolerance bound states no coverage and confidence".into()),
    }
}

fn factor(case: &Case, n_eff: &Done, w: &mut Workings) -> Result<Done, String> {
    if n_eff.values[0] < 2.0 {
        return Err(format!("an effective number of {} readings is too small for a bound", n_eff.values[0]));
    }
    let (p, conf) = wanted(case)?;
    let subject = format!("{}: tolerance factor", case.subject);
    work(w, &tolerance_factor::CALC, &subject, case.n(), "1", vec![n_eff.first("n"), p, conf])
}

/// Mean and spread, of all readings or, when some stand at the ceiling, by maximum likelihood.
fn spread(case: &Case, w: &mut Workings) -> Result<Spread, Refusal> {
    let x = case.values();
    if x.len() < 2 {
        return Err("a tolerance bound needs two readings at least".to_string().into());
    }
    let high = case.readings.iter().filter(|r| r.censored).count();
    if high == 0 {
        let n_eff = effective(case, &case.boards(), x.len(), w)?;
        return Ok(Spread { mean: ("mean", maths::mean(&x), case.rows()), s: ("s", sd(&x), case.rows()), n_eff });
    }
    let share = high as f64 / x.len() as f64;
    let (p, conf) = wanted(case)?;
    if share > CEILING_SHARE {
        let least = x.iter().copied().fold(f64::INFINITY, f64::min);
        let inputs = vec![("n", x.len() as f64, case.rows()), conf];
        let subject = format!("{}: what the smallest reading guarantees", case.subject);
        let done = work(w, &order_statistic::CALC, &subject, x.len(), "1", inputs)?;
        let why = format!(
            "{high} of {} readings stand at the ceiling, so no tolerance bound is formed; the smallest reading is {} \
             {}, above which lies at least the share {} (asked: {})",
            x.len(),
            significant(least, 4),
            case.unit,
            significant(done.values[0], 3),
            p.1
        );
        return Err(Refusal { why, working: Some(done.id) });
    }
    let read = || case.readings.iter().filter(|r| !r.censored);
    let mut inputs: Vec<In> = read().map(|r| ("x", r.value, Origin::Place(r.at))).collect();
    inputs.extend(case.readings.iter().filter(|r| r.censored).map(|r| ("c", r.value, Origin::Place(r.at))));
    let subject = format!("{}: readings at the ceiling", case.subject);
    let fit = work(w, &censored_fit::CALC, &subject, x.len(), &case.unit, inputs)?;
    // Only readings below the ceiling carry information on the spread.
    let n_eff = effective(case, &case.boards(), read().count(), w)?;
    Ok(Spread { mean: fit.nth("mean", 0), s: fit.nth("s", 1), n_eff })
}

/// The number of readings that would show a bound `d` away from the mean.
fn needed(case: &Case, d: f64, s: f64) -> Option<String> {
    let (p, conf) = wanted(case).ok()?;
    Some(match readings_needed::needed(d, s, p.1, conf.1) {
        Some(n) => format!("n_eff {n}"),
        None => "no number of readings".into(),
    })
}

/// Lower tolerance bound for a lower limit.
pub fn lower(case: &Case, w: &mut Workings) -> Result<Found, Refusal> {
    if case.criterion.operator != Sense::Ge {
        return Err("a lower tolerance bound is compared with a lower limit".to_string().into());
    }
    let of = spread(case, w)?;
    let k = factor(case, &of.n_eff, w)?;
    let (mean, s) = (of.mean.1, of.s.1);
    let done =
        work(w, &lower_tolerance_bound::CALC, &case.subject, case.n(), &case.unit, vec![of.mean, k.first("k"), of.s])?;
    let (p, conf) = wanted(case)?;
    let favourable = mean - tolerance_k(of.n_eff.values[0], p.1, 1.0 - conf.1) * s;
    let mut found = Found::new(&done, 0, favourable + case.guard < case.limit);
    found.n_eff = Some(of.n_eff.values[0] as usize);
    found.needed = needed(case, mean - case.guard - case.limit, s);
    Ok(found)
}

/// Upper tolerance bound for an upper limit; of the logarithms for ions, which are distributed so.
pub fn upper(case: &Case, w: &mut Workings) -> Result<Found, Refusal> {
    if case.criterion.operator != Sense::Le {
        return Err("an upper tolerance bound is compared with an upper limit".to_string().into());
    }
    let (p, conf) = wanted(case)?;
    let x = case.values();
    let ions = case.prepared.set.quantity.starts_with("ionic_") && case.prepared.set.quantity != "ionic_balance";
    if ions && x.len() >= 2 && x.iter().all(|v| *v > 0.0) {
        let logs: Vec<f64> = x.iter().map(|v| libm::log10(*v)).collect();
        let boards: Vec<Vec<f64>> = case.boards().iter().map(|b| b.iter().map(|v| libm::log10(*v)).collect()).collect();
        let n_eff = effective(case, &boards, x.len(), w)?;
        let k = factor(case, &n_eff, w)?;
        let (m, s) = (maths::mean(&logs), sd(&logs));
        let inputs = vec![("mean_lg", m, case.rows()), k.first("k"), ("s_lg", s, case.rows())];
        let done = work(w, &upper_tolerance_bound_log::CALC, &case.subject, case.n(), &case.unit, inputs)?;
        let favourable = libm::pow(10.0, m + tolerance_k(n_eff.values[0], p.1, 1.0 - conf.1) * s);
        let mut found = Found::new(&done, 0, favourable - case.guard > case.limit);
        found.n_eff = Some(n_eff.values[0] as usize);
        let room = case.limit - case.guard;
        found.needed = if room > 0.0 { needed(case, libm::log10(room) - m, s) } else { None };
        return Ok(found);
    }
    let of = spread(case, w)?;
    let k = factor(case, &of.n_eff, w)?;
    let (mean, s) = (of.mean.1, of.s.1);
    let done =
        work(w, &upper_tolerance_bound::CALC, &case.subject, case.n(), &case.unit, vec![of.mean, k.first("k"), of.s])?;
    let favourable = mean + tolerance_k(of.n_eff.values[0], p.1, 1.0 - conf.1) * s;
    let mut found = Found::new(&done, 0, favourable - case.guard > case.limit);
    found.n_eff = Some(of.n_eff.values[0] as usize);
    found.needed = needed(case, case.limit - case.guard - mean, s);
    Ok(found)
}
