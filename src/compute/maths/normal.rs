//! Takes a number; gives density, share below and quantile of the standard normal distribution.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Density of the standard normal distribution at `z`.
pub fn normal_density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / (2.0 * PI).sqrt()
}

/// Share of the standard normal distribution below `z`; good to about 1e-16 relative in both tails.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// Natural logarithm of the share below `z`, also where the share itself is too small for a double.
pub fn normal_log_cdf(z: f64) -> f64 {
    if z > 1.0 {
        return libm::log1p(-normal_cdf(-z));
    }
    if z > -30.0 {
        return libm::log(normal_cdf(z));
    }
    // The share is the density over -z, times a series that falls off like 1/z^2 here.
    let r = 1.0 / (z * z);
    let series = r * (-1.0 + r * (3.0 + r * (-15.0 + r * (105.0 + r * (-945.0 + r * 10395.0)))));
    -0.5 * z * z - 0.5 * libm::log(2.0 * PI) - libm::log(-z) + libm::log1p(series)
}

/// The `z` below which the share `p` lies. Minus and plus infinity at 0 and 1, NaN outside.
///
/// A rational start (Abramowitz and Stegun 26.2.23) is refined by Halley steps on the exact share.
pub fn normal_quantile(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    if p > 0.5 {
        // 1 - p is exact here, and the lower tail keeps its relative precision.
        return -lower(1.0 - p);
    }
    lower(p)
}

fn lower(p: f64) -> f64 {
    if p <= 0.0 {
        return f64::NEG_INFINITY;
    }
    let t = (-2.0 * libm::log(p)).sqrt();
    let mut z =
        -(t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))));
    for _ in 0..8 {
        let density = normal_density(z);
        if density <= 0.0 {
            break;
        }
        let u = (normal_cdf(z) - p) / density;
        let step = u / (1.0 + 0.5 * z * u).max(0.5);
        z -= step;
        if step.abs() <= 1e-15 * z.abs() {
            break;
        }
    }
    z
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_undoes_the_share() {
        for i in 1..400 {
            let z = -8.0 + 0.02 * f64::from(i);
            assert!((normal_quantile(normal_cdf(z)) - z).abs() < 1e-13 * (1.0 + z.abs()), "{z}");
        }
        assert_eq!(normal_quantile(0.0), f64::NEG_INFINITY);
        assert!(normal_quantile(1.1).is_nan() && normal_quantile(f64::NAN).is_nan());
    }

    #[test]
    fn known_points() {
        assert!((normal_quantile(0.95) - 1.6448536269514722).abs() < 1e-14);
        assert!((normal_quantile(0.975) - 1.959963984540054).abs() < 1e-14);
        assert!((normal_quantile(1e-300) + 37.0471).abs() < 1e-4);
        // Reference library mpmath 1.4, log(erfc(40/sqrt 2)/2); both branches meet at -30.
        assert!((normal_log_cdf(-40.0) + 804.608_442_013_753_8).abs() < 1e-9);
        assert!((normal_log_cdf(-30.0 - 1e-12) - normal_log_cdf(-30.0 + 1e-12)).abs() < 1e-9);
        assert!((normal_log_cdf(2.0) - libm::log(normal_cdf(2.0))).abs() < 1e-15);
    }
}
