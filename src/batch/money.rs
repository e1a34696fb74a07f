//! Takes cash flows, distributions and models of cost; gives the facts of these cases.

use super::{Case, Fields, Kind, number};
use crate::compute::calc::expr::{self, Expr};
use crate::compute::calc::{internal_rate, payback, present_value};
use crate::compute::maths::distribution::Distribution;
use crate::compute::maths::random::GENERATOR;
use crate::compute::maths::{mean, sample_quantile, sd, simulate};
use rayon::prelude::*;
use serde_json::{Map, Value};

pub const KINDS: &[(&str, Kind)] =
    &[("cash_flow", cash_flow), ("distribution", distribution), ("monte_carlo_sum", sum), ("monte_carlo_model", model)];

fn cash_flow(case: &Case) -> Result<Fields, String> {
    let flows = case.list("flows_t0_first", 1)?;
    let rate = case.within("rate", -0.99, 100.0)?;
    let npv = present_value::value(&flows, rate);
    let rates = internal_rate::rates(&flows)?;
    // The one closest to nothing, as a common spreadsheet library takes it.
    let irr = rates.iter().copied().reduce(|b, r| if r.abs() < b.abs() { r } else { b });
    let time = |rate| payback::time(&flows, rate).map_or(Value::Null, number);
    Ok(Fields::default()
        .put("npv", npv)
        .put("npv_excel_convention", npv / (1.0 + rate))
        .put("irr", irr.unwrap_or(f64::NAN))
        .count("n_real_irr", rates.len() as i64)
        .add("payback", time(0.0))
        .add("discounted_payback", time(rate)))
}

/// One distribution by its name and parameters.
fn read(v: &Value) -> Result<Distribution, String> {
    let none = |_: &str| Err("no files here".into());
    let case = Case { inputs: v, files: &none };
    let name = case.text("dist")?;
    let ends = |case: &Case| -> Result<(f64, f64), String> {
        let (low, high) = (case.one("low")?, case.one("high")?);
        if low < high { Ok((low, high)) } else { Err(format!("low = {low} is not below high = {high}")) }
    };
    Ok(match name {
        "normal" => {
            let sd = case.one("sd")?;
            if sd <= 0.0 {
                return Err(format!("sd = {sd} is not above 0"));
            }
            Distribution::Normal { mean: case.one("mean")?, sd }
        }
        "uniform" => {
            let (low, high) = ends(&case)?;
            Distribution::Uniform { low, high }
        }
        "triangular" | "pert" => {
            let (low, high) = ends(&case)?;
            let mode = case.within("mode", low, high)?;
            if name == "triangular" {
                Distribution::Triangular { low, mode, high }
            } else {
                let lambda = if case.value("lambda").is_some() { case.within("lambda", 0.0, 1000.0)? } else { 4.0 };
                Distribution::Pert { low, mode, high, lambda }
            }
        }
        _ => return Err(format!("no distribution {name}; known are normal, uniform, triangular, pert")),
    })
}

/// Shares of the printed quantiles.
const SHARES: [u32; 7] = [5, 10, 25, 50, 75, 90, 95];

fn distribution(case: &Case) -> Result<Fields, String> {
    let d = read(case.inputs)?;
    let start = Fields::default().put("mean", d.mean()).put("variance", d.variance());
    Ok(SHARES.iter().fold(start, |f, p| f.put(&format!("q{p:02}"), d.quantile(f64::from(*p) / 100.0))))
}

/// Draws and seed of a case, one million and 1 when it does not say.
fn size(case: &Case) -> Result<(usize, u64), String> {
    let draws = if case.value("draws").is_some() { case.whole("draws", 100.0, 5e7)? } else { 1e6 };
    let seed = if case.value("seed").is_some() { case.whole("seed", 0.0, 9e15)? } else { 1.0 };
    Ok((draws as usize, seed as u64))
}

/// Mean, variance and quantiles of draws, which are sorted on the way.
fn summary(x: &mut [f64], draws: usize, seed: u64) -> Result<Fields, String> {
    if let Some(i) = x.iter().position(|v| !v.is_finite()) {
        return Err(format!("draw {i} of the model is not a finite number"));
    }
    let (m, s) = (mean(x), sd(x));
    x.par_sort_unstable_by(f64::total_cmp);
    let start = Fields::default().put("mean", m).put("variance", s * s);
    let f = SHARES.iter().fold(start, |f, p| f.put(&format!("q{p:02}"), sample_quantile(x, f64::from(*p) / 100.0)));
    Ok(f.add("draws", draws).add("seed", seed).add("generator", GENERATOR))
}

fn sum(case: &Case) -> Result<Fields, String> {
    let list = case.value("inputs").and_then(Value::as_array).filter(|l| !l.is_empty());
    let of = list.ok_or("no list of inputs")?.iter().map(read).collect::<Result<Vec<_>, _>>()?;
    if let Some(m) = case.value("model").filter(|m| m.as_str() != Some("sum of all inputs")) {
        return Err(format!("model {m}: this kind adds all inputs"));
    }
    let (draws, seed) = size(case)?;
    let add = |c: &[Vec<f64>]| (0..c[0].len()).map(|k| c.iter().map(|c| c[k]).sum()).collect();
    summary(&mut simulate::draws(&of, &add, seed, draws), draws, seed)
}

fn model(case: &Case) -> Result<Fields, String> {
    let inputs =
        case.value("inputs").and_then(Value::as_object).filter(|m| !m.is_empty()).ok_or("no inputs by name")?;
    let names: Vec<&str> = inputs.keys().map(String::as_str).collect();
    let of =
        inputs.iter().map(|(name, v)| read(v).map_err(|e| format!("{name}: {e}"))).collect::<Result<Vec<_>, _>>()?;
    let text = case.text("model")?;
    if text.len() > 2000 || text.matches('(').count() > 60 {
        return Err("the model is longer than 2000 characters or has more than 60 brackets".into());
    }
    let (_, e) = expr::parse(&format!("y = {text}")).ok_or_else(|| format!("the model {text} is no formula"))?;
    let mut used = Vec::new();
    e.symbols(&mut used);
    if let Some(u) = used.iter().find(|u| !names.contains(&u.as_str())) {
        return Err(format!("the model uses {u}, which is no input"));
    }
    let compute = compile(&e, &names)?;
    let run = |c: &[Vec<f64>]| compute(c);
    let (draws, seed) = size(case)?;
    let mut x = simulate::draws(&of, &run, seed, draws);
    let f = summary(&mut x, draws, seed)?;
    let (m, s) = (mean(&x), sd(&x));
    // A quarter of the draws is enough for shares: their error is below 0.005 for a million.
    let pairs = (draws / 4).max(100);
    let shares = simulate::variance_shares(&of, &run, seed ^ 0x5eed, pairs, (m, s * s));
    let named: Map<String, Value> = names.iter().zip(shares).map(|(n, s)| ((*n).to_string(), number(s))).collect();
    let above = x.len() - x.partition_point(|v| *v <= m + s);
    Ok(f.add("quantile_standard_errors", SHARES.iter().map(|p| number(error_of_quantile(&x, *p))).collect::<Vec<_>>())
        .add("first_order_variance_share", named)
        .put("p_cost_above_mean_plus_sd", above as f64 / x.len() as f64))
}

/// Standard error of a quantile: sqrt(p (1-p) / n) over the density, which the draws within a percent around it give.
fn error_of_quantile(sorted: &[f64], percent: u32) -> f64 {
    let p = f64::from(percent) / 100.0;
    let width = sample_quantile(sorted, p + 0.01) - sample_quantile(sorted, p - 0.01);
    (p * (1.0 - p) / sorted.len() as f64).sqrt() * width / 0.02
}

type Columns = Box<dyn Fn(&[Vec<f64>]) -> Vec<f64> + Sync + Send>;

/// A formula made ready to run over whole columns.
fn compile(e: &Expr, names: &[&str]) -> Result<Columns, String> {
    let one = |e: &Expr| compile(e, names);
    Ok(match e {
        Expr::Number(x, _) => {
            let x = *x;
            Box::new(move |c| vec![x; c[0].len()])
        }
        Expr::Symbol(s) => {
            let i = names.iter().position(|n| n == s).ok_or_else(|| format!("no input {s}"))?;
            Box::new(move |c| c[i].clone())
        }
        Expr::Minus(a) => {
            let a = one(a)?;
            Box::new(move |c| a(c).into_iter().map(|x| -x).collect())
        }
        Expr::Binary(op, a, b) => {
            let f: fn(f64, f64) -> f64 = match op {
                '+' => |x, y| x + y,
                '-' => |x, y| x - y,
                '*' => |x, y| x * y,
                '/' => |x, y| x / y,
                _ => libm::pow,
            };
            pairwise(f, one(a)?, one(b)?)
        }
        Expr::Call(name, list) => {
            let f: fn(f64) -> f64 = match (name.as_str(), list.len()) {
                ("min", 2) => return Ok(pairwise(f64::min, one(&list[0])?, one(&list[1])?)),
                ("max", 2) => return Ok(pairwise(f64::max, one(&list[0])?, one(&list[1])?)),
                ("sqrt", 1) => f64::sqrt,
                ("exp", 1) => libm::exp,
                ("ln", 1) => libm::log,
                ("log10", 1) => libm::log10,
                ("abs", 1) => f64::abs,
                ("floor", 1) => f64::floor,
                _ => return Err(format!("{name} of {} values is not for models", list.len())),
            };
            let a = one(&list[0])?;
            Box::new(move |c| a(c).into_iter().map(f).collect())
        }
    })
}

fn pairwise(f: fn(f64, f64) -> f64, a: Columns, b: Columns) -> Columns {
    Box::new(move |c| {
        let mut x = a(c);
        x.iter_mut().zip(b(c)).for_each(|(x, y)| *x = f(*x, y));
        x
    })
}
