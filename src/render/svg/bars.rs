//! Takes ends and a surface; gives a bar that its surface tells apart, with no need of colour, and the lines of its name.

use super::axis::{LEFT, right};
use super::{INK, hatch, label, line, tenths, wrapped};

/// Room that is kept for the number beside a name, in letters.
const NUMBER: usize = 14;

/// What a surface looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    Plain,
    Grey,
    Slanted,
    Upright,
    Crossed,
    Lying,
    Dense,
}

impl Surface {
    /// Surfaces for kinds that are numbered; from the eighth on they come again, and the letters tell them apart.
    pub fn of(kind: usize) -> Self {
        let all = [Self::Plain, Self::Slanted, Self::Grey, Self::Upright, Self::Crossed, Self::Lying, Self::Dense];
        all[kind % all.len()]
    }

    /// A soft colour that helps those who see it.
    fn colour(self) -> &'static str {
        match self {
            Self::Plain => "#fff",
            Self::Slanted => "#dcebf7",
            Self::Grey => "#d9d9d9",
            Self::Upright => "#f7ead0",
            Self::Crossed => "#f6dede",
            Self::Lying => "#e2efdf",
            Self::Dense => "#ece2f1",
        }
    }
}

/// A bar between two places from left to right, whichever comes first; nothing for nothing.
pub fn bar(from: i64, to: i64, top: i64, bottom: i64, surface: Surface) -> String {
    let (left, right) = (from.min(to), from.max(to));
    if right <= left || bottom <= top {
        return String::new();
    }
    let lines = match surface {
        Surface::Plain | Surface::Grey => String::new(),
        Surface::Slanted => slanted(left, right, top, bottom),
        Surface::Upright => ruled((left + 20..right).step_by(40).map(|x| ((x, top), (x, bottom)))),
        Surface::Dense => ruled((left + 10..right).step_by(20).map(|x| ((x, top), (x, bottom)))),
        Surface::Lying => ruled((top + 20..bottom).step_by(30).map(|y| ((left, y), (right, y)))),
        Surface::Crossed => {
            let lying = ruled((top + 20..bottom).step_by(40).map(|y| ((left, y), (right, y))));
            lying + &ruled((left + 20..right).step_by(40).map(|x| ((x, top), (x, bottom))))
        }
    };
    format!(
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"{INK}\" stroke-width=\"0.8\"/>{lines}",
        tenths(left),
        tenths(top),
        tenths(right - left),
        tenths(bottom - top),
        surface.colour()
    )
}

/// Slanted strokes that reach into both corners.
fn slanted(left: i64, right: i64, top: i64, bottom: i64) -> String {
    let high = bottom - top;
    if right - left >= 2 * high {
        return hatch(left, right, top, bottom);
    }
    let strokes = (left - high..right).step_by(40).filter_map(|x| {
        // The part of a stroke from (x, bottom) to (x + high, top) that lies inside.
        let (a, b) = (x.max(left), (x + high).min(right));
        (a < b).then_some(((a, bottom - (a - x)), (b, bottom - (b - x))))
    });
    ruled(strokes)
}

fn ruled(strokes: impl Iterator<Item = ((i64, i64), (i64, i64))>) -> String {
    let d: String =
        strokes.map(|(a, b)| format!("M{} {}L{} {}", tenths(a.0), tenths(a.1), tenths(b.0), tenths(b.1))).collect();
    if d.is_empty() {
        return d;
    }
    format!("<path d=\"{d}\" stroke=\"{INK}\" stroke-width=\"0.5\" fill=\"none\"/>")
}

/// Letters of common width that fit between the ends of a picture of some width, in pixels.
pub fn letters(width: i64) -> usize {
    usize::try_from(right(width) - LEFT).unwrap_or(0) / 58
}

/// A name at the left and a number at the right, from `y` down; gives them and the height that they end at.
pub fn named(name: &str, number: &str, y: i64, width: i64) -> (String, i64) {
    let mut out = String::new();
    let mut y = y;
    for (i, words) in wrapped(name, letters(width) - NUMBER).iter().enumerate() {
        y += 130;
        out.push_str(&label(LEFT, y, "start", words));
        if i == 0 {
            out.push_str(&label(right(width), y, "end", number));
        }
    }
    (out, y)
}

/// An upright line from one bar to the next.
pub fn joint(x: i64, top: i64, bottom: i64) -> String {
    line((x, top), (x, bottom), INK, " stroke-width=\"0.6\" stroke-dasharray=\"2 2\"")
}

/// An amount with one place behind the point; words when there is none.
pub fn amount(v: f64, sign: bool) -> String {
    if !v.is_finite() {
        return "not given".into();
    }
    let text = if v.abs() < 1e9 { format!("{v:.1}") } else { format!("{v:.3e}") };
    match text.as_str() {
        "-0.0" | "0.0" => "0.0".into(),
        t if sign && v > 0.0 => format!("+{t}"),
        t => t.to_string(),
    }
}
