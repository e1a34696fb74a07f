//! Takes times to failure and times survived; gives the Weibull life with bounds of its early quantile.

use super::{Calc, Check, Known, gives, many, one};
use crate::compute::maths::normal_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "weibull_fit",
    title: "Weibull life of failures and survivors",
    formula: &[
        "beta: sum t^beta ln t / sum t^beta - 1 / beta = mean of ln t over failures; eta^beta = sum t^beta / failures; Bp = eta (-ln(1 - p))^(1 / beta) with bounds by likelihood ratio",
    ],
    closed: false,
    symbols: &[
        many("t", "times, of failures and of survivors", "=", 1e-9, 1e12),
        many("failed", "1 for each failure, 0 for each survivor", "1", 0.0, 1.0),
        one("p", "share that has failed", "1", 0.0001, 0.9),
        one("conf", "two-sided confidence", "1", 0.5, 0.9999),
    ],
    outputs: &[
        gives("beta", "shape", "1"),
        gives("eta", "characteristic life", "="),
        gives("loglik", "log-likelihood", "1"),
        gives("Bp", "time at which the share p has failed", "="),
        gives("low", "lower bound of Bp", "="),
        gives("high", "upper bound of Bp", "="),
    ],
    holds_when: "one way of failing, failures of one population, survivors taken out for other reasons",
    strength: Strength::Informs,
    weak_because: "few failures say little of the early ones; test hours are no service hours",
    sources: &["NIST-8.4.1.3", "MeekerEscobar1998"],
    checks: &[
        Check {
            inputs: &[("t", 54.0), ("t", 187.0), ("t", 216.0), ("t", 240.0), ("t", 244.0), ("t", 335.0), ("t", 361.0), ("t", 373.0), ("t", 375.0), ("t", 386.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("t", 500.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("failed", 0.0), ("p", 0.1), ("conf", 0.9)],
            expected: &[("eta", 606.528), ("beta", 1.7208), ("loglik", -75.135)],
            relative: 1e-6,
            absolute: 6e-4,
            source: "NIST-8.4.1.3",
            known: Known::Seen,
        },
        Check {
            // Deep-groove ball bearings, million revolutions; case ball_bearing_0.9 of tests/reference/t10_weibull.json.
            inputs: &[("t", 17.88), ("t", 28.92), ("t", 33.0), ("t", 41.52), ("t", 42.12), ("t", 45.6), ("t", 48.48), ("t", 51.84), ("t", 51.96), ("t", 54.12), ("t", 55.56), ("t", 67.8), ("t", 68.64), ("t", 68.64), ("t", 68.88), ("t", 84.12), ("t", 93.12), ("t", 98.64), ("t", 105.12), ("t", 105.84), ("t", 127.92), ("t", 128.04), ("t", 173.4), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("failed", 1.0), ("p", 0.1), ("conf", 0.9)],
            expected: &[("beta", 2.102058875194621), ("eta", 81.87833405163154), ("Bp", 28.069414010704993), ("low", 18.0783156793776), ("high", 38.689994839247824)],
            relative: 2e-6,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let (t, failed) = (a.many("t"), a.many("failed"));
        if t.len() != failed.len() || failed.iter().any(|f| f.fract() != 0.0) {
            return Err("each time needs a 1 for a failure or a 0 for a survivor".into());
        }
        let part = |wanted: f64| -> Vec<f64> {
            t.iter().zip(&failed).filter(|p| *p.1 == wanted).map(|p| *p.0).collect()
        };
        let l = fit(&part(1.0), &part(0.0))?;
        let q = l.quantile(a.one("p"), a.one("conf"));
        Ok(vec![l.beta, l.eta, l.loglik, q.time, q.ratio.0, q.ratio.1])
    },
};

/// A fitted life.
#[derive(Debug, Clone)]
pub struct Life {
    pub beta: f64,
    pub eta: f64,
    pub loglik: f64,
    /// Variances of ln eta and ln beta and their covariance, from the observed information.
    pub var_eta: f64,
    pub var_beta: f64,
    pub cov: f64,
    /// ln(t / eta) of failures, then of survivors.
    failures: Vec<f64>,
    survivors: Vec<f64>,
}

/// The time of a share, with bounds by standard error and by likelihood ratio.
#[derive(Debug, Clone, Copy)]
pub struct Quantile {
    pub time: f64,
    pub wald: (f64, f64),
    pub ratio: (f64, f64),
}

/// The most likely Weibull life of positive times.
///
/// # Errors
/// No failure, a time that is not positive, or failures at one time that nothing outlived.
pub fn fit(failures: &[f64], survivors: &[f64]) -> Result<Life, String> {
    if failures.is_empty() {
        return Err("no failure: nothing tells the life; see the upper bound of a failure share".into());
    }
    if let Some(t) = failures.iter().chain(survivors).find(|t| t.is_nan() || **t <= 0.0 || t.is_infinite()) {
        return Err(format!("a time of {t} is not positive"));
    }
    let log = |t: &[f64]| -> Vec<f64> { t.iter().map(|v| libm::log(*v)).collect() };
    let (f, s) = (log(failures), log(survivors));
    let longest = f.iter().chain(&s).copied().fold(f64::NEG_INFINITY, f64::max);
    // Logarithms relative to the longest time, so that no power overflows.
    let to = |l: &Vec<f64>| -> Vec<f64> { l.iter().map(|v| v - longest).collect() };
    let (f, s) = (to(&f), to(&s));
    let r = f.len() as f64;
    let middle = f.iter().sum::<f64>() / r;
    if middle >= -1e-12 {
        return Err("all failures are at one time and nothing outlived it: the shape has no bound".into());
    }
    let sums = |beta: f64| {
        f.iter().chain(&s).fold((0.0, 0.0, 0.0), |a: (f64, f64, f64), l| {
            let w = libm::exp(beta * l);
            (a.0 + w, a.1 + w * l, a.2 + w * l * l)
        })
    };
    // Rises with beta.
    let slope = |beta: f64| {
        let (w, wl, _) = sums(beta);
        wl / w - 1.0 / beta - middle
    };
    let (mut low, mut high) = (1.0, 1.0);
    for _ in 0..1000 {
        if slope(low) < 0.0 {
            break;
        }
        low *= 0.5;
    }
    for _ in 0..1000 {
        if slope(high) > 0.0 {
            break;
        }
        high *= 2.0;
    }
    let beta = bisect(low, high, slope);
    let (w, _, _) = sums(beta);
    let log_eta = libm::log(w / r) / beta;
    let from_eta = |l: &[f64]| -> Vec<f64> { l.iter().map(|v| v - log_eta).collect() };
    let (f, s) = (from_eta(&f), from_eta(&s));
    let (mut sum_z, mut tilt, mut bend) = (0.0, 0.0, 0.0);
    for l in &f {
        sum_z += beta * l;
    }
    for l in f.iter().chain(&s) {
        let z = beta * l;
        let e = libm::exp(z);
        tilt += z * e;
        bend += (z + z * z) * e;
    }
    // Observed information in (ln eta, ln beta).
    let (ee, eb, bb) = (beta * beta * r, -beta * tilt, bend - sum_z);
    let det = ee * bb - eb * eb;
    let log_times: f64 = f.iter().map(|l| l + log_eta + longest).sum();
    let loglik = r * libm::log(beta) + sum_z - log_times - r;
    let eta = libm::exp(log_eta + longest);
    Ok(Life { beta, eta, loglik, var_eta: bb / det, var_beta: ee / det, cov: -eb / det, failures: f, survivors: s })
}

impl Life {
    /// Time at which the share `p` has failed, with two-sided bounds.
    pub fn quantile(&self, p: f64, conf: f64) -> Quantile {
        let z = normal_quantile(0.5 + 0.5 * conf);
        let gone = -libm::log1p(-p);
        let w = libm::log(gone);
        let at = w / self.beta;
        let error = (self.var_eta + at * at * self.var_beta - 2.0 * at * self.cov).max(0.0).sqrt();
        let time = |l: f64| self.eta * libm::exp(l);
        let best = self.profile(at, gone);
        let end = |sign: f64| {
            let short = |step: f64| best - self.profile(at + sign * step, gone) - 0.5 * z * z;
            let mut far = error.max(1e-9);
            for _ in 0..200 {
                if short(far) > 0.0 {
                    break;
                }
                far *= 2.0;
            }
            time(at + sign * bisect(0.0, far, short))
        };
        Quantile { time: time(at), wald: (time(at - z * error), time(at + z * error)), ratio: (end(-1.0), end(1.0)) }
    }

    /// Highest log-likelihood, but for a constant, when the share that `gone` = -ln(1 - p) stands for has failed at
    /// ln(t / eta) = `at`.
    fn profile(&self, at: f64, gone: f64) -> f64 {
        let r = self.failures.len() as f64;
        let lead: f64 = self.failures.iter().map(|l| l - at).sum();
        let all = || self.failures.iter().chain(&self.survivors).map(|l| l - at);
        // The derivative by beta falls; its negative rises, with the slope beside it.
        let slope = |beta: f64| {
            let mut pull = (0.0, 0.0);
            for l in all().filter(|l| *l != 0.0) {
                let part = l * libm::exp(beta * l);
                pull = (pull.0 + part, pull.1 + l * part);
            }
            (gone * pull.0 - r / beta - lead, gone * pull.1 + r / (beta * beta))
        };
        let (mut low, mut high) = (0.0, f64::INFINITY);
        let mut beta = self.beta;
        for _ in 0..1000 {
            let (value, rise) = slope(beta);
            if value < 0.0 {
                low = beta;
            } else {
                high = beta;
            }
            let newton = beta - value / rise;
            let next = match newton {
                b if b > low && b < high => b,
                _ if high.is_infinite() => 2.0 * beta,
                _ => 0.5 * (low + high),
            };
            let moved = (next - beta).abs();
            beta = next;
            if moved <= 1e-13 * beta {
                break;
            }
        }
        r * libm::log(beta) + beta * lead - gone * all().map(|l| libm::exp(beta * l)).sum::<f64>()
    }
}

/// Root of a rising function between two points; ends after a bounded number of steps.
fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..200 {
        let mid = 0.5 * (low + high);
        if mid <= low || mid >= high {
            break;
        }
        if f(mid) < 0.0 {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}
