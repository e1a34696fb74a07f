//! Takes rows of months; gives a band for each row, every kind with its letter and its surface, events, and the key.

use super::axis::{LEFT, right};
use super::bars::{Surface, bar, letters, named};
use super::{FAINT, INK, label, line, tenths, wrapped};
use crate::model::document::Track;

/// Height of a band, and of the strip below what no claims support, in tenths of a pixel.
const HIGH: i64 = 150;
const STRIP: i64 = 45;
/// Steps of the axis of months.
const STEPS: [u32; 6] = [6, 12, 24, 36, 60, 120];
/// Room at the left of the words of the key, in tenths of a pixel and in letters.
const SIGN: i64 = 320;
const SIGN_LETTERS: usize = 6;

/// The picture: width, height, content.
pub fn picture(
    months: u32,
    kinds: &[(String, String)],
    tracks: &[Track],
    events: &[(u32, String)],
    width: i64,
) -> (i64, i64, String) {
    let (months, end) = (months.max(1), right(width));
    // A month is the stretch that begins at its number; month 0 is the day at which all begins, the last month ends the axis.
    let x = |month: u32| LEFT + (end - LEFT) * i64::from(month.min(months + 1)) / i64::from(months + 1);
    let any = tracks.iter().any(|t| !t.marked.is_empty());
    let mut bands = String::new();
    let mut tops = Vec::new();
    let mut y = 20;
    for t in tracks {
        let (words, below) = named(&t.name, "", y, width);
        bands.push_str(&words);
        let top = below + 40;
        tops.push(top);
        for &(first, last, kind) in &t.spans {
            let (left, right) = (x(first), x(last.saturating_add(1)));
            bands.push_str(&bar(left, right, top, top + HIGH, Surface::of(kind)));
            let letter = kinds.get(kind).map_or("", |k| k.0.as_str());
            if right - left >= 80 * letter.chars().count().max(1) as i64 {
                bands.push_str(&label((left + right) / 2, top + 110, "middle", letter));
            }
        }
        for &(first, last) in &t.marked {
            bands.push_str(&strip(x(first), x(last.saturating_add(1)), top + HIGH));
        }
        y = top + HIGH + 40 + if any { STRIP } else { 0 };
    }
    // Each event a numbered arrow; those of one month share it. Its line crosses the bands, and no name.
    let mut arrows = String::new();
    for (i, (month, _)) in events.iter().enumerate() {
        let at = x(*month);
        if i > 0 && events[i - 1].0 == *month {
            continue;
        }
        let same = events[i..].iter().take_while(|e| e.0 == *month).count();
        let words = if same > 1 { format!("{}-{}", i + 1, i + same) } else { (i + 1).to_string() };
        arrows.push_str(&format!("<path d=\"M{} {}l-4 8h8z\"/>", tenths(at), tenths(y + 10)));
        for top in &tops {
            arrows.push_str(&line((at, *top), (at, top + HIGH), INK, " stroke-width=\"0.9\" stroke-dasharray=\"1 2\""));
        }
        let anchor = if at > end - 100 {
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
        let anchor = if at > end - 100 { "end" } else { "middle" };
        out.push_str(&label(at, bottom + 130, anchor, &month.to_string()));
    }
    out.push_str(&label((LEFT + end) / 2, bottom + 270, "middle", "month"));
    out.push_str(&bands);
    out.push_str(&arrows);
    let mut y = bottom + 330;
    let words_fit = letters(width) - SIGN_LETTERS;
    for (i, (letter, words)) in kinds.iter().enumerate() {
        out.push_str(&bar(LEFT, LEFT + 260, y + 20, y + 140, Surface::of(i)));
        out.push_str(&label(LEFT + 130, y + 120, "middle", letter));
        y = legend(&mut out, LEFT + SIGN, y, words, words_fit);
    }
    if any {
        out.push_str(&strip(LEFT, LEFT + 260, y + 60));
        y = legend(
            &mut out,
            LEFT + SIGN,
            y,
            "black strip: the claims of the assembly do not support this treatment",
            words_fit,
        );
    }
    for (i, (month, words)) in events.iter().enumerate() {
        out.push_str(&label(LEFT + 130, y + 120, "middle", &(i + 1).to_string()));
        y = legend(&mut out, LEFT + SIGN, y, &format!("month {month}: {words}"), words_fit);
    }
    (width, y / 10 + 8, out)
}

/// A black strip; nothing for nothing.
fn strip(left: i64, right: i64, top: i64) -> String {
    if right <= left {
        return String::new();
    }
    let (x, y) = (tenths(left), tenths(top));
    format!("<path d=\"M{x} {y}h{}v{}H{x}z\" fill=\"{INK}\"/>", tenths(right - left), tenths(STRIP))
}

/// Lines of words from `y` down; gives where they end.
fn legend(out: &mut String, x: i64, y: i64, words: &str, most: usize) -> i64 {
    let mut y = y;
    for part in wrapped(words, most) {
        y += 120;
        out.push_str(&label(x, y, "start", &part));
    }
    y + 40
}
