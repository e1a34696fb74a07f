//! Takes readings; gives them in order, their ties and their rising and falling pairs.

/// Values in rising order.
pub fn sorted(x: &[f64]) -> Vec<f64> {
    let mut v = x.to_vec();
    v.sort_by(f64::total_cmp);
    v
}

/// Sizes of the groups of equal values that hold two or more.
pub fn ties(x: &[f64]) -> Vec<f64> {
    let v = sorted(x);
    v.chunk_by(|a, b| a == b).filter(|g| g.len() > 1).map(|g| g.len() as f64).collect()
}

/// Rising less falling pairs of a series: Kendall's S. Counted in n log n steps.
pub fn rising_less_falling(y: &[f64]) -> i64 {
    let mut levels = sorted(y);
    levels.dedup();
    // Counts of earlier values up to each level, as a Fenwick tree.
    let mut tree = vec![0i64; levels.len() + 1];
    let upto = |tree: &[i64], mut i: usize| {
        let mut sum = 0;
        while i > 0 {
            sum += tree[i];
            i &= i - 1;
        }
        sum
    };
    let mut s = 0;
    for (seen, v) in y.iter().enumerate() {
        let level = levels.partition_point(|l| l < v);
        let lower = upto(&tree, level);
        let not_higher = upto(&tree, level + 1);
        s += lower - (seen as i64 - not_higher);
        let mut i = level + 1;
        while i < tree.len() {
            tree[i] += 1;
            i += i & i.wrapping_neg();
        }
    }
    s
}

/// Variance of Kendall's S for `n` values with ties of the given sizes: (n (n-1) (2n+5) - sum t (t-1) (2t+5)) / 18.
pub fn kendall_variance(n: f64, ties: &[f64]) -> f64 {
    let part = |t: f64| t * (t - 1.0) * (2.0 * t + 5.0);
    (part(n) - ties.iter().map(|t| part(*t)).sum::<f64>()) / 18.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_and_ties() {
        assert_eq!(rising_less_falling(&[1.0, 2.0, 3.0, 4.0, 5.0, 16.0, 7.0]), 19);
        assert_eq!(rising_less_falling(&[4.1, 4.0, 4.0, 3.6]), -5);
        assert_eq!(rising_less_falling(&[2.0; 5]), 0);
        assert_eq!(ties(&[1.0, 2.0, 1.0, 1.0, 2.0, 3.0]), vec![3.0, 2.0]);
        assert_eq!(kendall_variance(10.0, &[10.0]), 0.0);
    }
}
