//! Takes readings and readings at the ceiling; gives mean and spread by maximum likelihood.

use super::{Calc, Check, Known, gives, many};
use crate::compute::maths::{Readings, normal_fit};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "censored_fit",
    title: "Mean and spread of readings cut off at a ceiling",
    formula: &["mean and s that maximise the likelihood of normal readings x and of readings beyond their ceilings c"],
    closed: false,
    symbols: &[
        many("x", "readings", "=", -1e6, 1e6),
        many("c", "ceilings at which readings stood", "=", -1e6, 1e6),
    ],
    outputs: &[gives("mean", "mean", "="), gives("s", "standard deviation, n in the denominator", "=")],
    holds_when: "the population is normal on the scale used and most readings lie below the ceiling",
    strength: Strength::Decides,
    weak_because: "leans on the normal shape beyond the ceiling",
    sources: &["house"],
    checks: &[
        Check {
            // Case ceiling_1e12 of tests/reference/t09_lognormal.json, as decimal logarithms.
            inputs: &[("x", 11.089905111439398), ("x", 11.155336037465062), ("x", 11.305351369446624), ("x", 11.862131379313038), ("x", 11.88930170250631), ("x", 11.800717078282386), ("x", 11.57287160220048), ("x", 11.123851640967086), ("x", 11.517195897949975), ("x", 11.24551266781415), ("x", 11.857332496431269), ("x", 11.445604203273598), ("x", 10.90036712865647), ("x", 10.748962861256162), ("x", 11.640481436970422), ("x", 11.190331698170292), ("c", 12.0), ("c", 12.0), ("c", 12.0), ("c", 12.0)],
            expected: &[("mean", 11.568531970487088), ("s", 0.47227938552660415)],
            relative: 2e-6,
            absolute: 2e-6,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a| fit(&a.many("x"), &a.many("c")).map(|(m, s)| vec![m, s]),
};

/// (mean, s), n in the denominator.
///
/// # Errors
/// Fewer than two readings below the ceiling, or no spread among them.
pub fn fit(x: &[f64], c: &[f64]) -> Result<(f64, f64), String> {
    if x.iter().all(|v| *v == x[0]) {
        return Err("needs two different readings below the ceiling".into());
    }
    let readings = Readings { exact: x.to_vec(), above: c.to_vec(), ..Readings::default() };
    let fit = normal_fit(&readings).ok_or("no mean and spread are most likely for these readings")?;
    Ok((fit.mean, fit.s))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_ceiling_it_is_mean_and_spread() {
        let (m, s) = fit(&[1.0, 2.0, 4.0], &[]).expect("a fit");
        assert!((m - 7.0 / 3.0).abs() < 1e-12 && (s * s - 14.0 / 9.0).abs() < 1e-12);
        assert!(fit(&[1.0], &[2.0]).is_err() && fit(&[1.0, 1.0], &[2.0]).is_err());
    }
}
