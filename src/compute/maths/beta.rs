//! Takes counts and shares; gives the incomplete beta function, its inverse, and Student's t from both.

use std::f64::consts::PI;

/// Error of Stirling's formula for the logarithm of x!, for x > 0.
fn stirling_error(x: f64) -> f64 {
    if x < 16.0 {
        return libm::lgamma(x + 1.0) - (x + 0.5) * libm::log(x) + x - 0.5 * libm::log(2.0 * PI);
    }
    let x2 = x * x;
    (1.0 / 12.0 - (1.0 / 360.0 - (1.0 / 1260.0 - (1.0 / 1680.0 - 1.0 / 1188.0 / x2) / x2) / x2) / x2) / x
}

/// x ln(x/m) + m - x without cancellation.
fn deviance(x: f64, m: f64) -> f64 {
    if (x - m).abs() < 0.1 * (x + m) {
        let v = (x - m) / (x + m);
        let mut sum = (x - m) * v;
        let mut term = 2.0 * x * v;
        let v2 = v * v;
        for j in 1..1000 {
            term *= v2;
            let next = sum + term / (2.0 * f64::from(j) + 1.0);
            if next == sum {
                break;
            }
            sum = next;
        }
        return sum;
    }
    x * libm::log(x / m) + m - x
}

/// x^a (1-x)^b / B(a, b), by the saddle-point form of Loader (2000), which keeps its precision for large a and b.
fn front(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    let exponent = stirling_error(n) - stirling_error(a) - stirling_error(b) - deviance(a, n * x) - deviance(b, n * y);
    (n / (2.0 * PI * a * b)).sqrt() * libm::exp(exponent) * a * b / n
}

/// Continued fraction of the incomplete beta function (modified Lentz); ends after a bounded number of terms.
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let guard = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / guard(1.0 - (a + b) * x / (a + 1.0));
    let mut h = d;
    for m in 1..200_000 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / guard(1.0 + even * d);
        c = guard(1.0 + even / c);
        h *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / guard(1.0 + odd * d);
        c = guard(1.0 + odd / c);
        let step = d * c;
        h *= step;
        if (step - 1.0).abs() < 1e-16 {
            break;
        }
    }
    h
}

/// (lower, upper) shares of the beta distribution with `a`, `b` > 0 at `x`, with `y` = 1 - x given for precision.
pub fn beta_tails(a: f64, b: f64, x: f64, y: f64) -> (f64, f64) {
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if y <= 0.0 {
        return (1.0, 0.0);
    }
    let f = front(a, b, x, y);
    if x < (a + 1.0) / (a + b + 2.0) {
        let low = (f * fraction(a, b, x) / a).clamp(0.0, 1.0);
        (low, 1.0 - low)
    } else {
        let high = (f * fraction(b, a, y) / b).clamp(0.0, 1.0);
        (1.0 - high, high)
    }
}

/// Share of the beta distribution with parameters `a`, `b` > 0 below `x`.
pub fn beta_cdf(a: f64, b: f64, x: f64) -> f64 {
    if !(a > 0.0 && b > 0.0) || x.is_nan() {
        return f64::NAN;
    }
    beta_tails(a, b, x, 1.0 - x).0
}

/// The `x` below which the share `p` of the beta distribution lies, by bisection; ends for any input.
pub fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    if !(a > 0.0 && b > 0.0 && (0.0..=1.0).contains(&p)) {
        return f64::NAN;
    }
    if p == 0.0 || p == 1.0 {
        return p;
    }
    let (mut low, mut high) = (0.0f64, 1.0f64);
    // Powers first, so that a small root keeps its relative precision.
    while high > 1e-300 && beta_tails(a, b, high * 0.5, 1.0 - high * 0.5).0 > p {
        high *= 0.5;
    }
    if high < 1.0 {
        low = high * 0.25;
    }
    for _ in 0..80 {
        let mid = 0.5 * (low + high);
        if mid <= low || mid >= high {
            break;
        }
        if beta_tails(a, b, mid, 1.0 - mid).0 < p {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}

/// Share of Student's t with `nu` > 0 degrees of freedom below `t`.
pub fn t_cdf(t: f64, nu: f64) -> f64 {
    if nu.is_nan() || nu <= 0.0 || t.is_nan() {
        return f64::NAN;
    }
    let square = t * t;
    let (x, y) = (square / (nu + square), nu / (nu + square));
    let both = beta_tails(0.5, 0.5 * nu, x, y).1;
    if t > 0.0 { 1.0 - 0.5 * both } else { 0.5 * both }
}

/// The `t` below which the share `p` of Student's t with `nu` > 0 degrees of freedom lies.
pub fn t_quantile(p: f64, nu: f64) -> f64 {
    if nu.is_nan() || nu <= 0.0 || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    let tail = p.min(1.0 - p);
    if tail == 0.0 {
        return if p == 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let y = beta_quantile(0.5, 0.5 * nu, 1.0 - 2.0 * tail);
    // For heavy tails the other end keeps the precision.
    let square = if y < 0.5 {
        nu * y / (1.0 - y)
    } else {
        let x = beta_quantile(0.5 * nu, 0.5, 2.0 * tail);
        nu * (1.0 - x) / x
    };
    if p < 0.5 { -square.sqrt() } else { square.sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn t_of_printed_tables() {
        // Printed to three decimals in every table of Student's t.
        for (p, nu, t) in [(0.975, 7.0, 2.365), (0.95, 1.0, 6.314), (0.95, 10.0, 1.812), (0.995, 30.0, 2.750)] {
            assert!((t_quantile(p, nu) - t).abs() < 5e-4, "{p} {nu}");
        }
        assert!((t_quantile(0.95, 1e6) - 1.6448551).abs() < 1e-6);
    }

    #[test]
    fn quantile_undoes_the_share_at_extremes() {
        for (a, b) in [(0.5, 0.5), (1.0, 1e7), (4.0, 1e5), (0.5, 5e6), (3.5, 1.5), (2e6, 3e6)] {
            for p in [1e-6, 0.05, 0.5, 0.95, 0.9999] {
                let x = beta_quantile(a, b, p);
                assert!((beta_cdf(a, b, x) - p).abs() < 1e-9 * (1.0 + p), "{a} {b} {p} {x}");
            }
        }
        assert!(beta_quantile(0.0, 1.0, 0.5).is_nan());
    }
}
