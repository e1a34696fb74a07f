//! Takes n, coverage and confidence; gives the exact one-sided tolerance factor of a normal distribution.

use super::gauss::legendre;
use super::normal::{normal_cdf, normal_density, normal_quantile};
use std::f64::consts::{LN_2, PI};

/// Logarithm of the density of s/sigma at 1 + `u`, with `nu` degrees of freedom.
fn log_density(u: f64, nu: f64, constant: f64) -> f64 {
    let a = 0.5 * nu;
    // a (2 ln(1+u) - 2u - u^2) is the exponent left after Stirling's leading terms.
    constant + a * (2.0 * (libm::log1p(u) - u) - u * u) - libm::log1p(u)
}

/// What is constant in [`log_density`].
fn log_constant(nu: f64) -> f64 {
    let a = 0.5 * nu;
    if a < 16.0 {
        return LN_2 + a * libm::log(a) - libm::lgamma(a) - a;
    }
    let a2 = a * a;
    let stirling = (1.0 / 12.0 - (1.0 / 360.0 - (1.0 / 1260.0 - 1.0 / 1680.0 / a2) / a2) / a2) / a;
    LN_2 + 0.5 * libm::log(a) - 0.5 * libm::log(2.0 * PI) - stirling
}

/// Probability that mean + k s lies above the quantile `zp` of the population, and its slope in k.
fn confidence(k: f64, n: f64, zp: f64, rule: &[(f64, f64)]) -> (f64, f64) {
    integral(k, n.sqrt(), zp, n - 1.0, rule)
}

/// P(T <= k root) for Student's t with `nu` degrees of freedom and noncentrality zp root, and its slope in k, as the
/// integral of Phi(k root s - zp root) over the distribution of s/sigma, on panels that follow both the density and the
/// step.
fn integral(k: f64, root: f64, zp: f64, nu: f64, rule: &[(f64, f64)]) -> (f64, f64) {
    let constant = log_constant(nu);
    let sigma = 1.0 / (2.0 * nu).sqrt();
    let low = (1.0 - 10.0 * sigma).max(0.0);
    let high = 1.0 + 10.0 * sigma;
    let mut edges: Vec<f64> = (-10..=10).map(|j| 1.0 + sigma * f64::from(j)).filter(|s| *s > low).collect();
    edges.push(low);
    let width = 1.0 / (k.abs() * root);
    if width < sigma {
        let step = zp / k;
        edges.extend((-9..=9).map(|j| step + width * f64::from(j)).filter(|s| *s > low && *s < high));
    }
    edges.sort_by(f64::total_cmp);
    let (mut share, mut slope) = (0.0, 0.0);
    for pair in edges.windows(2) {
        let half = 0.5 * (pair[1] - pair[0]);
        if half <= 0.0 {
            continue;
        }
        let mid = 0.5 * (pair[1] + pair[0]);
        for &(x, w) in rule {
            let s = mid + half * x;
            let weight = w * half * libm::exp(log_density(s - 1.0, nu, constant));
            let z = root * (k * s - zp);
            share += weight * normal_cdf(z);
            slope += weight * normal_density(z) * root * s;
        }
    }
    (share, slope)
}

/// Share of noncentral t with `nu` >= 1 degrees of freedom and noncentrality `delta` below `t`; NaN outside.
pub fn noncentral_t_cdf(t: f64, nu: f64, delta: f64) -> f64 {
    if !((1.0..=1e12).contains(&nu) && t.is_finite() && delta.is_finite()) {
        return f64::NAN;
    }
    integral(t, 1.0, delta, nu, &legendre(20)).0.clamp(0.0, 1.0)
}

/// Confidence with which mean - k s of `n` readings leaves at least the share `p` above it.
pub fn tolerance_confidence(k: f64, n: f64, p: f64) -> f64 {
    if !((2.0..=1e12).contains(&n) && p > 0.0 && p < 1.0 && k.is_finite()) {
        return f64::NAN;
    }
    confidence(k, n, normal_quantile(p), &legendre(20)).0
}

/// One-sided tolerance factor k: with confidence `conf`, at least the share `p` of a normal population lies
/// above mean - k s of `n` >= 2 readings. NaN outside 0 < p, conf < 1. Negative for low confidence.
pub fn tolerance_k(n: f64, p: f64, conf: f64) -> f64 {
    if !((2.0..=1e12).contains(&n) && p > 0.0 && p < 1.0 && conf > 0.0 && conf < 1.0) {
        return f64::NAN;
    }
    let rule = legendre(20);
    let zp = normal_quantile(p);
    let at = |k: f64| confidence(k, n, zp, &rule);
    let guess = zp + normal_quantile(conf) * (1.0 / n + 0.5 * zp * zp / (n - 1.0)).sqrt();
    let (mut low, mut high) = (guess - 0.5, guess + 0.5);
    let mut stride = 1.0;
    for _ in 0..200 {
        if at(low).0 <= conf {
            break;
        }
        high = low;
        low -= stride;
        stride *= 2.0;
    }
    stride = 1.0;
    for _ in 0..200 {
        if at(high).0 >= conf {
            break;
        }
        low = high;
        high += stride;
        stride *= 2.0;
    }
    let mut k = guess.clamp(low, high);
    for _ in 0..200 {
        let (share, slope) = at(k);
        if share < conf {
            low = k;
        } else {
            high = k;
        }
        let newton = k - (share - conf) / slope;
        let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        let moved = (next - k).abs();
        k = next;
        if moved <= 1e-13 * (1.0 + k.abs()) {
            break;
        }
    }
    k
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holds_at_extremes_and_ends() {
        for n in [2.0, 3.0, 10.0, 1e3, 1e5, 1e7] {
            for p in [0.5, 0.9, 0.9999] {
                for conf in [0.0001, 0.05, 0.5, 0.95, 0.9999] {
                    let k = tolerance_k(n, p, conf);
                    assert!(k.is_finite(), "{n} {p} {conf}");
                    assert!((tolerance_confidence(k, n, p) - conf).abs() < 1e-9, "{n} {p} {conf} {k}");
                }
            }
        }
        assert!(tolerance_k(1.0, 0.9, 0.9).is_nan() && tolerance_k(f64::NAN, 0.9, 0.9).is_nan());
    }

    #[test]
    fn median_coverage_is_students_t() {
        // For p = 0.5 the noncentrality is zero: k = t / sqrt n.
        for n in [2.0, 5.0, 30.0, 1000.0] {
            let t = super::super::t_quantile(0.95, n - 1.0) / n.sqrt();
            assert!((tolerance_k(n, 0.5, 0.95) / t - 1.0).abs() < 1e-11, "{n}");
        }
    }
}
