//! Takes a document and its written chapters; gives the page around them: head, identity, contents, running heads.

use super::escape;
use crate::model::document::Document;
use crate::render::plan::Plan;
use crate::render::words::{CONTENTS, PLACES};

const FRAME: &str = include_str!("../../../templates/page.html");
const STYLE: &str = include_str!("../../../templates/style.css");
/// Longest small print at the foot of a page, in characters.
const FOOT: usize = 480;

/// Fills the page frame. What is filled in isn't looked at again.
pub fn page(document: &Document, plan: &Plan, chapters: &str) -> String {
    let mark = document.mark.as_deref().unwrap_or("");
    let mut out = String::with_capacity(FRAME.len() + STYLE.len() + chapters.len() + 4096);
    for (i, part) in FRAME.split("@@").enumerate() {
        // Texts and names of slots take turns.
        match (i % 2, part) {
            (0, text) => out.push_str(text),
            (_, "title") => out.push_str(&escape(document.title.trim())),
            (_, "style") => out.push_str(STYLE),
            (_, "paper") => out.push_str(&paper(document, mark)),
            (_, "mark") if !mark.is_empty() => {
                out.push_str(&format!("<p class=\"mark\"><strong>{}</strong></p>", escape(mark.trim())))
            }
            (_, "water") if !mark.is_empty() => {
                out.push_str(&format!("<div class=\"water\" aria-hidden=\"true\">{}</div>", escape(mark.trim())));
            }
            (_, "identity") => out.push_str(&identity(document)),
            (_, "contents") => out.push_str(&contents(document, plan)),
            (_, "chapters") => out.push_str(chapters),
            _ => {}
        }
    }
    out
}

fn identity(document: &Document) -> String {
    let mut out = String::new();
    for (label, value) in &document.identity {
        // A digest takes more room, and letters that can't be mixed up.
        let long = value.split(' ').any(|word| word.chars().count() > 32);
        let class = if long { " class=\"long\"" } else { "" };
        let (label, value) = (escape(label.trim()), escape(value.trim()));
        out.push_str(&format!("<div{class}><dt>{label}</dt><dd>{value}</dd></div>\n"));
    }
    match out.is_empty() {
        true => out,
        false => format!("<dl id=\"identity\">\n{out}</dl>"),
    }
}

fn contents(document: &Document, plan: &Plan) -> String {
    let mut out = format!("<summary><h2>{CONTENTS}</h2></summary>\n<ul>\n");
    for c in &document.chapters {
        let number = if c.number.is_empty() { String::new() } else { format!("<b>{}</b> ", escape(&c.number)) };
        out.push_str(&format!("<li><a href=\"#{}\">{number}{}</a></li>\n", c.name, escape(&c.title)));
    }
    if !plan.places.is_empty() {
        out.push_str(&format!("<li><b></b> <a href=\"#places\">{PLACES}</a></li>\n"));
    }
    out + "</ul>"
}

/// Running heads of paper: identity, mark and page number stand in the margins of every page.
fn paper(document: &Document, mark: &str) -> String {
    let pairs: Vec<_> = document.identity.iter().map(|(label, value)| format!("{label} {value}")).collect();
    let mut foot: String = pairs.join("  |  ");
    if foot.chars().count() > FOOT {
        foot = foot.chars().take(FOOT).chain("...".chars()).collect();
    }
    let boxes = [("top-left", &document.running), ("top-right", &mark.to_owned()), ("bottom-left", &foot)];
    let mut out = String::from("@page {");
    for (name, text) in boxes {
        out.push_str(&format!(" @{name} {{ content: {}; }}", css(text.trim())));
    }
    out + " }"
}

/// A CSS string in which nothing but plain letters, digits and spaces stands unescaped.
fn css(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            ' ' => out.push(' '),
            c if c.is_ascii_alphanumeric() => out.push(c),
            c => out.push_str(&format!("\\{:x} ", c as u32)),
        }
    }
    out + "\""
}
