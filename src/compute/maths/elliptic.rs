//! Takes a modulus and its complement; gives the ratio of complete elliptic integrals that lines between strips need.

use std::f64::consts::{FRAC_PI_2, LN_2};

/// K(k)/K(k') by arithmetic-geometric means, with k^2 + k'^2 = 1; both are given, so that neither loses digits.
/// 0 for k = 0, infinite for k' = 0.
pub fn elliptic_ratio(k: f64, k_prime: f64) -> f64 {
    mean(k) / mean(k_prime)
}

/// The same from logarithms, for moduli too small for a number.
fn ratio_of_logs(ln_k: f64, ln_prime: f64) -> f64 {
    // Below e^-300 the first term pi / (2 ln(4/k)) is exact to the last digit.
    let small = |ln: f64| FRAC_PI_2 / (2.0 * LN_2 - ln);
    match (ln_k < -300.0, ln_prime < -300.0) {
        (true, _) => small(ln_k),
        (_, true) => 1.0 / small(ln_prime),
        _ => elliptic_ratio(libm::exp(ln_k), libm::exp(ln_prime)),
    }
}

/// Arithmetic-geometric mean of 1 and `b` from 0 to 1.
fn mean(b: f64) -> f64 {
    let (mut a, mut b) = (1.0, b);
    for _ in 0..60 {
        if (a - b).abs() <= 1e-16 * a {
            break;
        }
        (a, b) = (0.5 * (a + b), (a * b).sqrt());
    }
    a
}

/// K(k)/K(k') of a coplanar line without a layer: centre strip `w` between gaps `g`.
pub fn coplanar_ratio(w: f64, g: f64) -> f64 {
    let b = w + 2.0 * g;
    // 1 - (w/b)^2 = 4 g (w + g) / b^2.
    elliptic_ratio(w / b, (4.0 * g * (w + g)).sqrt() / b)
}

/// The same for a layer of height `h` under or over the line: k = sinh(pi w/4h) / sinh(pi (w+2g)/4h).
pub fn coplanar_layer_ratio(w: f64, g: f64, h: f64) -> f64 {
    let (a, b) = (quarter(w, h), quarter(w + 2.0 * g, h));
    let ln_k = a - b + libm::log(fall(a) / fall(b));
    ratio_of_logs(ln_k, 0.5 * libm::log(fall(b - a) * fall(b + a)) - libm::log(fall(b)))
}

/// The same for a layer of height `h` with a ground on its other side: k = tanh(pi w/4h) / tanh(pi (w+2g)/4h).
pub fn coplanar_ground_ratio(w: f64, g: f64, h: f64) -> f64 {
    let (a, b) = (quarter(w, h), quarter(w + 2.0 * g, h));
    let below = (1.0 + libm::exp(-2.0 * a)) * fall(b);
    let ln_prime = LN_2 - a + 0.5 * libm::log(fall(b - a) * fall(b + a)) - libm::log(below);
    ratio_of_logs(libm::log(libm::tanh(a) / libm::tanh(b)), ln_prime)
}

fn quarter(x: f64, h: f64) -> f64 {
    0.25 * std::f64::consts::PI * x / h
}

/// 1 - exp(-2x) without loss of digits.
fn fall(x: f64) -> f64 {
    -libm::expm1(-2.0 * x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_ratios() {
        let half = std::f64::consts::FRAC_1_SQRT_2;
        assert_eq!(elliptic_ratio(half, half), 1.0);
        // K(1/2) = 1.6857503548, K(sqrt 3/2) = 2.1565156475 (printed tables).
        assert!((elliptic_ratio(0.5, 0.75f64.sqrt()) - 1.685_750_354_8 / 2.156_515_647_5).abs() < 1e-10);
        // For a small modulus pi / (2 ln(4/k)).
        let small = FRAC_PI_2 / libm::log(4e30);
        assert!((elliptic_ratio(1e-30, 1.0) - small).abs() < 1e-15);
    }

    #[test]
    fn layers_from_thin_to_thick() {
        // A thick layer is as none; a thin one over the gaps tends to h over g.
        assert!((coplanar_layer_ratio(1.0, 0.2, 1e6) / coplanar_ratio(1.0, 0.2) - 1.0).abs() < 1e-9);
        assert!((coplanar_layer_ratio(1.0, 0.2, 1e-4) / (1e-4 / 0.2) - 1.0).abs() < 1e-2);
        assert!((coplanar_ground_ratio(10.0, 0.1, 0.01) / 500.0 - 1.0).abs() < 2e-3);
        assert!((coplanar_ground_ratio(1.0, 0.2, 1e6) / coplanar_ratio(1.0, 0.2) - 1.0).abs() < 1e-9);
    }
}
