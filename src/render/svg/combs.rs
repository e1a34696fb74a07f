//! Takes the panels of [`Plot::Combs`]; gives small pictures that all have the same fixed axes.

use super::{FAINT, GREY, INK, curve, hatch, label, line, number, tenths, wrapped};
use crate::model::document::{Panel, Plot};

/// Size of one panel, in pixels.
pub const WIDTH: i64 = 290;
pub const HEIGHT: i64 = 190;
/// The frame of the curves, in tenths of a pixel.
const LEFT: i64 = 340;
const RIGHT: i64 = 2780;
const TOP: i64 = 80;
const BOTTOM: i64 = 1560;
/// Steps of the time axis, hours.
const STEPS: [f64; 14] = [1.0, 2.0, 6.0, 12.0, 24.0, 48.0, 72.0, 120.0, 168.0, 240.0, 500.0, 1000.0, 2000.0, 5000.0];

/// The axes that every panel of a figure shares.
pub struct Axes {
    low: f64,
    high: f64,
    hours: f64,
    limit: f64,
    guard: f64,
    window: (f64, f64),
}

impl Axes {
    /// Axes of a plot of combs; axes that can't be drawn are replaced by 4 to 14 decades and 168 hours.
    pub fn of(plot: &Plot) -> Self {
        let Plot::Combs { limit, guard, low, high, hours, window, .. } = *plot else {
            return Self {
                low: 4.0,
                high: 14.0,
                hours: 168.0,
                limit: f64::NAN,
                guard: 0.0,
                window: (f64::NAN, f64::NAN),
            };
        };
        let sane = low.abs() <= 100.0 && high.abs() <= 100.0 && (0.5..=40.0).contains(&(high - low));
        let (low, high) = if sane { (low, high) } else { (4.0, 14.0) };
        let hours = if hours.is_finite() && hours > 0.0 { hours } else { 168.0 };
        Self { low, high, hours, limit, guard, window }
    }

    fn x(&self, hours: f64) -> i64 {
        let share = (hours / self.hours).clamp(0.0, 1.0);
        LEFT + (share * (RIGHT - LEFT) as f64).round() as i64
    }

    fn y(&self, decades: f64) -> i64 {
        let share = ((decades - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        BOTTOM - (share * (BOTTOM - TOP) as f64).round() as i64
    }

    fn point(&self, (hours, decades): (f64, f64)) -> Option<(i64, i64)> {
        let inside = hours.is_finite() && decades.is_finite() && hours >= 0.0 && hours <= self.hours;
        inside.then(|| (self.x(hours), self.y(decades)))
    }
}

/// What a panel shows, in words.
pub fn words(axes: &Axes, p: &Panel) -> String {
    let mut out = format!("{}: {} combs", p.title, p.curves.len());
    match p.controls.len() {
        0 => {}
        n => out.push_str(&format!(" and {n} controls")),
    }
    out.push_str(&format!(" over {} h", number(axes.hours)));
    if axes.limit.is_finite() {
        out.push_str(&format!(", limit {}", number(axes.limit)));
    }
    match p.drops.len() {
        0 => {}
        n => out.push_str(&format!(", {n} drops")),
    }
    out
}

/// One panel, without its title.
pub fn panel(axes: &Axes, p: &Panel) -> String {
    let mut out = String::new();
    scales(axes, &mut out);
    limit(axes, &mut out);
    for (curves, style) in
        [(&p.controls, " stroke-width=\"1\" stroke-dasharray=\"5 2\""), (&p.curves, " stroke-width=\"0.6\"")]
    {
        let d: String = curves.iter().map(|c| curve::path(c.iter().map(|&q| axes.point(q)))).collect();
        if !d.is_empty() {
            out.push_str(&format!("<path d=\"{d}\" fill=\"none\" stroke=\"{INK}\"{style}/>"));
        }
    }
    for (x, y) in p.drops.iter().filter_map(|&q| axes.point(q)) {
        let (x, y) = (tenths(x), tenths(y - 10));
        out.push_str(&format!("<path d=\"M{x} {y}l-3.5 -7h7z\" stroke=\"#fff\" stroke-width=\"0.8\"/>"));
    }
    if let Some((_, y)) = p.controls.iter().flatten().rev().find_map(|&q| axes.point(q)) {
        let y = if y < TOP + 160 { y + 130 } else { y - 50 };
        out.push_str(&label(RIGHT - 30, y, "end", "control"));
    }
    if axes.limit.is_finite() {
        out.push_str(&label(
            RIGHT - 30,
            (axes.y(axes.limit) + 110).min(BOTTOM - 20),
            "end",
            &format!("limit {}", number(axes.limit)),
        ));
    }
    if p.curves.iter().chain(&p.controls).flatten().any(|q| q.1 < axes.low) {
        out.push_str(&label(LEFT + 40, BOTTOM - 30, "start", "falls below the axis"));
    }
    out
}

fn scales(axes: &Axes, out: &mut String) {
    let every = if axes.high - axes.low > 9.0 { 2.0 } else { 1.0 };
    let first = (axes.low / every).ceil();
    let decades = (0..42).map(|i| (first + f64::from(i)) * every);
    for decade in decades.take_while(|&decade| decade <= axes.high) {
        let y = axes.y(decade);
        out.push_str(&line((LEFT, y), (RIGHT, y), FAINT, " stroke-width=\"0.6\""));
        out.push_str(&format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"end\">{}</text>",
            tenths(LEFT - 40),
            tenths(y + 35),
            number(decade)
        ));
    }
    let step = STEPS.into_iter().find(|s| axes.hours / s <= 7.5).unwrap_or(axes.hours);
    let hours = (0..9).map(|i| f64::from(i) * step);
    for hour in hours.take_while(|&hour| hour <= axes.hours * 1.000_001) {
        let x = axes.x(hour);
        out.push_str(&line((x, BOTTOM), (x, BOTTOM + 30), INK, " stroke-width=\"0.8\""));
        out.push_str(&format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
            tenths(x),
            tenths(BOTTOM + 140),
            number(hour)
        ));
    }
    for edge in [axes.window.0, axes.window.1].into_iter().filter(|&h| h > 0.0 && h <= axes.hours) {
        let x = axes.x(edge);
        out.push_str(&line((x, TOP), (x, BOTTOM), GREY, " stroke-width=\"1\" stroke-dasharray=\"1 2.5\""));
    }
    let frame = format!("M{} {}V{}H{}", tenths(LEFT), tenths(TOP), tenths(BOTTOM), tenths(RIGHT));
    out.push_str(&format!("<path d=\"{frame}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"0.8\"/>"));
    let middle = tenths((TOP + BOTTOM) / 2);
    out.push_str(&format!(
        "<text transform=\"translate(9 {middle}) rotate(-90)\" text-anchor=\"middle\">log10 (R in ohm)</text>"
    ));
    out.push_str(&format!(
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">time, h</text>",
        tenths((LEFT + RIGHT) / 2),
        HEIGHT - 6
    ));
}

fn limit(axes: &Axes, out: &mut String) {
    if !axes.limit.is_finite() || axes.limit < axes.low || axes.limit > axes.high {
        return;
    }
    let y = axes.y(axes.limit);
    if axes.guard.is_finite() && axes.guard > 0.0 {
        out.push_str(&hatch(LEFT, RIGHT, axes.y(axes.limit + axes.guard), y));
    }
    out.push_str(&line((LEFT, y), (RIGHT, y), INK, " stroke-width=\"1.8\""));
}

/// All panels of a figure under their titles, and the key: width, height, content.
pub fn sheet(axes: &Axes, panels: &[Panel]) -> (i64, i64, String) {
    let columns = panels.len().clamp(1, 3) as i64;
    let titles: Vec<_> = panels.iter().map(|p| wrapped(&p.title, 48)).collect();
    let head = titles.iter().map(Vec::len).max().unwrap_or(1) as i64 * 13 + 8;
    let (across, down) = (WIDTH + 10, HEIGHT + head + 10);
    let mut out = String::new();
    for (i, (p, title)) in panels.iter().zip(&titles).enumerate() {
        let (x, y) = (i as i64 % columns * across + 5, i as i64 / columns * down + 5);
        for (k, words) in title.iter().enumerate() {
            let words = crate::render::html::escape(words);
            let y = y + 12 + 13 * k as i64;
            out.push_str(&format!("<text x=\"{}\" y=\"{y}\" font-weight=\"bold\">{words}</text>", x + 4));
        }
        out.push_str(&format!("<g transform=\"translate({x} {})\">{}</g>\n", y + head, panel(axes, p)));
    }
    let rows = (panels.len() as i64 + columns - 1) / columns;
    let (key, high) = key(axes, columns, rows * down + 5);
    (columns * across, rows * down + high, out + &key)
}

/// Signs of the picture with their names, at height `top`; and the height that they take.
fn key(axes: &Axes, columns: i64, top: i64) -> (String, i64) {
    let solid =
        |width: &str, more: &str| format!("<path d=\"M0 5h24\" stroke=\"{INK}\" stroke-width=\"{width}\"{more}/>");
    let mut signs = vec![
        ("comb", solid("0.8", "")),
        ("control comb", solid("1", " stroke-dasharray=\"5 2\"")),
        ("drop", "<path d=\"M12 9l-3.5 -7h7z\"/>".to_owned()),
        ("window that is judged", solid("1", " stroke-dasharray=\"1 2.5\"")),
    ];
    if axes.limit.is_finite() {
        signs.push(("limit", solid("1.8", "")));
        signs.push(("guard band", hatch(0, 240, 20, 80)));
    }
    let mut out = String::new();
    for (i, (words, sign)) in signs.iter().enumerate() {
        let (x, y) = (i as i64 % (2 * columns) * 150 + 10, top + i as i64 / (2 * columns) * 16);
        out.push_str(&format!("<g transform=\"translate({x} {y})\">{sign}<text x=\"30\" y=\"9\">{words}</text></g>\n"));
    }
    let rows = (signs.len() as i64 + 2 * columns - 1) / (2 * columns);
    (out, rows * 16 + 10)
}
