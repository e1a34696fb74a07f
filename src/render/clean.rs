//! Takes a document as composed; gives the same document with text that hides nothing and a regular shape.
//!
//! Afterwards: control and direction characters are visible escapes, runs of white space are one space, texts
//! that touch are one, links hold no links, tables are rectangular, heading levels leave out no level,
//! nothing is empty. The writers rest on this.

use super::mathml;
use crate::model::document::{
    Behind, Block, Chapter, Document, Figure, Formula, Inline, Panel, Plot, Review, Sheet, Table,
};

/// Deeper nesting is replaced by a sentence that says so.
const DEEPEST: usize = 24;
const TOO_DEEP: &str = "(nested too deeply to be printed)";

/// Cleans a whole document.
pub fn clean(document: &Document) -> Document {
    Document {
        title: plain(&document.title),
        identity: document.identity.iter().map(|(label, value)| (plain(label), plain(value))).collect(),
        running: plain(&document.running),
        mark: document.mark.as_deref().map(plain).filter(|mark| !mark.is_empty()),
        day: document.day,
        chapters: document.chapters.iter().map(chapter).collect(),
    }
}

/// One line of visible text: white space runs become one space, hidden characters their code in brackets.
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut space = false;
    for c in text.chars() {
        if matches!(c, ' ' | '\t' | '\n' | '\r') {
            space = true;
            continue;
        }
        if space {
            out.push(' ');
            space = false;
        }
        visible(c, &mut out);
    }
    if space {
        out.push(' ');
    }
    out
}

/// Text whose lines and spaces count.
fn verbatim(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.replace("\r\n", "\n").trim_end().chars() {
        match c {
            '\n' => out.push('\n'),
            '\t' => out.push_str("    "),
            c => visible(c, &mut out),
        }
    }
    out
}

/// Writes a character, or its code point in brackets when a reader couldn't see it or it turns the line around.
fn visible(c: char, out: &mut String) {
    let code = c as u32;
    let hidden = c.is_control()
        || matches!(code, 0xAD | 0x61C | 0x180E | 0x200B..=0x200F | 0x2028..=0x202E | 0x2060..=0x206F | 0xFEFF)
        || matches!(code, 0xFFF9..=0xFFFB | 0xFDD0..=0xFDEF | 0xE0000..=0xE007F)
        || code & 0xFFFE == 0xFFFE;
    if hidden {
        out.push_str(&format!("[U+{code:04X}]"));
    } else {
        out.push(c);
    }
}

fn chapter(chapter: &Chapter) -> Chapter {
    // The chapter's own heading stands on level 2; raw levels that are open, outermost first.
    let mut open = Vec::new();
    Chapter {
        name: plain(&chapter.name),
        number: plain(&chapter.number).trim().to_owned(),
        title: plain(&chapter.title).trim().to_owned(),
        audience: plain(&chapter.audience),
        blocks: blocks(&chapter.blocks, 0, &mut open),
    }
}

fn blocks(list: &[Block], depth: usize, open: &mut Vec<u8>) -> Vec<Block> {
    if depth > DEEPEST {
        return vec![Block::Paragraph(vec![Inline::Text(TOO_DEEP.into())])];
    }
    list.iter().filter_map(|b| block(b, depth, open)).collect()
}

fn block(b: &Block, depth: usize, open: &mut Vec<u8>) -> Option<Block> {
    Some(match b {
        Block::Heading { level, text, anchor } => {
            let text = filled(text)?;
            while open.last().is_some_and(|&outer| outer >= *level) {
                open.pop();
            }
            open.push(*level);
            let level = (2 + open.len()).min(6) as u8;
            Block::Heading { level, text, anchor: anchor.as_deref().map(plain) }
        }
        Block::Paragraph(text) => Block::Paragraph(filled(text)?),
        Block::Caution(text) => Block::Caution(filled(text)?),
        Block::List { ordered, items } => {
            let items = items.iter().map(|i| blocks(i, depth + 1, open)).filter(|i| !i.is_empty());
            Block::List { ordered: *ordered, items: not_empty(items.collect())? }
        }
        Block::Quote(inner) => Block::Quote(not_empty(blocks(inner, depth + 1, open))?),
        Block::Fold { summary, blocks: inner } => {
            let summary = filled(summary).and_then(|s| filled(&told(s)));
            let summary = summary.unwrap_or_else(|| vec![Inline::Text("More".into())]);
            Block::Fold { summary, blocks: blocks(inner, depth + 1, open) }
        }
        Block::Code(text) if text.trim().is_empty() => return None,
        Block::Code(text) => Block::Code(verbatim(text)),
        Block::Formula(lines) => Block::Formula(not_empty(formula(lines))?),
        Block::Table(t) => table(t)?,
        Block::Figure(f) => Block::Figure(figure(f)),
        Block::Verdict { route, state, lines } => Block::Verdict {
            route: plain(route),
            state: plain(state),
            lines: lines.iter().filter_map(|line| filled(line)).collect(),
        },
        Block::Sheet(s) => Block::Sheet(Box::new(sheet(s))),
        Block::Signature { role, name, meaning } => {
            Block::Signature { role: plain(role), name: plain(name), meaning: plain(meaning) }
        }
        Block::Review(r) => Block::Review(Review {
            assembly: plain(&r.assembly),
            document: plain(&r.document),
            revision: plain(&r.revision),
            digest: plain(&r.digest),
            people: r.people.iter().map(|(id, name)| (plain(id), plain(name))).collect(),
            sections: r.sections.iter().map(|(name, title)| (plain(name), plain(title))).collect(),
        }),
        Block::Rule => Block::Rule,
    })
}

fn not_empty<T>(list: Vec<T>) -> Option<Vec<T>> {
    (!list.is_empty()).then_some(list)
}

fn table(t: &Table) -> Option<Block> {
    let columns = t.rows.iter().map(Vec::len).chain([t.head.len()]).max().unwrap_or(0);
    let caption = plain(&t.caption).trim().to_owned();
    if columns == 0 {
        return (!caption.is_empty()).then(|| Block::Paragraph(vec![Inline::Text(caption)]));
    }
    let mut head: Vec<_> = t.head.iter().map(|h| plain(h).trim().to_owned()).collect();
    head.resize(columns, String::new());
    let mut numeric = t.numeric.clone();
    numeric.resize(columns, false);
    let rows = t.rows.iter().map(|row| {
        let mut row: Vec<_> = row.iter().map(|cell| inlines(cell, 0, false)).collect();
        row.resize(columns, Vec::new());
        row
    });
    Some(Block::Table(Table { caption, head, rows: rows.collect(), numeric, wide: t.wide }))
}

fn sheet(s: &Sheet) -> Sheet {
    let text = |t: &str| plain(t).trim().to_owned();
    Sheet {
        name: text(&s.name),
        calc: text(&s.calc),
        title: text(&s.title),
        subject: text(&s.subject),
        formula: formula(&s.formula),
        symbols: s.symbols.iter().map(signs).collect(),
        substituted: verbatim(&s.substituted),
        inputs: s.inputs.iter().map(|(a, b, c, d)| (text(a), text(b), text(c), inlines(d, 0, false))).collect(),
        outputs: s.outputs.iter().map(|(a, b, c)| (text(a), text(b), text(c))).collect(),
        strength: text(&s.strength),
        weak_because: text(&s.weak_because),
        sources: s.sources.iter().map(|t| text(t)).filter(|t| !t.is_empty()).collect(),
        n: s.n,
    }
}

/// Lines of a formula; signs that are no plain MathML are left out, so that the text is printed instead.
fn formula(lines: &[Formula]) -> Vec<Formula> {
    let clean = |l: &Formula| match mathml::is_plain(&l.mathml) {
        true => Formula { text: verbatim(&l.text), ..l.clone() },
        false => Formula::words(verbatim(&l.text)),
    };
    lines.iter().filter(|l| !l.text.trim().is_empty()).map(clean).collect()
}

/// A symbol on one line, without what is no plain MathML.
fn signs(f: &Formula) -> Formula {
    let text = plain(&f.text).trim().to_owned();
    if mathml::is_plain(&f.mathml) { Formula { text, ..f.clone() } } else { Formula::words(text) }
}

fn figure(f: &Figure) -> Figure {
    let mut plot = f.plot.clone();
    match &mut plot {
        Plot::Combs { panels, .. } => {
            for Panel { title, place, .. } in panels {
                *title = plain(title).trim().to_owned();
                *place = plain(place).trim().to_owned();
            }
        }
        Plot::Dots { rows, unit, .. } => {
            *unit = plain(unit);
            rows.iter_mut().for_each(|(label, ..)| *label = plain(label).trim().to_owned());
        }
        Plot::Waterfall { from, steps, to, unit } => {
            *unit = plain(unit);
            let all = steps.iter_mut().chain([from, to]);
            all.for_each(|(label, _)| *label = plain(label).trim().to_owned());
        }
        Plot::Tornado { bars, unit, .. } => {
            *unit = plain(unit);
            let all = bars.iter_mut().flat_map(|b| [&mut b.name, &mut b.low, &mut b.high]);
            all.for_each(|label| *label = plain(label).trim().to_owned());
        }
        Plot::Histogram { marks, unit, .. } => {
            *unit = plain(unit);
            marks.iter_mut().for_each(|(label, _)| *label = plain(label).trim().to_owned());
        }
        Plot::Timeline { kinds, tracks, events, .. } => {
            let all = kinds.iter_mut().flat_map(|(letter, words)| [letter, words]);
            let all = all.chain(tracks.iter_mut().map(|t| &mut t.name)).chain(events.iter_mut().map(|e| &mut e.1));
            all.for_each(|label| *label = plain(label).trim().to_owned());
        }
    }
    Figure { name: plain(&f.name), caption: plain(&f.caption), alternative: plain(&f.alternative), plot }
}

/// Cleaned text, or nothing when it prints nothing.
fn filled(text: &[Inline]) -> Option<Vec<Inline>> {
    let text = inlines(text, 0, false);
    text.iter().any(prints).then_some(text)
}

fn prints(i: &Inline) -> bool {
    match i {
        Inline::Text(t) | Inline::Code(t) | Inline::Place(t) | Inline::Value { text: t, .. } => !t.trim().is_empty(),
        Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::To { text: inner, .. } => inner.iter().any(prints),
        Inline::Symbol(f) => !f.text.trim().is_empty(),
        Inline::State(_) | Inline::Cover(_) => true,
        Inline::Here(_) | Inline::Break => false,
    }
}

/// Cleans inlines; inside a link, links and values become their text.
fn inlines(list: &[Inline], depth: usize, linked: bool) -> Vec<Inline> {
    if depth > DEEPEST {
        return vec![Inline::Text(TOO_DEEP.into())];
    }
    let mut out: Vec<Inline> = Vec::with_capacity(list.len());
    for i in list {
        match i {
            Inline::Text(t) => text(&plain(t), &mut out),
            // Between the brackets of a link, a bracket in code could end it.
            Inline::Code(t) | Inline::Place(t) if linked && t.contains(']') => {
                text(plain(t).trim_matches(' '), &mut out)
            }
            Inline::Code(t) if !t.trim().is_empty() => out.push(Inline::Code(plain(t).trim_matches(' ').to_owned())),
            Inline::Place(t) if !t.trim().is_empty() => out.push(Inline::Place(plain(t).trim_matches(' ').to_owned())),
            Inline::Strong(t) => styled(inlines(t, depth + 1, linked), Inline::Strong, &mut out),
            Inline::Emphasis(t) => styled(inlines(t, depth + 1, linked), Inline::Emphasis, &mut out),
            Inline::To { text: t, .. } if linked => inlines(t, depth + 1, true).into_iter().for_each(|i| match i {
                Inline::Text(t) => text(&t, &mut out),
                other => out.push(other),
            }),
            Inline::To { anchor, text: t } => {
                let to = |text| Inline::To { anchor: plain(anchor), text };
                styled(inlines(t, depth + 1, true), to, &mut out);
            }
            Inline::Value { text: t, .. } if linked => text(&plain(t), &mut out),
            Inline::Value { text: t, behind } if !t.trim().is_empty() => {
                let behind = match behind {
                    Behind::Place(cited, at) => Behind::Place(plain(cited).trim().to_owned(), *at),
                    other => other.clone(),
                };
                out.push(Inline::Value { text: plain(t).trim().to_owned(), behind });
            }
            Inline::Symbol(f) if prints(i) => match signs(f) {
                Formula { text: t, mathml, .. } if mathml.is_empty() => text(&t, &mut out),
                signed => out.push(Inline::Symbol(signed)),
            },
            Inline::Here(anchor) if !linked => out.push(Inline::Here(plain(anchor))),
            Inline::State(_) | Inline::Cover(_) => out.push(i.clone()),
            Inline::Break if out.iter().rev().take_while(|o| **o != Inline::Break).any(prints) => {
                out.push(Inline::Break)
            }
            // A break that no line stands before or behind is only a space.
            Inline::Break => text(" ", &mut out),
            Inline::Code(t) | Inline::Place(t) | Inline::Value { text: t, .. } if !t.is_empty() => text(" ", &mut out),
            Inline::Code(_) | Inline::Place(_) | Inline::Value { .. } | Inline::Symbol(_) | Inline::Here(_) => {}
        }
    }
    part(&mut out);
    if let Some(at) = out.iter().rposition(|o| *o == Inline::Break).filter(|&at| !out[at..].iter().any(prints)) {
        out[at] = Inline::Text(" ".into());
    }
    out
}

/// A text without links, for places that are to be clicked themselves; what stands behind a value is said instead.
fn told(list: Vec<Inline>) -> Vec<Inline> {
    let mut out = Vec::with_capacity(list.len());
    for i in list {
        match i {
            Inline::Strong(inner) => out.push(Inline::Strong(told(inner))),
            Inline::Emphasis(inner) => out.push(Inline::Emphasis(told(inner))),
            Inline::To { text, .. } => out.extend(told(text)),
            Inline::Value { text, behind: Behind::Working(id) } => {
                out.push(Inline::Text(format!("{text} [{}]", id.name())));
            }
            Inline::Value { text, behind: Behind::Place(place, _) } if !place.is_empty() => {
                out.extend([Inline::Text(format!("{text} ")), Inline::Place(place)]);
            }
            Inline::Value { text, .. } => out.push(Inline::Text(text)),
            other => out.push(other),
        }
    }
    out
}

/// Sets a space between a value with its place and a link or value that touches it: their signs would melt together.
fn part(list: &mut Vec<Inline>) {
    let touches = |w: &[Inline]| {
        matches!(w[0], Inline::Value { behind: Behind::Place(..), .. })
            && matches!(w[1], Inline::Value { .. } | Inline::To { .. })
    };
    let at: Vec<_> = list.windows(2).enumerate().filter(|(_, w)| touches(w)).map(|(i, _)| i + 1).collect();
    for i in at.into_iter().rev() {
        list.insert(i, Inline::Text(" ".into()));
    }
}

/// Adds a styled text; of one that prints nothing the spaces that it holds, without the style.
fn styled(inner: Vec<Inline>, style: impl Fn(Vec<Inline>) -> Inline, out: &mut Vec<Inline>) {
    match inner.iter().any(prints) {
        true => out.push(style(inner)),
        false if inner.is_empty() => {}
        false => text(" ", out),
    }
}

/// Adds text, to the last text where there is one.
fn text(t: &str, out: &mut Vec<Inline>) {
    match out.last_mut() {
        Some(Inline::Text(last)) if last.ends_with(' ') => last.push_str(t.trim_start_matches(' ')),
        Some(Inline::Text(last)) => last.push_str(t),
        _ if t.is_empty() => {}
        _ => out.push(Inline::Text(t.to_owned())),
    }
}
