//! Takes values; gives their quantiles by linear interpolation between order statistics.

/// Quantile of values in rising order at share `p`: position (n - 1) p, interpolated (type 7 of Hyndman and Fan 1996).
/// NaN when empty or when `p` is outside 0 to 1.
pub fn sample_quantile(sorted: &[f64], p: f64) -> f64 {
    if sorted.is_empty() || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let at = (sorted.len() - 1) as f64 * p;
    let low = at.floor() as usize;
    let high = (low + 1).min(sorted.len() - 1);
    sorted[low] + (sorted[high] - sorted[low]) * (at - low as f64)
}

#[cfg(test)]
mod tests {
    #[test]
    fn quantiles_of_five() {
        let q = |p| super::sample_quantile(&[1.0, 2.0, 4.0, 8.0, 16.0], p);
        assert_eq!([q(0.0), q(0.25), q(0.5), q(0.6), q(1.0)], [1.0, 2.0, 4.0, 5.6, 16.0]);
        assert!(q(1.1).is_nan() && super::sample_quantile(&[], 0.5).is_nan());
    }
}
