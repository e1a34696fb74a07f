//! Takes Markdown with slots; gives blocks. The only home of pulldown-cmark; raw HTML becomes literal text.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, TextMergeStream};

use super::ink::{plain, text};
use super::template::{Expanded, Slot, pieces, strip};
use crate::model::document::{Block, Inline, Table};

/// Quotes and lists may nest this deep.
const DEEPEST: usize = 12;

/// A piece of a line before blocks are put in place.
enum Piece {
    Inline(Inline),
    Block(String),
}

/// Parses an expanded chapter once. `make` gives the blocks of a name.
///
/// # Errors
/// A block inside a line, and nesting that no reader could follow; (name of the block or "", what is wrong).
pub fn parse(e: &Expanded, make: &mut dyn FnMut(&str) -> Vec<Block>) -> Result<Vec<Block>, (String, String)> {
    let events: Vec<Event> = TextMergeStream::new(Parser::new_ext(&e.markdown, Options::ENABLE_TABLES)).collect();
    let mut walk = Walk { events: &events, at: 0, slots: &e.slots, make, inside: 0 };
    walk.blocks(0)
}

struct Walk<'a> {
    events: &'a [Event<'a>],
    at: usize,
    slots: &'a [Slot],
    make: &'a mut dyn FnMut(&str) -> Vec<Block>,
    /// How many marks such as emphasis are open.
    inside: usize,
}

type Wrong = (String, String);

impl<'a> Walk<'a> {
    fn next(&mut self) -> Option<&'a Event<'a>> {
        let e = self.events.get(self.at)?;
        self.at += 1;
        Some(e)
    }

    /// Blocks up to the end of the element that holds them.
    fn blocks(&mut self, depth: usize) -> Result<Vec<Block>, Wrong> {
        if depth > DEEPEST {
            return Err((String::new(), format!("lists and quotes are nested deeper than {DEEPEST}")));
        }
        let mut out = Vec::new();
        while let Some(e) = self.events.get(self.at) {
            match e {
                Event::End(_) => {
                    self.at += 1;
                    break;
                }
                Event::Start(tag) if !is_inline(tag) => {
                    self.at += 1;
                    self.element(tag, depth, &mut out)?;
                }
                Event::Rule => {
                    self.at += 1;
                    out.push(Block::Rule);
                }
                // Lines that stand in a list item without a paragraph of their own.
                _ => {
                    let line = self.line(false)?;
                    self.paragraph(line, &mut out)?;
                }
            }
        }
        Ok(out)
    }

    fn element(&mut self, tag: &Tag, depth: usize, out: &mut Vec<Block>) -> Result<(), Wrong> {
        match tag {
            Tag::Paragraph | Tag::HtmlBlock => {
                let line = self.line(true)?;
                self.paragraph(line, out)?;
            }
            Tag::Heading { level, .. } => {
                let line = self.line(true)?;
                out.push(Block::Heading { level: *level as u8, text: inlines(line)?, anchor: None });
            }
            Tag::BlockQuote(_) => {
                let inner = self.blocks(depth + 1)?;
                out.push(Block::Quote(inner));
            }
            Tag::List(first) => {
                let mut items = Vec::new();
                while let Some(Event::Start(Tag::Item)) = self.events.get(self.at) {
                    self.at += 1;
                    items.push(self.blocks(depth + 1)?);
                }
                self.at += 1;
                out.push(Block::List { ordered: first.is_some(), items });
            }
            Tag::CodeBlock(_) => {
                let mut code = String::new();
                loop {
                    match self.next() {
                        Some(Event::Text(t)) => code.push_str(&self.literal(t)?),
                        Some(Event::End(_)) | None => break,
                        Some(_) => {}
                    }
                }
                out.push(Block::Code(code));
            }
            Tag::Table(alignments) => {
                let numeric = alignments.iter().map(|a| *a == pulldown_cmark::Alignment::Right).collect();
                out.push(self.table(numeric)?);
            }
            // Nothing else is switched on; should it be, its content is read as blocks.
            _ => out.extend(self.blocks(depth + 1)?),
        }
        Ok(())
    }

    fn table(&mut self, numeric: Vec<bool>) -> Result<Block, Wrong> {
        let mut rows: Vec<Vec<Vec<Inline>>> = Vec::new();
        while let Some(e) = self.next() {
            match e {
                Event::Start(Tag::TableHead | Tag::TableRow) => rows.push(Vec::new()),
                Event::Start(Tag::TableCell) => {
                    let line = inlines(self.line(true)?)?;
                    if let Some(row) = rows.last_mut() {
                        row.push(line);
                    }
                }
                Event::End(TagEnd::Table) => break,
                _ => {}
            }
        }
        let mut rows = rows.into_iter();
        let head: Vec<String> = rows.next().unwrap_or_default().iter().map(|c| plain(c)).collect();
        let wide = head.len() > 8;
        Ok(Block::Table(Table { caption: String::new(), head, rows: rows.collect(), numeric, wide }))
    }

    /// The pieces of a line: up to its end tag when it has one, else up to the next block.
    fn line(&mut self, has_end: bool) -> Result<Vec<Piece>, Wrong> {
        let mut out = Vec::new();
        while let Some(e) = self.events.get(self.at) {
            match e {
                Event::End(_) => {
                    if has_end {
                        self.at += 1;
                    }
                    break;
                }
                Event::Start(tag) if !has_end && !is_inline(tag) => break,
                Event::Rule if !has_end => break,
                _ => {
                    self.at += 1;
                    self.piece(e, &mut out)?;
                }
            }
        }
        Ok(out)
    }

    fn piece(&mut self, e: &Event, out: &mut Vec<Piece>) -> Result<(), Wrong> {
        match e {
            Event::Text(t) | Event::Html(t) | Event::InlineHtml(t) => self.slots_of(t, out),
            Event::Code(t) => out.push(Piece::Inline(Inline::Code(self.literal(t)?))),
            Event::SoftBreak => out.push(Piece::Inline(text(" "))),
            Event::HardBreak => out.push(Piece::Inline(Inline::Break)),
            Event::Start(tag) => {
                self.inside += 1;
                if self.inside > DEEPEST {
                    return Err((String::new(), format!("marks of one line are nested deeper than {DEEPEST}")));
                }
                let inner = inlines(self.line(true)?)?;
                self.inside -= 1;
                match tag {
                    Tag::Emphasis => out.push(Piece::Inline(Inline::Emphasis(inner))),
                    Tag::Strong => out.push(Piece::Inline(Inline::Strong(inner))),
                    Tag::Link { dest_url, .. } if dest_url.starts_with('#') => {
                        let anchor = self.literal(&dest_url[1..])?;
                        out.push(Piece::Inline(Inline::To { anchor, text: inner }));
                    }
                    // A dossier leads nowhere outside itself: the address is printed.
                    Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. } => {
                        let address = self.literal(dest_url)?;
                        let same = plain(&inner) == address;
                        out.extend(inner.into_iter().map(Piece::Inline));
                        if !same {
                            out.push(Piece::Inline(text(format!(" ({address})"))));
                        }
                    }
                    _ => out.extend(inner.into_iter().map(Piece::Inline)),
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn slots_of(&self, t: &str, out: &mut Vec<Piece>) {
        for piece in pieces(t) {
            match piece.map_err(|i| self.slots.get(i)) {
                Ok(words) => out.push(Piece::Inline(text(strip(words)))),
                Err(Some(Slot::Inlines(inlines))) => out.extend(inlines.iter().cloned().map(Piece::Inline)),
                Err(Some(Slot::Block(name))) => out.push(Piece::Block(name.clone())),
                Err(None) => {}
            }
        }
    }

    /// Text in which slots stand as their words.
    fn literal(&self, t: &str) -> Result<String, Wrong> {
        let mut out = Vec::new();
        self.slots_of(t, &mut out);
        Ok(plain(&inlines(out)?))
    }

    /// A paragraph, or the blocks that stand alone in its place.
    fn paragraph(&mut self, line: Vec<Piece>, out: &mut Vec<Block>) -> Result<(), Wrong> {
        let blank = |p: &Piece| matches!(p, Piece::Inline(Inline::Text(t)) if t.trim().is_empty());
        if line.iter().any(|p| matches!(p, Piece::Block(_)))
            && line.iter().all(|p| matches!(p, Piece::Block(_)) || blank(p))
        {
            for p in line {
                if let Piece::Block(name) = p {
                    out.extend((self.make)(&name));
                }
            }
            return Ok(());
        }
        let line = inlines(line)?;
        if !plain(&line).trim().is_empty() {
            out.push(Block::Paragraph(line));
        }
        Ok(())
    }
}

fn is_inline(tag: &Tag) -> bool {
    matches!(
        tag,
        Tag::Emphasis
            | Tag::Strong
            | Tag::Strikethrough
            | Tag::Link { .. }
            | Tag::Image { .. }
            | Tag::Superscript
            | Tag::Subscript
    )
}

fn inlines(line: Vec<Piece>) -> Result<Vec<Inline>, Wrong> {
    line.into_iter()
        .map(|p| match p {
            Piece::Inline(i) => Ok(i),
            Piece::Block(name) => {
                let what = format!("the block \"{name}\" must stand alone, with an empty line before and after it");
                Err((name, what))
            }
        })
        .collect()
}
