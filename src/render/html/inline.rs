//! Takes the inlines of a block; gives HTML in which every number leads to what stands behind it.

use crate::model::assessment::{Cover, State};
use crate::model::document::{Behind, Formula, Inline};
use crate::render::plan::{Plan, words};

/// Text as HTML text or as the value of a quoted attribute.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// Writes a text.
pub fn inlines(text: &[Inline], plan: &Plan) -> String {
    let mut out = String::new();
    for i in text {
        write(i, plan, &mut out);
    }
    out.trim_matches(' ').to_owned()
}

fn write(i: &Inline, plan: &Plan, out: &mut String) {
    let mut wrap = |open: &str, inner: &[Inline], close: &str| {
        out.push_str(open);
        inner.iter().for_each(|i| write(i, plan, out));
        out.push_str(close);
    };
    match i {
        Inline::Text(t) => out.push_str(&escape(t)),
        Inline::Strong(inner) => wrap("<strong>", inner, "</strong>"),
        Inline::Emphasis(inner) => wrap("<em>", inner, "</em>"),
        Inline::To { anchor, text } => {
            let class = if one_word(text) { " class=\"id\"" } else { "" };
            wrap(&format!("<a href=\"#{anchor}\"{class}>"), text, "</a>");
        }
        Inline::Code(t) => out.push_str(&format!("<code>{}</code>", escape(t))),
        Inline::Place(t) => out.push_str(&format!("<code class=\"place\">{}</code>", escape(t))),
        Inline::Value { text, behind } => out.push_str(&value(text, behind, plan)),
        Inline::State(s) => out.push_str(&state(*s)),
        Inline::Cover(c) => out.push_str(&cover(*c)),
        Inline::Symbol(f) => out.push_str(&symbol(f)),
        Inline::Here(id) => out.push_str(&format!("<span id=\"{id}\"></span>")),
        Inline::Break => out.push_str("<br>"),
    }
}

/// A symbol in signs where it has them.
pub fn symbol(f: &Formula) -> String {
    match f.mathml.is_empty() {
        true => escape(&f.text),
        false => format!("<math alttext=\"{}\">{}</math>", escape(&f.text), f.mathml),
    }
}

/// A short name such as RUN-107, which isn't broken at its hyphen.
pub fn one_word(text: &[Inline]) -> bool {
    let name = words(text);
    name.chars().count() <= 14 && !name.contains(char::is_whitespace)
}

/// A number; the sign behind it is for paper, where there are no links.
fn value(text: &str, behind: &Behind, plan: &Plan) -> String {
    let words = escape(text);
    // A short number and its unit stay on one line.
    let class = if text.chars().count() > 16 { "value long" } else { "value" };
    match behind {
        Behind::Working(id) => {
            let name = id.name();
            match plan.sheet(&name) {
                Some(about) => format!(
                    "<a href=\"#{name}\" title=\"{name} {}\" class=\"{class}\" data-working=\"{name}\">{words}</a>\
                     <span class=\"ref\">[{name}]</span>",
                    escape(about)
                ),
                None => format!("<span class=\"{class}\" data-working=\"{name}\">{words} [{name}]</span>"),
            }
        }
        Behind::Place(place, _) => match plan.number(place) {
            0 => format!("<span class=\"{class}\">{words}</span>"),
            n => {
                let place = escape(place);
                format!(
                    "<a href=\"#place-{n}\" title=\"{place}\" class=\"{class}\" data-place=\"{place}\">{words}</a>\
                     <span class=\"ref\">[{n}]</span>"
                )
            }
        },
        Behind::Count => format!("<span class=\"{class}\">{words}</span>"),
    }
}

/// A state as a framed letter with its word; the frame differs, so no colour is needed.
fn state(s: State) -> String {
    let (letter, word) = (s.letter(), s.word());
    format!("<span class=\"state {word}\" data-state=\"{word}\"><b>{letter}</b> {word}</span>")
}

fn cover(c: Cover) -> String {
    let (name, words) = match c {
        Cover::Not => ("not", "not covered"),
        Cover::Bridged => ("bridged", "covered by a bridge"),
        Cover::Covered => ("covered", "covered"),
        Cover::NotNeeded => ("free", "not needed here"),
    };
    let sign = c.sign();
    format!("<span class=\"cover {name}\" role=\"img\" aria-label=\"{words}\" title=\"{words}\">{sign}</span>")
}
