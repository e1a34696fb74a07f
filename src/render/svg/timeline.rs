//! Takes rows of months; gives a band for each row, every kind with its letter and its surface, events, and the key.

use super::axis::{LEFT, RIGHT, WIDTH};
use super::bars::{Surface, bar, named};
use super::{FAINT, INK, label, line, tenths, wrapped};
use crate::model::document::Track;

/// Height of a band, in tenths of a pixel.
const HIGH: i64 = 150;
/// Steps of the axis of months.
const STEPS: [u32; 6] = [6, 12, 24, 36, 60, 120];

/// The picture: width, height, content.
pub fn picture(
    months: u32,
    kinds: &[(String, String)],
    tracks: &[Track],
    events: &[(u32, String)],
) -> (i64, i64, String) {
    let months = months.max(1);
    // Month m is the stretch that ends at m; month 0 is the day at which all begins.
    let x = |month: u32| LEFT + (RIGHT - LEFT) * i64::from(month.min(months)) / i64::from(months);
    let mut bands = String::new();
    let mut y = 20;
    for t in tracks {
        let (words, below) = named(&t.name, "", y);
        bands.push_str(&words);
        let top = below + 40;
        for &(first, last, kind) in &t.spans {
            let (left, right) = (x(first.saturating_sub(1)), x(last));
            bands.push_str(&bar(left, right, top, top + HIGH, Surface::of(kind)));
            let letter = kinds.get(kind).map_or("", |k| k.0.as_str());
            if right - left >= 80 * letter.chars().count().max(1) as i64 {
                bands.push_str(&label((left + right) / 2, top + 110, "middle", letter));
            }
        }
        y = top + HIGH + 40;
    }
    // Each event a numbered arrow; those of one month share it.
    let mut arrows = String::new();
    for (i, (month, _)) in events.iter().enumerate() {
        let at = x(*month);
        if i > 0 && events[i - 1].0 == *month {
            continue;
        }
        let same = events[i..].iter().take_while(|e| e.0 == *month).count();
        let words = if same > 1 { format!("{}-{}", i + 1, i + same) } else { (i + 1).to_string() };
        arrows.push_str(&format!("<path d=\"M{} {}l-4 8h8z\"/>", tenths(at), tenths(y + 10)));
        arrows.push_str(&line((at, 30), (at, y + 10), INK, " stroke-width=\"0.7\" stroke-dasharray=\"1 2.5\""));
        let anchor = if at > RIGHT - 100 {
            "end"
        } else if at < LEFT + 100 {
            "start"
        } else {
            "middle"
        };
        arrows.push_str(&label(at, y + 200, anchor, &words));
    }
    let bottom = if events.is_empty() { y } else { y + 230 };
    let mut out = String::new();
    let step = STEPS.into_iter().find(|s| months / s <= 8).unwrap_or(240);
    for month in (0..=months).step_by(step as usize) {
        let at = x(month);
        out.push_str(&line((at, 30), (at, bottom), FAINT, " stroke-width=\"0.6\""));
        let anchor = if at > RIGHT - 100 { "end" } else { "middle" };
        out.push_str(&label(at, bottom + 130, anchor, &month.to_string()));
    }
    out.push_str(&label((LEFT + RIGHT) / 2, bottom + 270, "middle", "month"));
    out.push_str(&bands);
    out.push_str(&arrows);
    let mut y = bottom + 330;
    for (i, (letter, words)) in kinds.iter().enumerate() {
        out.push_str(&bar(LEFT, LEFT + 260, y + 20, y + 140, Surface::of(i)));
        out.push_str(&label(LEFT + 130, y + 120, "middle", letter));
        y = legend(&mut out, LEFT + 320, y, words);
    }
    for (i, (month, words)) in events.iter().enumerate() {
        out.push_str(&label(LEFT + 130, y + 120, "middle", &(i + 1).to_string()));
        y = legend(&mut out, LEFT + 320, y, &format!("month {month}: {words}"));
    }
    (WIDTH, y / 10 + 8, out)
}

/// Lines of words from `y` down; gives where they end.
fn legend(out: &mut String, x: i64, y: i64, words: &str) -> i64 {
    let mut y = y;
    for part in wrapped(words, 54) {
        y += 120;
        out.push_str(&label(x, y, "start", &part));
    }
    y + 40
}
