//! Takes a planned document; gives it as Markdown: common tables and footnotes, no raw HTML.

mod inline;

use self::inline::{Spot, bold, escaped, inlines};
use super::Parts;
use super::plan::Plan;
use super::words::{
    BY, CONTENTS, DAY, DECISIONS, INPUTS, OUTPUTS, PLACES, REVIEW, about, key, remarks, signature, spaced, stands,
};
use crate::model::document::{Block, Document, Figure, Formula, Inline, Panel, Plot, Sheet, Table};

/// Writes a document: what stands before the chapters, every chapter, and the places.
pub fn markdown(document: &Document, plan: &Plan) -> Parts {
    let mut w = Writer {
        out: String::new(),
        begun: false,
        plan,
        prefix: String::new(),
        marks: Vec::new(),
        gap: None,
        level: 1,
        tables: 0,
        figures: 0,
    };
    w.line(&format!("# {}", escaped(&document.title, Spot::Heading)));
    if let Some(mark) = &document.mark {
        w.line(&bold(mark, plan));
    }
    let identity = document.identity.iter().map(|(label, value)| vec![cell(label), cell(value)]).collect::<Vec<_>>();
    if !identity.is_empty() {
        w.grid(&["", ""], &[false, false], identity.iter());
    }
    w.line(&format!("## {CONTENTS}"));
    for chapter in &document.chapters {
        let words = escaped(&spaced(&chapter.number, &chapter.title), Spot::Run);
        w.push(&format!("- [{words}](#{})", plan.home(&chapter.name)));
    }
    if !plan.places.is_empty() {
        w.push(&format!("- [{PLACES}](#places-in-the-evidence)"));
    }
    w.end();
    let mut parts = Parts { head: std::mem::take(&mut w.out), ..Parts::default() };
    for chapter in &document.chapters {
        w.level = 2;
        w.line(&format!("## {}", escaped(&spaced(&chapter.number, &chapter.title), Spot::Heading)));
        w.blocks(&chapter.blocks);
        parts.chapters.push(std::mem::take(&mut w.out));
    }
    if !plan.places.is_empty() {
        w.line(&format!("## {PLACES}"));
        for (i, place) in plan.places.iter().enumerate() {
            w.line(&format!("[^{}]: {}", i + 1, inlines(&[Inline::Place(place.clone())], plan, Spot::Run)));
        }
    }
    parts.places = w.out;
    parts
}

struct Writer<'a> {
    out: String,
    /// Whether a line was written, here or in an earlier part.
    begun: bool,
    plan: &'a Plan,
    /// What every line of the present quotation or list item begins with.
    prefix: String,
    /// Signs of list items that still wait for their first line, each with its place in the prefix.
    marks: Vec<(usize, String)>,
    /// Prefix of the empty line that is due before the next line.
    gap: Option<String>,
    level: usize,
    tables: usize,
    figures: usize,
}

impl Writer<'_> {
    fn blocks(&mut self, blocks: &[Block]) {
        // Lists that touch take turns in their sign, or they would become one.
        let mut turn = 0;
        for b in blocks {
            match b {
                Block::List { ordered, items } => {
                    self.list(*ordered, items, turn % 2);
                    turn += 1;
                }
                other => {
                    turn = 0;
                    self.block(other);
                }
            }
        }
    }

    fn block(&mut self, b: &Block) {
        match b {
            Block::Heading { level, text, .. } => {
                self.level = usize::from(*level);
                let text = inlines(text, self.plan, Spot::Heading);
                self.line(&format!("{} {text}", "#".repeat(self.level)));
            }
            Block::Paragraph(text) => self.text(text),
            Block::List { ordered, items } => self.list(*ordered, items, 0),
            Block::Quote(inner) => self.inside("> ", |w| w.blocks(inner)),
            Block::Code(text) => self.code(text),
            Block::Formula(lines) => self.code(&Formula::text_of(lines)),
            Block::Table(t) => self.table(t),
            Block::Figure(f) => self.figure(f),
            Block::Verdict { route, state, lines } => self.inside("> ", |w| {
                w.line(&bold(route, w.plan));
                w.text(&stands(state));
                lines.iter().for_each(|line| w.text(line));
            }),
            Block::Caution(text) => self.inside("> ", |w| {
                let text = inlines(text, w.plan, Spot::Run);
                w.line(&format!("**Caution:** {text}"));
            }),
            Block::Sheet(sheet) => self.sheet(sheet),
            Block::Signature { role, name, meaning } => {
                let rows = signature(role, name, meaning).map(|(label, value)| vec![cell(label), cell(value)]);
                self.grid(&["", ""], &[false, false], rows.iter());
            }
            Block::Fold { summary, blocks } => {
                let summary = inlines(summary, self.plan, Spot::Paragraph);
                self.line(&summary);
                self.blocks(blocks);
            }
            Block::Review(r) => {
                let row = |t: &String| vec![cell(t), cell(""), cell("")];
                let rows: Vec<_> = r.sections.iter().map(|s| row(&s.1)).collect();
                self.line(&format!("{BY} ______"));
                self.line(&format!("{DAY} ______"));
                self.grid(&REVIEW, &[false, false, false], rows.iter());
                self.line(&format!("Decisions: {}", DECISIONS.join(", ")));
            }
            Block::Rule => self.line("___"),
        }
    }

    fn text(&mut self, text: &[Inline]) {
        let text = inlines(text, self.plan, Spot::Paragraph);
        self.line(&text);
    }

    /// Writes lines and asks for an empty one after them; nothing for nothing.
    fn line(&mut self, text: &str) {
        if !text.is_empty() {
            self.push(text);
            self.end();
        }
    }

    fn push(&mut self, text: &str) {
        if let Some(gap) = self.gap.take().filter(|_| self.begun) {
            self.out.push_str(gap.trim_end());
            self.out.push('\n');
        }
        self.begun = true;
        for line in text.split('\n') {
            let mut prefix = self.prefix.clone();
            for (at, mark) in self.marks.drain(..) {
                prefix.replace_range(at..at + mark.len(), &mark);
            }
            self.out.push_str(format!("{prefix}{line}").trim_end_matches(' '));
            self.out.push('\n');
        }
    }

    /// Ends a block.
    fn end(&mut self) {
        self.gap = Some(self.prefix.clone());
    }

    fn inside(&mut self, prefix: &str, write: impl FnOnce(&mut Self)) {
        let outer = self.prefix.len();
        self.prefix.push_str(prefix);
        write(self);
        self.prefix.truncate(outer);
        self.marks.retain(|(at, _)| *at < outer);
        self.end();
    }

    fn list(&mut self, ordered: bool, items: &[Vec<Block>], turn: usize) {
        let tight = items.iter().all(|item| matches!(item.as_slice(), [Block::Paragraph(_)]));
        for (i, item) in items.iter().enumerate() {
            let mark = match ordered {
                true => format!("{}{} ", i + 1, [".", ")"][turn]),
                false => format!("{} ", ["-", "*"][turn]),
            };
            let indent = " ".repeat(mark.len());
            self.marks.push((self.prefix.len(), mark));
            self.inside(&indent, |w| w.blocks(item));
            if tight && i + 1 < items.len() {
                self.gap = None;
            }
        }
    }

    fn code(&mut self, text: &str) {
        let longest = text.lines().map(|l| l.trim_start().chars().take_while(|&c| c == '`').count()).max().unwrap_or(0);
        let fence = "`".repeat(longest.max(2) + 1);
        self.line(&format!("{fence}text\n{text}\n{fence}"));
    }

    fn table(&mut self, t: &Table) {
        self.tables += 1;
        self.line(&format!("**Table {}.** {}", self.tables, escaped(&t.caption, Spot::Run)));
        let head: Vec<_> = t.head.iter().map(String::as_str).collect();
        self.grid(&head, &t.numeric, t.rows.iter());
    }

    fn grid<'r>(&mut self, head: &[&str], numeric: &[bool], rows: impl Iterator<Item = &'r Vec<Vec<Inline>>>) {
        let row = |cells: &[String]| format!("| {} |", cells.join(" | "));
        self.push(&row(&head.iter().map(|h| escaped(h, Spot::Cell)).collect::<Vec<_>>()));
        let rule: Vec<_> = numeric.iter().map(|&n| if n { "---:" } else { "---" }.to_owned()).collect();
        self.push(&row(&rule));
        for r in rows {
            let cells: Vec<_> = r.iter().map(|c| inlines(c, self.plan, Spot::Cell)).collect();
            self.push(&row(&cells));
        }
        self.end();
    }

    fn figure(&mut self, f: &Figure) {
        self.figures += 1;
        let number = self.figures;
        self.line(&format!("**Figure {number}.** {}", escaped(&f.caption, Spot::Run)));
        self.line(&format!("![Figure {number}](figures/{}.svg)", f.name));
        self.line(&escaped(&f.alternative, Spot::Paragraph));
        if self.plan.keyed(&f.name) {
            self.line(&escaped(&key(&f.plot), Spot::Paragraph));
        }
        if let Plot::Combs { panels, .. } = &f.plot {
            let items: Vec<_> = panels.iter().map(|p| vec![Block::Paragraph(panel_line(p))]).collect();
            self.list(false, &items, 0);
        }
    }

    fn sheet(&mut self, s: &Sheet) {
        let level = (self.level + 1).min(6);
        self.line(&format!("{} {}", "#".repeat(level), escaped(&s.name, Spot::Heading)));
        self.line(&escaped(&about(&s.title, &s.subject), Spot::Paragraph));
        self.code(&Formula::text_of(&s.formula));
        self.code(&s.substituted);
        let inputs: Vec<_> = s
            .inputs
            .iter()
            .map(|(symbol, value, meaning, origin)| vec![cell(symbol), cell(value), cell(meaning), origin.clone()])
            .collect();
        self.grid(&INPUTS, &[false; 4], inputs.iter());
        let outputs: Vec<_> =
            s.outputs.iter().map(|(symbol, value, meaning)| vec![cell(symbol), cell(value), cell(meaning)]).collect();
        self.grid(&OUTPUTS, &[false; 3], outputs.iter());
        for line in remarks(s) {
            self.line(&escaped(&line, Spot::Paragraph));
        }
    }
}

/// Title of a panel and the file behind it.
fn panel_line(p: &Panel) -> Vec<Inline> {
    match p.place.is_empty() {
        true => cell(&p.title),
        false => vec![Inline::Text(format!("{}: ", p.title)), Inline::Place(p.place.clone())],
    }
}

fn cell(text: &str) -> Vec<Inline> {
    vec![Inline::Text(text.to_owned())]
}
