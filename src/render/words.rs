//! The fixed words that every written form prints alike, so that the forms can't differ in them.

use crate::model::assessment::State;
use crate::model::document::{Inline, Plot, Sheet};

/// Title of the list of chapters that every form begins with.
pub const CONTENTS: &str = "Contents";
/// Title of the list of cited places that every form ends with.
pub const PLACES: &str = "Places in the evidence";
/// Column heads of a sheet.
pub const INPUTS: [&str; 4] = ["Symbol", "Value", "Meaning", "Origin"];
pub const OUTPUTS: [&str; 3] = ["Result", "Value", "Meaning"];

/// Two texts with a space between, or the one that isn't empty.
pub fn spaced(a: &str, b: &str) -> String {
    format!("{a} {b}").trim().to_owned()
}

/// Title and subject of a sheet in one line.
pub fn about(title: &str, subject: &str) -> String {
    match (title.is_empty(), subject.is_empty()) {
        (false, false) => format!("{title}: {subject}"),
        _ => format!("{title}{subject}"),
    }
}

/// What a sheet says below its tables.
pub fn remarks(s: &Sheet) -> Vec<String> {
    let mut out = Vec::new();
    let readings = match s.n {
        0 => String::new(),
        n => format!(" Readings behind it: {n}."),
    };
    if !s.calc.is_empty() {
        out.push(format!("Calculation: {}.{readings}", s.calc));
    }
    match (s.strength.is_empty(), s.weak_because.is_empty()) {
        (true, true) => {}
        (false, true) => out.push(format!("Strength: {}.", s.strength)),
        (_, false) => out.push(format!("Strength: {}. {}", s.strength, s.weak_because)),
    }
    if !s.sources.is_empty() {
        out.push(format!("Sources: {}", s.sources.join("; ")));
    }
    out
}

/// Lines to fill in beside role, name and meaning of a signature.
pub fn signature<'a>(role: &'a str, name: &'a str, meaning: &'a str) -> [(&'static str, &'a str); 5] {
    [("Role", role), ("Name", name), ("Meaning", meaning), ("Signature", ""), ("Date", "")]
}

/// How to read a picture.
pub fn key(plot: &Plot) -> String {
    match plot {
        Plot::Combs { guard, limit, .. } => {
            let mut out =
                String::from("Each solid line is one comb, each dashed line a control comb; a triangle marks a drop.");
            if limit.is_finite() {
                out.push_str(" The heavy line is the limit");
                out.push_str(if guard.is_finite() && *guard > 0.0 {
                    ", the hatched band above it the guard band."
                } else {
                    "."
                });
            }
            out.push_str(" Dotted verticals bound the window that is judged. All panels have the same axes.");
            out
        }
        Plot::Dots { limit, .. } => {
            let mut out = String::from("Each circle is one value; the short bar is the statistic that is judged.");
            out.push_str(if limit.is_finite() { " The heavy line is the limit." } else { "" });
            out
        }
        Plot::Waterfall { .. } => "Each bar begins where the one before it ends. Hatched: costs more; white: costs less; \
                                   grey: the whole at both ends."
            .into(),
        Plot::Tornado { .. } => "Each bar shows how the result moves when that one number stands at its low value (white) \
                                 or at its high value (hatched), all others as stated. The heavy line is the result as stated."
            .into(),
        Plot::Histogram { .. } => "Each bar is the share of draws that fell between its ends; hatched bars are losses. The \
                                   heavy line is nothing gained, the dashed lines are marked above."
            .into(),
        Plot::Timeline { events, tracks, .. } => {
            let mut out = String::from("Each row is one assembly; letter and surface tell its treatment in every month.");
            if tracks.iter().any(|t| !t.marked.is_empty()) {
                out.push_str(" A black strip below it: the claims of the assembly do not support that treatment.");
            }
            out.push_str(if events.is_empty() { "" } else { " Numbered arrows are events, listed below the rows." });
            out
        }
    }
}

/// The state of a verdict: a state where the words are those of one, else the words.
pub fn stands(words: &str) -> Vec<Inline> {
    match state(words) {
        Some(s) => vec![Inline::State(s)],
        None => vec![Inline::Text(words.to_owned())],
    }
}

/// The state that a word or letter stands for.
pub fn state(words: &str) -> Option<State> {
    let all = [State::Contradicted, State::NotYet, State::WithConditions, State::Supported, State::NotApplicable];
    all.into_iter().find(|s| s.word() == words.trim() || s.letter() == words.trim())
}

/// The form for remarks: who writes, its columns, what may be decided, the button.
pub const BY: &str = "Who you are, by the table of people:";
pub const OTHER: &str = "another id:";
pub const DAY: &str = "Day of your remarks, as YYYY-MM-DD:";
pub const REVIEW: [&str; 3] = ["Section", "Decision", "Remark"];
pub const DECISIONS: [&str; 3] = ["agree", "question", "object"];
pub const SAVE: &str = "Save the remarks as a file";
