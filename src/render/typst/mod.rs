//! Takes a planned document; gives it as Typst source, from which the `typst` program makes the PDF.
//!
//! The source calls functions of `templates/paper.typ`, which stands at its head. Text reaches them in string literals
//! only, so nothing that a document says can be code.

mod inline;
mod letters;
mod maths;
mod room;

use self::inline::{inlines, literal, symbol};
use super::Parts;
use super::plan::Plan;
use super::words::{
    BY, CONTENTS, DAY, DECISIONS, INPUTS, OUTPUTS, PLACES, REVIEW, about, key, remarks, signature, stands, state,
};
use crate::model::assessment::State;
use crate::model::document::{Block, Chapter, Document, Figure, Formula, Inline, Panel, Plot, Review, Sheet, Table};

pub const PAPER: &str = include_str!("../../../templates/paper.typ");
/// A sheet of more inputs may go on in the next column.
const WHOLE: usize = 24;
/// Longest small print at the foot of a page, in characters.
const FOOT: usize = 900;

/// A picture as a page can show it: of a letter that no font holds, its code.
pub fn on_paper(svg: &[u8]) -> Vec<u8> {
    String::from_utf8_lossy(svg)
        .chars()
        .map(|c| if c == '\n' { c.to_string() } else { letters::sign(c) })
        .collect::<String>()
        .into_bytes()
}

/// Writes a document: the look and the page before the chapters, every chapter, and the places.
pub fn typst(document: &Document, plan: &Plan) -> Parts {
    let mut w = Writer { out: String::new(), plan, level: 1, tables: 0, figures: 0 };
    let mut parts = Parts { head: head(document, plan), ..Parts::default() };
    for chapter in &document.chapters {
        w.chapter(chapter);
        parts.chapters.push(std::mem::take(&mut w.out));
    }
    if !plan.places.is_empty() {
        let places: String = plan.places.iter().map(|p| format!("  {},\n", literal(p))).collect();
        w.put(&format!("#places({},\n{places})\n", literal(PLACES)));
    }
    parts.places = w.out;
    parts
}

/// What stands before the chapters.
fn head(document: &Document, plan: &Plan) -> String {
    let mark = literal(document.mark.as_deref().unwrap_or("").trim());
    let title = literal(document.title.trim());
    let pairs: Vec<_> = document.identity.iter().map(|(label, value)| format!("{label}: {value}")).collect();
    let mut small = pairs.join("  |  ");
    if small.chars().count() > FOOT {
        small = small.chars().take(FOOT).chain("...".chars()).collect();
    }
    let day = document.day.map_or("auto".to_owned(), |d| {
        let day = d.to_string();
        let mut parts = day.rsplitn(3, '-').map(|n| n.trim_start_matches('0').to_owned());
        let (day, month, year) = (parts.next(), parts.next(), parts.next());
        let part = |p: Option<String>| p.unwrap_or_default();
        format!("datetime(year: {}, month: {}, day: {})", part(year), part(month), part(day))
    });
    let mut out = format!(
        "{PAPER}\n#show: paper.with(\n  title: {title},\n  day: {day},\n  running: {},\n  mark: {mark},\n  small: {},\n)\n",
        literal(document.running.trim()),
        literal(small.trim())
    );
    out.push_str(&format!("#opening({title}, {mark},\n"));
    for (label, value) in &document.identity {
        // A digest takes more room, and letters that can't be mixed up.
        let long = value.split(' ').any(|word| word.chars().count() > 32);
        out.push_str(&format!("  ({}, {}, {long}),\n", literal(label.trim()), literal(value.trim())));
    }
    out.push_str(&format!(")\n#contents({},\n", literal(CONTENTS)));
    let chapters = document.chapters.iter().map(|c| (c.name.as_str(), c.number.as_str(), c.title.as_str()));
    let places = (!plan.places.is_empty()).then_some(("page-places", "", PLACES));
    for (id, number, title) in chapters.chain(places) {
        out.push_str(&format!("  ({}, {}, {}),\n", literal(id), literal(number), literal(title)));
    }
    out + ")\n"
}

struct Writer<'a> {
    out: String,
    plan: &'a Plan,
    level: u8,
    tables: usize,
    figures: usize,
}

impl Writer<'_> {
    fn put(&mut self, text: &str) {
        self.out.push_str(text);
    }

    fn text(&self, text: &[Inline]) -> String {
        inlines(text, self.plan)
    }

    fn chapter(&mut self, c: &Chapter) {
        self.level = 1;
        // The verdict has a sheet of its own.
        let alone = c.blocks.iter().any(|b| matches!(b, Block::Verdict { .. }));
        let turn = if alone { "#pagebreak(weak: true)\n" } else { "" };
        let (id, number, title) = (literal(&c.name), literal(&c.number), literal(&c.title));
        self.put(&format!("{turn}#chapter({id}, {number}, {title})\n"));
        self.blocks(&c.blocks);
        self.put(turn);
    }

    fn blocks(&mut self, blocks: &[Block]) {
        let sheet = |b: Option<&Block>| matches!(b, Some(Block::Sheet(_)));
        for (i, b) in blocks.iter().enumerate() {
            // Sheets that follow each other stand in columns.
            if sheet(Some(b)) && !sheet(i.checked_sub(1).and_then(|i| blocks.get(i))) {
                self.put("#sheets[\n");
            }
            self.block(b);
            if sheet(Some(b)) && !sheet(blocks.get(i + 1)) {
                self.put("]\n");
            }
        }
    }

    fn block(&mut self, b: &Block) {
        match b {
            Block::Heading { level, text, anchor } => {
                // The title of the document stands above all levels.
                self.level = level.saturating_sub(1).max(1);
                let (id, text) = (literal(anchor.as_deref().unwrap_or("")), self.text(text));
                self.put(&format!("#head({}, {id})[{text}]\n", self.level));
            }
            Block::Paragraph(text) => self.put(&format!("#p[{}]\n", self.text(text))),
            Block::List { ordered, items } => {
                self.put(if *ordered { "#steps(\n" } else { "#items(\n" });
                for item in items {
                    self.put("[");
                    match item.as_slice() {
                        [Block::Paragraph(text)] => self.put(&self.text(text)),
                        blocks => {
                            self.put("\n");
                            self.blocks(blocks);
                        }
                    }
                    self.put("],\n");
                }
                self.put(")\n");
            }
            Block::Quote(inner) => self.around("#quoted[\n", inner),
            Block::Code(text) => self.lines(text),
            Block::Formula(lines) => self.formula(lines),
            Block::Table(t) => self.table(t),
            Block::Figure(f) => self.figure(f),
            Block::Verdict { route, state, lines } => self.verdict(route, state, lines),
            Block::Caution(text) => self.put(&format!("#caution[{}]\n", self.text(text))),
            Block::Sheet(sheet) => self.sheet(sheet),
            Block::Signature { role, name, meaning } => {
                self.put("#signature(\n");
                for (label, value) in signature(role, name, meaning) {
                    self.put(&format!("  ({}, {}),\n", literal(label), literal(value.trim())));
                }
                self.put(")\n");
            }
            Block::Fold { summary, blocks } => {
                let summary = self.text(summary);
                self.around(&format!("#fold[{summary}][\n"), blocks);
            }
            Block::Review(r) => self.review(r),
            Block::Rule => self.put("#rule()\n"),
        }
    }

    fn around(&mut self, open: &str, blocks: &[Block]) {
        self.put(open);
        self.blocks(blocks);
        self.put("]\n");
    }

    /// A form to fill in by hand.
    fn review(&mut self, r: &Review) {
        let list = |words: &[&str]| words.iter().map(|w| format!("{}, ", literal(w))).collect::<String>();
        self.put(&format!("#review(({}), ({}), ({}),\n", list(&[BY, DAY]), list(&REVIEW), list(&DECISIONS)));
        for (_, title) in &r.sections {
            self.put(&format!("  {},\n", literal(title)));
        }
        self.put(")\n");
    }

    fn lines(&mut self, text: &str) {
        let lines: String = text.lines().map(|l| format!("  {},\n", literal(l))).collect();
        self.put(&format!("#lines(\n{lines})\n"));
    }

    /// In signs where every line has them, else as text.
    fn formula(&mut self, lines: &[Formula]) {
        if lines.iter().any(|l| !maths::is_plain(&l.typst)) {
            return self.lines(&Formula::text_of(lines));
        }
        let lines: String = lines.iter().map(|l| format!("  ({}, ${}$),\n", literal(&l.text), l.typst)).collect();
        self.put(&format!("#formula(\n{lines})\n"));
    }

    fn verdict(&mut self, route: &str, stands_as: &str, lines: &[Vec<Inline>]) {
        let kind = literal(state(stands_as).map_or("", State::word));
        let (route, stands) = (literal(route.trim_matches(' ')), self.text(&stands(stands_as)));
        self.put(&format!("#verdict({kind}, {route}, [{stands}],\n"));
        for line in lines {
            self.put(&format!("  [{}],\n", self.text(line)));
        }
        self.put(")\n");
    }

    fn table(&mut self, t: &Table) {
        self.tables += 1;
        let fit = room::table(t);
        let right: String =
            t.numeric.iter().enumerate().filter(|n| *n.1).map(|(column, _)| format!("{column}, ")).collect();
        let head: String = t.head.iter().map(|h| format!("{}, ", literal(h))).collect();
        self.put(&format!(
            "#tab({}, {}, turned: {}, widths: ({}), size: {}pt, gap: {}pt, right: ({right}), break-rows: {}, head: ({head}),\n",
            self.tables,
            literal(&t.caption),
            fit.turned,
            fit.columns(),
            room::tenths(fit.size),
            room::tenths(fit.gap),
            fit.long,
        ));
        for row in &t.rows {
            let cells: Vec<_> = row.iter().map(|cell| format!("[{}]", self.text(cell))).collect();
            self.put(&format!("  {},\n", cells.join(", ")));
        }
        self.put(")\n");
    }

    fn figure(&mut self, f: &Figure) {
        self.figures += 1;
        let key = if self.plan.keyed(&f.name) { key(&f.plot) } else { String::new() };
        self.put(&format!(
            "#picture({}, {}, {}, {}, {}, {},\n",
            self.figures,
            literal(&f.name),
            literal(f.caption.trim()),
            literal(&format!("figures/{}.svg", f.name)),
            literal(f.alternative.trim()),
            literal(&key)
        ));
        let panels: &[Panel] = if let Plot::Combs { panels, .. } = &f.plot { panels } else { &[] };
        for p in panels {
            self.put(&format!("  ({}, {}),\n", literal(&p.title), literal(&p.place)));
        }
        self.put(")\n");
    }

    fn sheet(&mut self, s: &Sheet) {
        let level = (self.level + 1).min(5);
        self.put(&format!(
            "#sheet({level}, whole: {}, {}, {},\n[",
            s.inputs.len() <= WHOLE,
            literal(&s.name),
            literal(&about(&s.title, &s.subject))
        ));
        self.formula(&s.formula);
        self.put("], [");
        if !s.substituted.is_empty() {
            self.lines(&s.substituted);
        }
        self.put("],\n");
        let sign = |text: &str| symbol(&Formula::named(&s.symbols, text));
        let words = |text: &str| inlines(&[Inline::Text(text.to_owned())], self.plan);
        let inputs = s.inputs.iter().map(|(symbol, value, meaning, origin)| {
            vec![sign(symbol), words(value), words(meaning), self.text(origin)]
        });
        let outputs = s.outputs.iter().map(|(symbol, value, meaning)| vec![sign(symbol), words(value), words(meaning)]);
        let (inputs, outputs) = (grid(&room::inputs(s), &INPUTS, inputs), grid(&room::outputs(s), &OUTPUTS, outputs));
        self.put(&format!("{inputs}{outputs}"));
        for line in remarks(s) {
            self.put(&format!("  {},\n", literal(&line)));
        }
        self.put(")\n");
    }
}

/// The small table of a sheet.
fn grid(fit: &room::Fit, head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let head: String = head.iter().map(|h| format!("{}, ", literal(h))).collect();
    let mut out = format!("  (({}), ({head}),\n", fit.columns());
    for row in rows {
        let cells: Vec<_> = row.iter().map(|cell| format!("[{cell}]")).collect();
        out.push_str(&format!("    {},\n", cells.join(", ")));
    }
    out + "  ),\n"
}
