//! Takes the inlines of a block; gives Typst in which every text is a string literal and every number leads somewhere.

use super::letters::sign;
use super::maths;
use crate::model::assessment::{Cover, State};
use crate::model::document::{Behind, Formula, Inline};
use crate::render::plan::Plan;

/// Letters that stand side by side without a place to break; a longer word is broken by `t` of the paper.
pub const LONGEST: usize = 16;

/// Text as a string literal. Whoever prints it in a font of the program must find a sign for each letter: a letter
/// without one becomes its code in brackets.
pub fn literal(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '\\' | '"' => out.extend(['\\', c]),
            '\n' => out.push(' '),
            c => out.push_str(&sign(c)),
        }
    }
    out.push('"');
    out
}

/// Writes a text, for between square brackets.
pub fn inlines(text: &[Inline], plan: &Plan) -> String {
    let mut out = String::new();
    for (n, i) in text.iter().enumerate() {
        match i {
            // Spaces at the edges of a block are none.
            Inline::Text(t) if n == 0 || n + 1 == text.len() => {
                let t = if n == 0 { t.trim_start_matches(' ') } else { t };
                let t = if n + 1 == text.len() { t.trim_end_matches(' ') } else { t };
                out.push_str(&words(t));
            }
            _ => write(i, plan, &mut out),
        }
    }
    out
}

/// Plain words.
fn words(text: &str) -> String {
    let long = text.split(char::is_whitespace).any(|w| w.chars().count() > LONGEST);
    match text {
        "" => String::new(),
        text if long => format!("#t({})", literal(text)),
        text => format!("#{}", literal(text)),
    }
}

fn write(i: &Inline, plan: &Plan, out: &mut String) {
    let mut around = |open: &str, inner: &[Inline]| {
        out.push_str(open);
        inner.iter().for_each(|i| write(i, plan, out));
        out.push(']');
    };
    match i {
        Inline::Text(t) => out.push_str(&words(t)),
        Inline::Strong(inner) => around("#b[", inner),
        Inline::Emphasis(inner) => around("#i[", inner),
        Inline::To { anchor, text } => around(&format!("#to({})[", literal(anchor)), text),
        Inline::Code(t) => out.push_str(&format!("#code({})", literal(t))),
        Inline::Place(t) => out.push_str(&format!("#place({})", literal(t))),
        Inline::Value { text, behind } => out.push_str(&value(text, behind, plan)),
        Inline::State(s) => out.push_str(&state(*s)),
        Inline::Cover(c) => out.push_str(&cover(*c)),
        Inline::Symbol(f) => out.push_str(&symbol(f)),
        Inline::Here(id) => out.push_str(&format!("#here({})", literal(id))),
        Inline::Break => out.push_str("#br()"),
    }
}

/// A symbol in signs where it has them.
pub fn symbol(f: &Formula) -> String {
    match maths::is_plain(&f.typst) {
        true => format!("#maths({}, ${}$)", literal(&f.text), f.typst),
        false => words(&f.text),
    }
}

/// A number; the sign behind it names its sheet or its place, and leads there.
fn value(text: &str, behind: &Behind, plan: &Plan) -> String {
    let text = literal(text);
    match behind {
        Behind::Working(id) if plan.sheet(&id.name()).is_some() => {
            format!("#working({text}, {})", literal(&id.name()))
        }
        Behind::Working(id) => format!("#unlinked({text}, {})", literal(&id.name())),
        Behind::Place(place, _) if plan.number(place) > 0 => format!("#cited({text}, {})", plan.number(place)),
        Behind::Place(..) | Behind::Count => format!("#count({text})"),
    }
}

/// A state as a framed letter with its word; the frame differs, so no colour is needed.
fn state(s: State) -> String {
    format!("#state({}, {})", literal(s.letter()), literal(s.word()))
}

fn cover(c: Cover) -> String {
    let kind = match c {
        Cover::Not => "not",
        Cover::Bridged => "bridged",
        Cover::Covered => "covered",
        Cover::NotNeeded => "free",
    };
    format!("#cover({}, {})", literal(kind), literal(c.sign()))
}
