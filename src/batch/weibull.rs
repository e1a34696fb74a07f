//! Takes times to failure and times survived; gives the Weibull life and its quantiles, each with bounds.

use super::{Case, Fields, Kind};
use crate::compute::calc::weibull_fit;
use crate::compute::maths::normal_quantile;

pub const KINDS: &[(&str, Kind)] = &[("weibull_2p", weibull)];

fn weibull(case: &Case) -> Result<Fields, String> {
    let list = |name: &str| case.value(name).map_or(Ok(Vec::new()), |_| case.list(name, 0));
    let (failures, survivors) = (list("failures")?, list("right_censored")?);
    let conf = case.share("confidence_two_sided")?;
    let l = weibull_fit::fit(&failures, &survivors)?;
    let z = normal_quantile(0.5 + 0.5 * conf);
    let (se_eta, se_beta) = (l.var_eta.sqrt(), l.var_beta.sqrt());
    let times = |x: f64, error: f64| (x * libm::exp(-z * error), x * libm::exp(z * error));
    let ((beta_low, beta_high), (eta_low, eta_high)) = (times(l.beta, se_beta), times(l.eta, se_eta));
    let mut out = Fields::default()
        .add("n", failures.len() + survivors.len())
        .add("failures", failures.len())
        .put("beta", l.beta)
        .put("eta", l.eta)
        .put("loglik", l.loglik)
        .put("se_ln_eta", se_eta)
        .put("se_ln_beta", se_beta)
        .put("cov_ln_eta_ln_beta", l.cov)
        .put("beta_low", beta_low)
        .put("beta_high", beta_high)
        .put("eta_low", eta_low)
        .put("eta_high", eta_high)
        .put("mean", l.eta * libm::tgamma(1.0 + 1.0 / l.beta));
    for (name, p) in [("B10", 0.1), ("B5", 0.05), ("B50", 0.5)] {
        let q = l.quantile(p, conf);
        out = out
            .put(name, q.time)
            .put(&format!("{name}_wald_low"), q.wald.0)
            .put(&format!("{name}_wald_high"), q.wald.1)
            .put(&format!("{name}_lr_low"), q.ratio.0)
            .put(&format!("{name}_lr_high"), q.ratio.1);
    }
    Ok(out)
}
