//! Takes points in order and the state to hold; gives the exponentially weighted mean with its reaction limits.

use super::{Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "ewma_chart",
    title: "Chart of the exponentially weighted mean",
    formula: &[
        "z_i = lambda x_i + (1 - lambda) z_(i-1), z_0 = target; limits target -+ L sigma sqrt(lambda / (2 - lambda) (1 - (1 - lambda)^(2 i)))",
    ],
    closed: false,
    symbols: &[
        many("x", "points in order", "=", -1e15, 1e15),
        one("lambda", "weight of the newest point", "1", 1e-6, 1.0),
        one("L", "width of the limits, in standard deviations", "1", 0.1, 10.0),
        one("target", "state to hold", "=", -1e15, 1e15),
        one("sigma", "standard deviation of a point", "=", 0.0, 1e15),
    ],
    outputs: &[
        gives("z", "weighted mean at the last point", "="),
        gives("UCL", "upper reaction limit there", "="),
        gives("LCL", "lower reaction limit there", "="),
        gives("signals", "points at which the weighted mean lies beyond its limits", "1"),
    ],
    holds_when: "points are independent and the standard deviation is that of a steady process",
    strength: Strength::Decides,
    weak_because: "sees slow drift early, and a single wild point late",
    sources: &["NIST-6.3.2.4", "Roberts1959"],
    checks: &[Check {
        // The handbook prints z = 51.99 at the twentieth point and limits 52.5884, 47.4115 for large i.
        inputs: &[("x", 52.0), ("x", 47.0), ("x", 53.0), ("x", 49.3), ("x", 50.1), ("x", 47.0), ("x", 51.0), ("x", 50.1), ("x", 51.2), ("x", 50.5), ("x", 49.6), ("x", 47.6), ("x", 49.9), ("x", 51.3), ("x", 47.8), ("x", 51.2), ("x", 52.6), ("x", 52.4), ("x", 53.6), ("x", 52.1), ("lambda", 0.3), ("L", 3.0), ("target", 50.0), ("sigma", 2.0539)],
        expected: &[("z", 51.99), ("UCL", 52.5884), ("LCL", 47.4115), ("signals", 0.0)],
        relative: 0.0,
        absolute: 0.002,
        source: "NIST-6.3.2.4",
        known: Known::Memory,
    }],
    run: |a| {
        let c = chart(&a.many("x"), a.one("lambda"), a.one("L"), a.one("target"), a.one("sigma"));
        let last = c.points.last().ok_or("needs a point")?;
        Ok(vec![last.z, last.upper, last.lower, c.signals.len() as f64])
    },
};

/// The weighted mean at a point, with its limits.
#[derive(Debug, Clone, Copy)]
pub struct Point {
    pub z: f64,
    pub upper: f64,
    pub lower: f64,
}

/// The chart.
#[derive(Debug, Clone)]
pub struct Chart {
    pub points: Vec<Point>,
    /// Limits after many points.
    pub upper: f64,
    pub lower: f64,
    /// Places, counted from 0, at which the weighted mean lies beyond its limits.
    pub signals: Vec<usize>,
}

/// The chart of points against a target.
pub fn chart(x: &[f64], lambda: f64, l: f64, target: f64, sigma: f64) -> Chart {
    let wide = l * sigma * (lambda / (2.0 - lambda)).sqrt();
    let keep = (1.0 - lambda) * (1.0 - lambda);
    let (mut z, mut fading) = (target, 1.0);
    let mut points = Vec::with_capacity(x.len());
    for v in x {
        z = lambda * v + (1.0 - lambda) * z;
        fading *= keep;
        let half = wide * (1.0 - fading).sqrt();
        points.push(Point { z, upper: target + half, lower: target - half });
    }
    let beyond = |p: &Point| p.z > p.upper || p.z < p.lower;
    let signals = points.iter().enumerate().filter(|(_, p)| beyond(p)).map(|(i, _)| i).collect();
    Chart { points, upper: target + wide, lower: target - wide, signals }
}
