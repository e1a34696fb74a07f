//! Takes readings; gives mean, spread, medians, moving range and a straight line.

/// Arithmetic mean, NaN when empty. Summed about the first value, so that equal values give it exactly.
pub fn mean(x: &[f64]) -> f64 {
    let Some(&first) = x.first() else { return f64::NAN };
    first + x.iter().map(|v| v - first).sum::<f64>() / x.len() as f64
}

/// Standard deviation with n - 1 in the denominator; NaN below two values.
pub fn sd(x: &[f64]) -> f64 {
    if x.len() < 2 {
        return f64::NAN;
    }
    let m = mean(x);
    (x.iter().map(|v| (v - m) * (v - m)).sum::<f64>() / (x.len() - 1) as f64).sqrt()
}

/// Geometric mean of positive values; NaN when empty or when a value is not positive.
pub fn geometric_mean(x: &[f64]) -> f64 {
    if x.iter().any(|v| v.is_nan() || *v <= 0.0) {
        return f64::NAN;
    }
    let logs: Vec<f64> = x.iter().map(|v| libm::log10(*v)).collect();
    libm::pow(10.0, mean(&logs))
}

/// Median, mean of the middle two for an even number; NaN when empty.
pub fn median(x: &[f64]) -> f64 {
    let mut v = x.to_vec();
    v.sort_by(f64::total_cmp);
    middle_of(&v)
}

/// For each value the median of those from `before` earlier to `after` later ones, fewer at the ends.
pub fn rolling_median(x: &[f64], before: usize, after: usize) -> Vec<f64> {
    let mut scratch: Vec<f64> = Vec::with_capacity(before + after + 1);
    let middle = |i: usize| {
        scratch.clear();
        scratch.extend_from_slice(&x[i.saturating_sub(before)..(i + after + 1).min(x.len())]);
        scratch.sort_unstable_by(f64::total_cmp);
        middle_of(&scratch)
    };
    (0..x.len()).map(middle).collect()
}

/// Median of values in order.
fn middle_of(v: &[f64]) -> f64 {
    match v.len() {
        0 => f64::NAN,
        n if n % 2 == 1 => v[n / 2],
        n => 0.5 * (v[n / 2 - 1] + v[n / 2]),
    }
}

/// Mean absolute difference of neighbours; NaN below two values.
pub fn moving_range(x: &[f64]) -> f64 {
    let steps: Vec<f64> = x.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    mean(&steps)
}

/// (intercept, slope) of the least-squares line through (x, y); NaN when all x are equal.
pub fn least_squares(x: &[f64], y: &[f64]) -> (f64, f64) {
    let (mx, my) = (mean(x), mean(y));
    let sxx: f64 = x.iter().map(|v| (v - mx) * (v - mx)).sum();
    let sxy: f64 = x.iter().zip(y).map(|(a, b)| (a - mx) * (b - my)).sum();
    if sxx.is_nan() || sxx <= 0.0 {
        return (f64::NAN, f64::NAN);
    }
    let slope = sxy / sxx;
    (my - slope * mx, slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn summaries() {
        assert_eq!(mean(&[9.1, 9.1, 9.1]), 9.1);
        assert!(mean(&[]).is_nan() && sd(&[1.0]).is_nan() && median(&[]).is_nan());
        assert_eq!(median(&[3.0, 1.0, 2.0]), 2.0);
        assert_eq!(rolling_median(&[5.0, 1.0, 5.0, 5.0], 1, 1), vec![3.0, 5.0, 5.0, 5.0]);
        assert_eq!(least_squares(&[0.0, 1.0, 2.0], &[1.0, 3.0, 5.0]), (1.0, 2.0));
        assert!(geometric_mean(&[1.0, 0.0]).is_nan());
    }
}
