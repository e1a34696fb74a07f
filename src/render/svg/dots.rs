//! Takes the rows of [`Plot::Dots`](crate::model::document::Plot::Dots); gives one strip of circles per row on one axis.

use super::{FAINT, GREY, INK, label, line, number, tenths, wrapped};
use crate::render::html::escape;

/// Width of the picture, in pixels.
const WIDTH: i64 = 360;
/// Ends of the axis, in tenths of a pixel.
const LEFT: i64 = 120;
const RIGHT: i64 = 3480;

/// The picture: width, height, content. A value outside the axis is drawn as a triangle at its end.
pub fn picture(rows: &[(String, Vec<f64>, f64)], limit: f64, unit: &str, low: f64, high: f64) -> (i64, i64, String) {
    let sane = low.is_finite() && high.is_finite() && low < high;
    let (low, high) = if sane { (low, high) } else { (0.0, 1.0) };
    let x = |v: f64| LEFT + (((v - low) / (high - low)).clamp(0.0, 1.0) * (RIGHT - LEFT) as f64).round() as i64;
    let mut strips = String::new();
    let mut y = 180;
    for (name, values, statistic) in rows {
        for words in wrapped(name, 58) {
            y += 130;
            strips.push_str(&label(LEFT, y, "start", &words));
        }
        y += 120;
        strips.push_str(&line((LEFT, y), (RIGHT, y), FAINT, " stroke-width=\"0.8\""));
        for &v in values.iter().filter(|v| v.is_finite()) {
            let (at, y) = (tenths(x(v)), tenths(y));
            strips.push_str(&match (v < low, v > high) {
                (true, _) => format!("<path d=\"M{at} {y}l6 -4v8z\"/>"),
                (_, true) => format!("<path d=\"M{at} {y}l-6 -4v8z\"/>"),
                _ => format!("<circle cx=\"{at}\" cy=\"{y}\" r=\"3\" fill=\"none\" stroke=\"{INK}\"/>"),
            });
        }
        if statistic.is_finite() {
            let at = x(*statistic);
            strips.push_str(&line((at, y - 70), (at, y + 70), INK, " stroke-width=\"2.4\""));
        }
        y += 90;
    }
    let bottom = y + 20;
    let mut out = String::new();
    let step = step(high - low);
    let first = (low / step).ceil();
    let ticks = (0..12).map(|i| (first + f64::from(i)) * step);
    for tick in ticks.take_while(|&tick| tick <= high + step * 1e-6) {
        let at = x(tick);
        out.push_str(&line((at, 180), (at, bottom), FAINT, " stroke-width=\"0.6\""));
        out.push_str(&line((at, bottom), (at, bottom + 30), INK, " stroke-width=\"0.8\""));
        let anchor = if at > RIGHT - 100 { "end" } else { "middle" };
        out.push_str(&format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\">{}</text>",
            tenths(at),
            tenths(bottom + 140),
            number(tick)
        ));
    }
    out.push_str(&line((LEFT, bottom), (RIGHT, bottom), GREY, " stroke-width=\"0.8\""));
    if limit.is_finite() && limit >= low && limit <= high {
        let at = x(limit);
        out.push_str(&line((at, 150), (at, bottom), INK, " stroke-width=\"1.8\""));
        let (anchor, at) = if at > (LEFT + RIGHT) / 2 { ("end", at + 10) } else { ("start", at - 10) };
        out.push_str(&label(at, 110, anchor, &format!("limit {} {unit}", number(limit))));
    }
    out.push_str(&strips);
    let middle = tenths((LEFT + RIGHT) / 2);
    out.push_str(&format!(
        "<text x=\"{middle}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
        tenths(bottom + 280),
        escape(unit)
    ));
    (WIDTH, bottom / 10 + 36, out)
}

/// A step of 1, 2 or 5 times a power of ten that gives four to ten ticks.
fn step(range: f64) -> f64 {
    let mut step = 1e-12;
    for _ in 0..40 {
        for times in [1.0, 2.0, 5.0] {
            if range / (step * times) <= 8.0 {
                return step * times;
            }
        }
        step *= 10.0;
    }
    range
}
