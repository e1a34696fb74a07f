//! Takes the points of a curve; gives a path that strays at most 0.2 pixels from them and keeps the lowest.

use super::tenths;

/// Allowed distance, in tenths of a pixel.
const SLACK: f64 = 2.0;

/// Path data for a curve in tenths of a pixel; `None` interrupts it. The lowest point on paper is kept.
pub fn path(points: impl Iterator<Item = Option<(i64, i64)>>) -> String {
    let points: Vec<_> = points.collect();
    let lowest = points.iter().flatten().map(|p| p.1).max();
    let mut d = String::new();
    for run in points.split(Option::is_none) {
        let run: Vec<_> = run.iter().flatten().copied().collect();
        if let [only] = run.as_slice() {
            // A single reading between two gaps still shows.
            d.push_str(&format!("M{} {}h0.5", tenths(only.0), tenths(only.1)));
        }
        for (i, p) in thinned(&run, lowest).iter().enumerate().filter(|_| run.len() > 1) {
            d.push_str(&format!("{}{} {}", if i == 0 { "M" } else { "L" }, tenths(p.0), tenths(p.1)));
        }
    }
    d
}

/// Leaves out points that a straight line passes within [`SLACK`]. One pass.
fn thinned(run: &[(i64, i64)], lowest: Option<i64>) -> Vec<(i64, i64)> {
    let Some((&first, rest)) = run.split_first() else {
        return Vec::new();
    };
    let mut out = vec![first];
    let mut from = first;
    let mut last = first;
    // Slopes that pass all points since `from`.
    let mut cone = (f64::NEG_INFINITY, f64::INFINITY);
    for &p in rest {
        let reach = |from: (i64, i64)| {
            let (dx, dy) = ((p.0 - from.0) as f64, (p.1 - from.1) as f64);
            (dx > 0.0).then(|| ((dy - SLACK) / dx, dy / dx, (dy + SLACK) / dx))
        };
        let inside = reach(from).is_some_and(|(_, slope, _)| cone.0 <= slope && slope <= cone.1);
        if !inside && last != from {
            out.push(last);
            from = last;
            cone = (f64::NEG_INFINITY, f64::INFINITY);
        }
        match reach(from) {
            Some((low, _, high)) if Some(p.1) != lowest => cone = (cone.0.max(low), cone.1.min(high)),
            _ => {
                out.push(p);
                from = p;
                cone = (f64::NEG_INFINITY, f64::INFINITY);
            }
        }
        last = p;
    }
    if out.last() != Some(&last) {
        out.push(last);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{path, thinned};

    #[test]
    fn a_straight_curve_keeps_its_ends_and_a_drop_keeps_its_depth() {
        let mut points: Vec<_> = (0..1000).map(|i| (i, 500 + i % 2)).collect();
        assert_eq!(thinned(&points, None).len(), 2);
        points[333].1 = 900;
        let thin = thinned(&points, Some(900));
        assert!(thin.contains(&(333, 900)) && thin.len() < 8, "{thin:?}");
    }

    #[test]
    fn no_left_out_point_is_farther_than_the_slack() {
        let points: Vec<(i64, i64)> = (0..2000i64).map(|i| (i, (i * i * 7919 % 97) / (1 + i % 13) + i / 3)).collect();
        let thin = thinned(&points, None);
        for p in &points {
            let k = thin.partition_point(|t| t.0 <= p.0).clamp(1, thin.len() - 1);
            let (a, b) = (thin[k - 1], thin[k]);
            let y = a.1 as f64 + (b.1 - a.1) as f64 * (p.0 - a.0) as f64 / (b.0 - a.0) as f64;
            assert!((y - p.1 as f64).abs() <= 2.0 + 1e-9, "{p:?} between {a:?} and {b:?}");
        }
    }

    #[test]
    fn gaps_interrupt_and_a_lone_point_shows() {
        let points = [Some((0, 0)), Some((10, 5)), None, Some((30, 5)), None, Some((50, 1)), Some((60, 9))];
        assert_eq!(path(points.into_iter()), "M0 0L1 0.5M3 0.5h0.5M5 0.1L6 0.9");
    }
}
