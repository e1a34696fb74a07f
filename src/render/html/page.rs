//! Takes a document; gives the page around its chapters: head, identity, contents, running heads.

use super::escape;
use crate::model::document::Document;
use crate::render::plan::Plan;
use crate::render::words::{CONTENTS, PLACES};

pub const FRAME: &str = include_str!("../../../templates/page.html");
/// The one script: it saves remarks as a file. The page frame allows it by its digest, and nothing else.
pub const SCRIPT: &str = include_str!("../../../templates/remarks.js");
pub const STYLE: &str = include_str!("../../../templates/style.css");
/// Longest small print at the foot of a page, in characters.
const FOOT: usize = 900;

/// Fills the page frame; gives what stands before and behind the chapters. What is filled in isn't looked at again.
pub fn page(document: &Document, plan: &Plan) -> (String, String) {
    let mark = document.mark.as_deref().unwrap_or("");
    let mut before = String::new();
    let mut out = String::with_capacity(FRAME.len() + STYLE.len() + 4096);
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
            (_, "chapters") => before = std::mem::take(&mut out),
            _ => {}
        }
    }
    (before, out)
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
        false => format!("<dl id=\"page-identity\">\n{out}</dl>"),
    }
}

fn contents(document: &Document, plan: &Plan) -> String {
    let mut out = format!("<summary><h2>{CONTENTS}</h2></summary>\n<ul>\n");
    let chapters = document.chapters.iter().map(|c| (c.name.as_str(), c.number.as_str(), c.title.as_str()));
    let places = (!plan.places.is_empty()).then_some(("page-places", "", PLACES));
    for (id, number, title) in chapters.chain(places) {
        let (number, title) = (escape(number), escape(title));
        out.push_str(&format!("<li><a href=\"#{id}\"><b>{number}</b> <span>{title}</span></a></li>\n"));
    }
    out + "</ul>"
}

/// Running heads of paper: identity, mark and page number stand in the margins of every sheet.
fn paper(document: &Document, mark: &str) -> String {
    let pairs: Vec<_> = document.identity.iter().map(|(label, value)| format!("{label}: {value}")).collect();
    let mut foot: String = pairs.join("  |  ");
    if foot.chars().count() > FOOT {
        foot = foot.chars().take(FOOT).chain("...".chars()).collect();
    }
    let mark = if mark.is_empty() { String::new() } else { format!("{} \\a0 \\a0 ", css(mark.trim())) };
    format!(
        "@page {{ @top-left {{ content: \"{}\"; }} @top-right {{ content: \"{mark}Page \" counter(page) \" of \" \
         counter(pages); }} @bottom-center {{ content: \"{}\"; }} }}",
        css(document.running.trim()),
        css(foot.trim())
    )
}

/// The inside of a CSS string; nothing but plain letters, digits and spaces stands unescaped.
fn css(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            ' ' => out.push(' '),
            c if c.is_ascii_alphanumeric() => out.push(c),
            c => out.push_str(&format!("\\{:x} ", c as u32)),
        }
    }
    out
}
