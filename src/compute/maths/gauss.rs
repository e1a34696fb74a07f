//! Takes a number of nodes; gives the nodes and weights of Gauss-Legendre quadrature on [-1, 1].

/// Nodes and weights, by Newton steps on the Legendre polynomial of degree `n`.
pub fn legendre(n: usize) -> Vec<(f64, f64)> {
    let mut out = Vec::with_capacity(n);
    let m = n as f64;
    for i in 0..n {
        let mut x = libm::cos(std::f64::consts::PI * (i as f64 + 0.75) / (m + 0.5));
        let mut slope = 1.0;
        for _ in 0..50 {
            let (mut before, mut p) = (1.0, x);
            for k in 2..=n {
                let k = k as f64;
                (before, p) = (p, ((2.0 * k - 1.0) * x * p - (k - 1.0) * before) / k);
            }
            slope = m * (x * p - before) / (x * x - 1.0);
            let step = p / slope;
            x -= step;
            if step.abs() < 1e-16 {
                break;
            }
        }
        out.push((x, 2.0 / ((1.0 - x * x) * slope * slope)));
    }
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn integrates_polynomials_exactly() {
        let rule = super::legendre(16);
        let power = |k: i32| rule.iter().map(|(x, w)| w * (0..k).fold(1.0, |p, _| p * x)).sum::<f64>();
        assert!((power(0) - 2.0).abs() < 1e-14);
        assert!((power(30) - 2.0 / 31.0).abs() < 1e-14);
        assert!(power(7).abs() < 1e-15);
    }
}
