//! Markdown and HTML carry the same words in the same blocks, the same links and the same cited places.

use std::collections::BTreeSet;

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

use super::markup::{Part, parts};
use super::{file, rendered, sample};

/// What a form says: its blocks as words, the words of its links, the numbers of its cited places.
#[derive(Debug, Default, PartialEq)]
pub struct Said {
    pub blocks: Vec<String>,
    links: Vec<String>,
    cited: Vec<String>,
    block: String,
    link: Option<String>,
}

impl Said {
    fn say(&mut self, text: &str) {
        self.block.push_str(text);
        if let Some(link) = &mut self.link {
            link.push_str(text);
        }
    }

    fn close(&mut self) {
        let words = words(&self.block);
        self.block.clear();
        if !words.trim_start_matches('#').is_empty() {
            self.blocks.push(words);
        }
    }

    fn close_link(&mut self) {
        self.links.extend(self.link.take().map(|l| words(&l)));
    }
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub fn of_html(html: &str) -> Said {
    let blocks = "h1 h2 h3 h4 h5 h6 p li dt dd th td caption figcaption pre summary div ul ol blockquote table section";
    let blocks: BTreeSet<_> = blocks.split(' ').collect();
    let mut said = Said::default();
    // Name and class of every open element.
    let mut open: Vec<(String, String)> = Vec::new();
    for part in parts(html) {
        match part {
            Part::Open(name, attributes) => {
                let get = |key: &str| attributes.iter().find(|a| a.0 == key).map_or(String::new(), |a| a.1.clone());
                if blocks.contains(name.as_str()) {
                    said.close();
                }
                if let Some(level) = name.strip_prefix('h').and_then(|n| n.parse().ok()) {
                    said.block = "#".repeat(level) + " ";
                }
                let place = get("href").starts_with("#place-");
                if name == "a" && !place && !["self", "skip"].contains(&get("class").as_str()) {
                    said.link = Some(String::new());
                }
                let cell = open.iter().any(|o| o.0 == "td" || o.0 == "th");
                if name == "math" {
                    // What a reader without signs is given; the signs themselves are compared beside the calculations.
                    said.say(&get("alttext"));
                    said.say(if get("display").is_empty() { "" } else { " " });
                }
                if name == "br" {
                    said.say(if cell { " · " } else { " " });
                }
                open.push((name, get("class")));
            }
            Part::Close(name) => {
                if blocks.contains(name.as_str()) {
                    said.close();
                }
                if name == "a" {
                    said.close_link();
                }
                open.pop();
            }
            Part::Text(text) => {
                let skip = |o: &(String, String)| {
                    ["svg", "style", "head", "math"].contains(&o.0.as_str())
                        || ["water", "skip"].contains(&o.1.as_str())
                };
                match open.last() {
                    _ if open.iter().any(skip) => {}
                    Some((_, class)) if class == "ref" && text.starts_with("[W") => {}
                    Some((_, class)) if class == "ref" => said.cited.push(text),
                    _ => said.say(&text),
                }
            }
        }
    }
    said.close();
    said
}

pub fn of_markdown(markdown: &str) -> Said {
    let mut said = Said::default();
    let (mut image, mut cell) = (false, false);
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES) {
        match event {
            Event::Start(Tag::Image { dest_url, .. }) => {
                assert!(dest_url.starts_with("figures/") && dest_url.ends_with(".svg"), "{dest_url}");
                image = true;
            }
            Event::End(TagEnd::Image) => image = false,
            Event::Start(Tag::Link { dest_url, .. }) => {
                assert!(dest_url.starts_with('#'), "link to the outside: {dest_url}");
                said.link = Some(String::new());
            }
            Event::End(TagEnd::Link) => said.close_link(),
            Event::Start(Tag::Strong | Tag::Emphasis) | Event::End(TagEnd::Strong | TagEnd::Emphasis) => {}
            Event::Start(tag) => {
                said.close();
                cell = tag == Tag::TableCell;
                if let Tag::Heading { level, .. } = tag {
                    said.block = "#".repeat(level as usize) + " ";
                }
            }
            Event::End(_) => said.close(),
            Event::Text(_) if image => {}
            Event::Text(text) | Event::Code(text) => said.say(&text),
            Event::FootnoteReference(name) => said.cited.push(format!("[{name}]")),
            Event::SoftBreak | Event::HardBreak => said.say(if cell { " · " } else { " " }),
            Event::Rule => {}
            other => panic!("galipot doesn't write {other:?}"),
        }
    }
    said.close();
    said
}

#[test]
fn both_forms_say_the_same_block_by_block() {
    for document in [sample::document(), sample::hostile()] {
        let bundle = rendered(&document);
        let (html, markdown) = (file(&bundle, "dossier.html"), file(&bundle, "dossier.md"));
        let (html, markdown) = (of_html(&html), of_markdown(&markdown));
        assert!(html.blocks.len() > 150 && html.links.len() > 20 && html.cited.len() > 4, "{html:?}");
        for (a, b) in html.blocks.iter().zip(&markdown.blocks) {
            assert_eq!(a, b, "HTML on the left, Markdown on the right");
        }
        assert_eq!(html, markdown);
    }
}

#[test]
fn words_that_a_document_holds_are_said() {
    let said = of_html(&file(&rendered(&sample::document()), "dossier.html"));
    for block in [
        "# May the residue stay on OV-2230 F?",
        "## 1 Verdict",
        "### Weakest places",
        "DRAFT",
        "Table 1. Claims of the leave route",
        "C with-conditions",
    ] {
        assert!(said.blocks.iter().any(|b| b == block), "{block}");
    }
}

/// The anchor that common readers of Markdown give to a heading, written down anew.
fn anchors(said: &Said) -> BTreeSet<String> {
    let mut given = BTreeSet::new();
    for block in said.blocks.iter().filter(|b| b.starts_with('#')) {
        let words = block.trim_start_matches('#').trim().to_lowercase();
        let base: String = words.chars().filter(|c| c.is_alphanumeric() || "-_ ".contains(*c)).collect();
        let base = base.replace(' ', "-");
        let mut slug = base.clone();
        let mut n = 0;
        while !given.insert(slug.clone()) {
            n += 1;
            slug = format!("{base}-{n}");
        }
    }
    given
}

#[test]
fn links_of_the_markdown_lead_to_its_headings() {
    let markdown = file(&rendered(&sample::document()), "dossier.md");
    let anchors = anchors(&of_markdown(&markdown));
    let mut links = 0;
    for event in Parser::new_ext(&markdown, Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES) {
        if let Event::Start(Tag::Link { dest_url, .. }) = event {
            links += 1;
            assert!(anchors.contains(&dest_url[1..]), "no heading {dest_url}");
        }
    }
    assert!(links > 15, "{links}");
}
