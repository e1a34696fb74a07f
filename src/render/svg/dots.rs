//! Takes the rows of [`Plot::Dots`](crate::model::document::Plot::Dots); gives one strip of circles per row on one axis.

use super::axis::{Axis, FOOT, LEFT, RIGHT, WIDTH};
use super::{FAINT, INK, label, line, number, tenths, wrapped};

/// The picture: width, height, content. A value outside the axis is drawn as a triangle at its end.
pub fn picture(rows: &[(String, Vec<f64>, f64)], limit: f64, unit: &str, low: f64, high: f64) -> (i64, i64, String) {
    let axis = Axis::of(low, high);
    let Axis { low, high, .. } = axis;
    let x = |v: f64| axis.x(v);
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
    let mut out = axis.draw(180, bottom, unit);
    if limit.is_finite() && limit >= low && limit <= high {
        let at = x(limit);
        out.push_str(&line((at, 150), (at, bottom), INK, " stroke-width=\"1.8\""));
        let (anchor, at) = if at > (LEFT + RIGHT) / 2 { ("end", at + 10) } else { ("start", at - 10) };
        out.push_str(&label(at, 110, anchor, &format!("limit {} {unit}", number(limit))));
    }
    out.push_str(&strips);
    (WIDTH, (bottom + FOOT) / 10, out)
}
