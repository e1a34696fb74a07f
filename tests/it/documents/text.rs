//! Any text put into a document comes out of its Markdown and its HTML exactly as it went in.

use galipot::model::document::{Behind, Block, Chapter, Document, Inline, Table};
use galipot::model::workings::WorkingId;
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

use super::markup::{Part, parts};
use super::sample::{HOSTILE, t};
use super::{file, rendered};

/// A document that holds a text in a paragraph, a list, a heading and a table cell.
pub fn around(text: Vec<Inline>) -> Document {
    let p = || Block::Paragraph(text.clone());
    let blocks = vec![
        p(),
        Block::List { ordered: false, items: vec![vec![p()]] },
        Block::Quote(vec![p()]),
        Block::Table(Table {
            caption: "table".into(),
            head: vec!["head".into()],
            rows: vec![vec![text.clone()]],
            numeric: vec![],
            wide: false,
        }),
        Block::Heading { level: 1, text: text.clone(), anchor: None },
        Block::Fold { summary: vec![t("end")], blocks: vec![] },
    ];
    let chapter =
        Chapter { name: "c".into(), number: String::new(), title: "begin".into(), audience: "all".into(), blocks };
    Document {
        title: "t".into(),
        identity: vec![],
        running: String::new(),
        mark: None,
        day: None,
        chapters: vec![chapter],
    }
}

/// What is visible in a text: white space as one space, hidden characters spelled out.
pub fn seen(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        let hidden = c.is_control() && !"\n\r\t".contains(c) || "\u{202e}\u{2066}\u{200b}\u{feff}\u{ad}".contains(c);
        match hidden {
            true => out.push_str(&format!("[U+{:04X}]", c as u32)),
            false => out.push(c),
        }
    }
    one_space(&out)
}

/// Ordinary white space as one space; others, such as the no-break space, stay.
pub fn one_space(text: &str) -> String {
    text.split([' ', '\n', '\r', '\t']).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Words with one space between, whatever white space stood there.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The texts of paragraph, list item, quotation, cell and heading, as a reader of Markdown finds them.
fn from_markdown(markdown: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut inside = false;
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES) {
        match event {
            Event::Text(text) | Event::Code(text) => out.last_mut().expect("one").push_str(&text),
            Event::SoftBreak | Event::HardBreak => out.last_mut().expect("one").push(' '),
            Event::End(TagEnd::Paragraph | TagEnd::Heading(_) | TagEnd::Item | TagEnd::TableCell) => {
                out.push(String::new())
            }
            Event::Start(Tag::Image { .. } | Tag::HtmlBlock | Tag::CodeBlock(_))
            | Event::Html(_)
            | Event::InlineHtml(_) => {
                panic!("galipot doesn't write this: {markdown}")
            }
            Event::Start(Tag::Link { dest_url, .. }) => assert!(dest_url.starts_with('#'), "{markdown}"),
            _ => {}
        }
        inside |= out.len() > 1;
    }
    assert!(inside);
    between(out.iter().map(|b| one_space(b)).filter(|b| !b.trim().is_empty()).collect())
}

fn from_html(html: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut skip = 0;
    for part in parts(html) {
        match part {
            Part::Open(name, _) if name == "style" => skip = 1,
            Part::Close(name) if name == "style" => skip = 0,
            Part::Text(text) if skip == 0 => out.last_mut().expect("one").push_str(&text),
            Part::Close(name) if ["p", "li", "td", "th", "h2", "h3", "summary", "caption"].contains(&name.as_str()) => {
                out.push(String::new());
            }
            _ => {}
        }
    }
    between(out.iter().map(|b| one_space(b)).filter(|b| !b.trim().is_empty()).collect())
}

/// What stands between the last "begin" and "end".
fn between(blocks: Vec<String>) -> Vec<String> {
    let from = blocks.iter().rposition(|b| b == "begin").expect("begin");
    let to = blocks.iter().rposition(|b| b == "end").expect("end");
    blocks[from + 1..to]
        .iter()
        .filter(|b| !["table", "Table 1. table", "head"].contains(&b.as_str()))
        .cloned()
        .collect()
}

fn comes_out(text: Vec<Inline>, expected: &str, like: fn(&str) -> String) {
    let bundle = rendered(&around(text));
    // A text without anything to see isn't printed.
    let expected: Vec<_> = std::iter::repeat_n(expected.to_owned(), 5).filter(|e| !e.trim().is_empty()).collect();
    let markdown = file(&bundle, "dossier.md");
    let alike = |found: Vec<String>| found.iter().map(|f| like(f)).collect::<Vec<_>>();
    assert_eq!(alike(from_markdown(&markdown)), expected, "Markdown:\n{markdown}");
    assert_eq!(alike(from_html(&file(&bundle, "dossier.html"))), expected, "HTML");
}

/// Text made of what Markdown and HTML are made of.
pub fn marks() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        4 => "[\\\\`*_\\[\\]<>&#|~!^$(){}+.:=/@\"'%-]{1,4}",
        2 => "[a-z0-9]{1,3}",
        2 => Just(" ".to_owned()),
        1 => Just("\n".to_owned()),
        1 => "[\u{a0}µΩé漢\u{301}\u{202e}\u{7}]",
        1 => prop::sample::select(HOSTILE.to_vec()).prop_map(str::to_owned),
        1 => "[0-9]{1,2}[.)]",
    ];
    prop::collection::vec(piece, 0..10).prop_map(|p| p.concat())
}

/// Something that stands in a text, and what it says.
fn inline() -> impl Strategy<Value = Inline> {
    let leaf = prop_oneof![
        4 => marks().prop_map(Inline::Text),
        1 => marks().prop_map(Inline::Code),
        1 => "[a-z0-9]{1,3}".prop_map(|text| Inline::Value { text, behind: Behind::Count }),
        1 => marks().prop_map(|text| Inline::Value { text, behind: Behind::Working(WorkingId(6)) }),
    ];
    leaf.prop_recursive(3, 12, 4, |inner| {
        let list = prop::collection::vec(inner, 0..4);
        prop_oneof![
            list.clone().prop_map(Inline::Strong),
            list.clone().prop_map(Inline::Emphasis),
            list.prop_map(|text| Inline::To { anchor: "c".into(), text }),
        ]
    })
}

fn said(text: &[Inline], linked: bool) -> String {
    let mut out = String::new();
    for i in text {
        match i {
            Inline::Text(t) => out.push_str(&seen_inside(t)),
            // Code and values have no white space at their edges; without anything to see they are a space.
            Inline::Code(t) | Inline::Value { text: t, .. } if t.trim().is_empty() && !t.is_empty() => out.push(' '),
            Inline::Code(t) => out.push_str(&seen(t)),
            Inline::Value { text, behind: Behind::Working(id) } if !text.trim().is_empty() && !linked => {
                out.push_str(&format!("{} [{}]", seen_inside(text).trim(), id.name()));
            }
            Inline::Value { text, .. } if linked => out.push_str(&seen_inside(text)),
            Inline::Value { text, .. } => out.push_str(seen_inside(text).trim()),
            Inline::Strong(inner) | Inline::Emphasis(inner) => out.push_str(&said(inner, linked)),
            Inline::To { text, .. } => out.push_str(&said(text, true)),
            _ => {}
        }
    }
    out
}

fn seen_inside(text: &str) -> String {
    let marked = format!("x{text}x");
    let seen = seen(&marked);
    seen[1..seen.len() - 1].to_owned()
}

#[test]
fn hostile_texts_come_out_as_they_went_in() {
    for text in HOSTILE {
        comes_out(vec![t(text)], &seen(text), one_space);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_comes_out_as_it_went_in(text in marks()) {
        comes_out(vec![t(&text)], &seen(&text), one_space);
    }

    #[test]
    fn any_mix_of_styles_comes_out_as_it_went_in(text in prop::collection::vec(inline(), 1..5)) {
        comes_out(text.clone(), &words(&said(&text, false)), words);
    }
}
