//! Takes a cleaned document; gives every spot its one name, and numbers the places that values cite.
//!
//! Afterwards every anchor in the tree is an id that occurs once, and every link leads to one.

use std::collections::{BTreeMap, BTreeSet};

use super::words::{CONTENTS, about, spaced};
use crate::model::document::{Behind, Block, Document, Figure, Inline};

/// Names and numbers that all writers share.
#[derive(Debug, Default)]
pub struct Plan {
    /// Sheet name -> what it is about; a value whose sheet isn't here is printed without a link.
    sheets: BTreeMap<String, String>,
    /// Id -> anchor of the Markdown heading under which it stands.
    homes: BTreeMap<String, String>,
    /// Cited places in the order in which they are first met.
    pub places: Vec<String>,
    /// Figures that say how to read them: the first of each kind.
    keyed: Vec<String>,
    numbers: BTreeMap<String, usize>,
}

/// Ids of the page frame.
const FRAME: [&str; 5] = ["page-top", "page-contents", "page-main", "page-places", "page-identity"];

impl Plan {
    /// Plans a document and resolves its anchors and links.
    pub fn of(document: &mut Document) -> Self {
        let mut naming = Naming::default();
        naming.name(document);
        let mut plan = Self { sheets: naming.sheets, homes: naming.homes, keyed: naming.keyed, ..Self::default() };
        for chapter in &mut document.chapters {
            each_block(&mut chapter.blocks, &mut |b| plan.resolve(b, &naming.ids));
        }
        plan
    }

    /// What the sheet of this name is about; nothing when the document doesn't hold it.
    pub fn sheet(&self, name: &str) -> Option<&str> {
        self.sheets.get(name).map(String::as_str)
    }

    /// Anchor of the Markdown heading under which an id stands.
    pub fn home(&self, id: &str) -> &str {
        self.homes.get(id).map_or("", String::as_str)
    }

    /// Whether this figure says how to read it and those like it.
    pub fn keyed(&self, figure: &str) -> bool {
        self.keyed.iter().any(|name| name == figure)
    }

    /// Number of a cited place, from 1.
    pub fn number(&self, place: &str) -> usize {
        self.numbers.get(place).copied().unwrap_or(0)
    }

    fn resolve(&mut self, b: &mut Block, ids: &BTreeMap<String, String>) {
        texts_of(b, &mut |text| self.link(text, ids));
    }

    fn link(&mut self, text: &mut Vec<Inline>, ids: &BTreeMap<String, String>) {
        let mut out = Vec::with_capacity(text.len());
        for mut i in text.drain(..) {
            match &mut i {
                Inline::Strong(inner) | Inline::Emphasis(inner) => self.link(inner, ids),
                Inline::To { anchor, text } => match ids.get(anchor.as_str()) {
                    Some(id) => *anchor = id.clone(),
                    None => {
                        out.append(text);
                        continue;
                    }
                },
                Inline::Value { behind: Behind::Place(place, _), .. }
                    if !place.is_empty() && !self.numbers.contains_key(place.as_str()) =>
                {
                    self.places.push(place.clone());
                    self.numbers.insert(place.clone(), self.places.len());
                }
                _ => {}
            }
            out.push(i);
        }
        *text = out;
    }
}

/// Gives out ids and heading anchors, each once.
#[derive(Default)]
struct Naming {
    spots: Names,
    headings: Names,
    /// Anchor as composed -> id.
    ids: BTreeMap<String, String>,
    sheets: BTreeMap<String, String>,
    homes: BTreeMap<String, String>,
    keyed: Vec<String>,
    /// Kinds of plot that were met.
    kinds: BTreeSet<&'static str>,
}

/// Names of one kind, each given once.
#[derive(Default)]
struct Names {
    taken: BTreeSet<String>,
    /// The last number put behind a name: keeps the search for a free one short.
    last: BTreeMap<String, usize>,
}

impl Names {
    fn free(&mut self, slug: String) -> String {
        if self.taken.insert(slug.clone()) {
            return slug;
        }
        let n = self.last.entry(slug.clone()).or_insert(0);
        loop {
            *n += 1;
            let next = format!("{slug}-{n}");
            if self.taken.insert(next.clone()) {
                return next;
            }
        }
    }
}

impl Naming {
    fn name(&mut self, document: &mut Document) {
        self.spots.taken.extend(FRAME.map(str::to_owned));
        self.heading(&document.title);
        self.heading(CONTENTS);
        // Sheets first: numbers link to them by their bare name. Then chapters, whose names templates may cite.
        for chapter in &mut document.chapters {
            each_block(&mut chapter.blocks, &mut |b| {
                if let Block::Sheet(sheet) = b {
                    sheet.name = self.id(&sheet.name);
                    self.sheets.insert(sheet.name.clone(), about(&sheet.title, &sheet.subject));
                }
            });
        }
        for chapter in &mut document.chapters {
            chapter.name = self.id(&chapter.name);
        }
        for chapter in &mut document.chapters {
            let mut home = self.heading(&spaced(&chapter.number, &chapter.title));
            self.homes.insert(chapter.name.clone(), home.clone());
            each_block(&mut chapter.blocks, &mut |b| self.spot(b, &mut home));
        }
    }

    fn spot(&mut self, b: &mut Block, home: &mut String) {
        match b {
            Block::Heading { text, anchor, .. } => {
                let words = words(text);
                let id = self.id(anchor.as_deref().unwrap_or(&words.to_lowercase()));
                *home = self.heading(&words);
                self.homes.insert(id.clone(), home.clone());
                *anchor = Some(id);
            }
            Block::Sheet(sheet) => {
                *home = self.heading(&sheet.name);
                self.homes.insert(sheet.name.clone(), home.clone());
            }
            Block::Figure(Figure { name, plot, .. }) => {
                *name = self.id(name);
                if self.kinds.insert(plot.kind()) {
                    self.keyed.push(name.clone());
                }
                self.homes.insert(name.clone(), home.clone());
            }
            _ => {}
        }
        texts_of(b, &mut |text| self.heres(text, home));
    }

    fn heres(&mut self, text: &mut [Inline], home: &str) {
        for i in text {
            match i {
                Inline::Strong(inner) | Inline::Emphasis(inner) => self.heres(inner, home),
                Inline::Here(anchor) => {
                    *anchor = self.id(anchor);
                    self.homes.insert(anchor.clone(), home.to_owned());
                }
                _ => {}
            }
        }
    }

    /// An id that was not given out yet; the first asker of an anchor owns the links to it.
    fn id(&mut self, anchor: &str) -> String {
        let letters = |c: char| if c.is_ascii_alphanumeric() || "._-".contains(c) { c } else { '-' };
        let mut slug: String = anchor.trim().chars().take(80).map(letters).collect();
        // Ids of this shape are given to tables.
        if !slug.starts_with(|c: char| c.is_ascii_alphabetic()) || slug.starts_with("table-") {
            slug.insert_str(0, "at-");
        }
        let id = self.spots.free(slug);
        self.ids.entry(anchor.to_owned()).or_insert_with(|| id.clone());
        id
    }

    /// The anchor that common Markdown readers give to a heading.
    fn heading(&mut self, words: &str) -> String {
        let keep = |c: char| match c {
            ' ' => Some('-'),
            c if c.is_alphanumeric() || c == '-' || c == '_' => Some(c),
            _ => None,
        };
        let slug = words.trim().to_lowercase().chars().filter_map(keep).collect();
        self.headings.free(slug)
    }
}

/// The words of a text, as a heading anchor or a list of contents needs them.
pub fn words(text: &[Inline]) -> String {
    let mut out = String::new();
    for i in text {
        match i {
            Inline::Text(t) | Inline::Code(t) | Inline::Place(t) | Inline::Value { text: t, .. } => out.push_str(t),
            Inline::Strong(t) | Inline::Emphasis(t) | Inline::To { text: t, .. } => out.push_str(&words(t)),
            Inline::State(s) => out.push_str(&format!("{} {}", s.letter(), s.word())),
            Inline::Cover(c) => out.push_str(c.sign()),
            Inline::Break => out.push(' '),
            Inline::Symbol(f) => out.push_str(&f.text),
            Inline::Here(_) => {}
        }
    }
    out.trim().to_owned()
}

/// Visits every block in reading order, outer before inner.
pub fn each_block(blocks: &mut [Block], visit: &mut impl FnMut(&mut Block)) {
    for b in blocks {
        visit(b);
        match b {
            Block::List { items, .. } => items.iter_mut().for_each(|item| each_block(item, visit)),
            Block::Quote(inner) | Block::Fold { blocks: inner, .. } => each_block(inner, visit),
            _ => {}
        }
    }
}

/// Visits every text that a block holds itself, in reading order.
fn texts_of(b: &mut Block, visit: &mut impl FnMut(&mut Vec<Inline>)) {
    match b {
        Block::Heading { text, .. } | Block::Paragraph(text) | Block::Caution(text) => visit(text),
        Block::Fold { summary, .. } => visit(summary),
        Block::Table(t) => t.rows.iter_mut().flatten().for_each(visit),
        Block::Verdict { lines, .. } => lines.iter_mut().for_each(visit),
        Block::Sheet(s) => s.inputs.iter_mut().for_each(|(.., origin)| visit(origin)),
        Block::List { .. } | Block::Quote(_) | Block::Code(_) | Block::Formula(_) | Block::Figure(_) => {}
        Block::Signature { .. } | Block::Review(_) | Block::Rule => {}
    }
}
