//! Takes a series over time; gives its crossings of a level, its time above one, and its slopes over a window.

/// Times at which the series rises (first list) or falls (second) through `level`, interpolated between readings.
pub fn crossings(t: &[f64], x: &[f64], level: f64) -> (Vec<f64>, Vec<f64>) {
    let (mut up, mut down) = (Vec::new(), Vec::new());
    for i in 1..t.len().min(x.len()) {
        let (a, b) = (x[i - 1], x[i]);
        if (a > level) != (b > level) {
            let at = t[i - 1] + (t[i] - t[i - 1]) * (level - a) / (b - a);
            if b > level { up.push(at) } else { down.push(at) }
        }
    }
    (up, down)
}

/// Total time above `level`, interpolated between readings.
pub fn time_above(t: &[f64], x: &[f64], level: f64) -> f64 {
    let mut sum = 0.0;
    for i in 1..t.len().min(x.len()) {
        let (a, b, dt) = (x[i - 1], x[i], t[i] - t[i - 1]);
        sum += match (a > level, b > level) {
            (true, true) => dt,
            (false, true) => dt * (b - level) / (b - a),
            (true, false) => dt * (a - level) / (a - b),
            (false, false) => 0.0,
        };
    }
    sum
}

/// Slope between every reading and the line `span` later, in order of time; empty when the record is shorter.
pub fn window_slopes(t: &[f64], x: &[f64], span: f64) -> Vec<f64> {
    let mut out = Vec::new();
    let mut j = 0;
    for i in 0..t.len() {
        let wanted = t[i] + span;
        while j < t.len() && t[j] < wanted - 1e-9 {
            j += 1;
        }
        if j >= t.len() {
            break;
        }
        let there = if j == 0 || t[j] <= wanted + 1e-9 {
            x[j]
        } else {
            x[j - 1] + (x[j] - x[j - 1]) * (wanted - t[j - 1]) / (t[j] - t[j - 1])
        };
        out.push((there - x[i]) / span);
    }
    out
}

/// Least-squares slope over the readings of every window of `span` that lies within the record.
pub fn window_fits(t: &[f64], x: &[f64], span: f64) -> Vec<f64> {
    let Some(&end) = t.last() else { return Vec::new() };
    let mut out = Vec::new();
    for i in 0..t.len() {
        if t[i] + span > end + 1e-9 {
            break;
        }
        let last = t.partition_point(|v| *v <= t[i] + span + 1e-9);
        out.push(super::least_squares(&t[i..last], &x[i..last]).1);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_roof_of_two_lines() {
        let (t, x) = ([0.0, 10.0, 30.0], [0.0, 100.0, 0.0]);
        assert_eq!(crossings(&t, &x, 50.0), (vec![5.0], vec![20.0]));
        assert_eq!(time_above(&t, &x, 50.0), 15.0);
        assert_eq!(window_slopes(&t, &x, 10.0), vec![10.0, -5.0]);
        assert_eq!(window_fits(&t, &x, 10.0)[0], 10.0);
        assert!(window_slopes(&t, &x, 100.0).is_empty() && window_fits(&[], &[], 1.0).is_empty());
    }
}
