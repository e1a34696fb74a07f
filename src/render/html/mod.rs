//! Takes a planned document; gives it as one HTML page that needs no network, no script and no colour.

mod inline;
mod page;
mod room;

pub use self::inline::escape;
use self::inline::{inlines, symbol};
pub use self::page::{FRAME, SCRIPT, STYLE};
use super::Parts;
use super::plan::Plan;
use super::svg;
use super::words::{
    BY, DAY, DECISIONS, INPUTS, OTHER, OUTPUTS, PLACES, REVIEW, SAVE, about, key, remarks, signature, stands, state,
};
use crate::model::assessment::State;
use crate::model::document::{Block, Chapter, Document, Figure, Formula, Panel, Plot, Review, Sheet, Table};

/// Letters of a formula's text whose signs fit side by side on a phone.
const LONG_FORMULA: usize = 30;

/// Writes a document: the page before the chapters, every chapter, the places, and the page behind them.
pub fn html(document: &Document, plan: &Plan) -> Parts {
    let mut w = Writer { out: String::new(), plan, level: 2, tables: 0, figures: 0 };
    let (head, foot) = page::page(document, plan);
    let mut parts = Parts { head, foot, ..Parts::default() };
    for chapter in &document.chapters {
        w.chapter(chapter);
        parts.chapters.push(std::mem::take(&mut w.out));
    }
    if !plan.places.is_empty() {
        w.put(&format!("<section id=\"page-places\" class=\"places\"><h2>{PLACES}</h2>\n<ol>\n"));
        for (i, place) in plan.places.iter().enumerate() {
            w.put(&format!("<li id=\"place-{}\"><code class=\"place\">{}</code></li>\n", i + 1, escape(place)));
        }
        w.put("</ol></section>\n");
    }
    parts.places = w.out;
    parts
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

    fn blocks(&mut self, blocks: &[Block]) {
        for (i, b) in blocks.iter().enumerate() {
            // Sheets that follow each other stand in columns on paper.
            let sheet = |b: Option<&Block>| matches!(b, Some(Block::Sheet(_)));
            if sheet(Some(b)) && !sheet(i.checked_sub(1).and_then(|i| blocks.get(i))) {
                self.put("<div class=\"sheets\">\n");
            }
            self.block(b);
            if sheet(Some(b)) && !sheet(blocks.get(i + 1)) {
                self.put("</div>\n");
            }
        }
    }

    fn chapter(&mut self, c: &Chapter) {
        self.level = 2;
        let (id, audience) = (&c.name, escape(&c.audience));
        let number = match c.number.is_empty() {
            true => String::new(),
            false => format!("<a class=\"self\" href=\"#{id}\">{}</a> ", escape(&c.number)),
        };
        self.put(&format!("<section id=\"{id}\" data-audience=\"{audience}\"><h2>{number}{}</h2>\n", escape(&c.title)));
        self.blocks(&c.blocks);
        self.put("</section>\n");
    }

    fn block(&mut self, b: &Block) {
        match b {
            Block::Heading { level, text, anchor } => {
                self.level = *level;
                let (id, text) = (anchor.as_deref().unwrap_or(""), inlines(text, self.plan));
                self.put(&format!("<h{level} id=\"{id}\">{text}</h{level}>\n"));
            }
            Block::Paragraph(text) => self.put(&format!("<p>{}</p>\n", inlines(text, self.plan))),
            Block::List { ordered, items } => {
                let tag = if *ordered { "ol" } else { "ul" };
                self.put(&format!("<{tag}>\n"));
                for item in items {
                    self.put("<li>");
                    match item.as_slice() {
                        [Block::Paragraph(text)] => self.put(&inlines(text, self.plan)),
                        blocks => self.blocks(blocks),
                    }
                    self.put("</li>\n");
                }
                self.put(&format!("</{tag}>\n"));
            }
            Block::Quote(inner) => {
                self.put("<blockquote>\n");
                self.blocks(inner);
                self.put("</blockquote>\n");
            }
            Block::Code(text) => self.code(text, ""),
            Block::Formula(lines) => self.formula(lines),
            Block::Table(t) => self.table(t),
            Block::Figure(f) => self.figure(f),
            Block::Verdict { route, state, lines } => self.verdict(route, state, lines),
            Block::Caution(text) => {
                let text = inlines(text, self.plan);
                self.put(&format!("<p class=\"caution\"><strong>Caution:</strong> {text}</p>\n"));
            }
            Block::Sheet(sheet) => self.sheet(sheet),
            Block::Signature { role, name, meaning } => {
                self.put(&format!("<table class=\"signature\" aria-label=\"Signature: {}\"><tbody>\n", escape(role)));
                for (label, value) in signature(role, name, meaning) {
                    self.put(&format!("<tr><th scope=\"row\">{label}</th><td>{}</td></tr>\n", escape(value.trim())));
                }
                self.put("</tbody></table>\n");
            }
            Block::Fold { summary, blocks } => {
                let summary = inlines(summary, self.plan);
                self.put(&format!("<details><summary>{summary}</summary>\n"));
                self.blocks(blocks);
                self.put("</details>\n");
            }
            Block::Review(r) => self.review(r),
            Block::Rule => self.put("<hr>\n"),
        }
    }

    /// A form that works on paper; the script only saves what was written.
    fn review(&mut self, r: &Review) {
        self.put(&format!(
            "<form id=\"page-review\" class=\"review\" data-assembly=\"{}\" data-document=\"{}\" data-revision=\"{}\" \
             data-digest=\"{}\">\n<p class=\"who\"><label>{BY} <select id=\"page-review-by\"><option value=\"\">choose</option>",
            escape(&r.assembly),
            escape(&r.document),
            escape(&r.revision),
            escape(&r.digest)
        ));
        for (id, name) in &r.people {
            self.put(&format!("<option value=\"{}\">{}</option>", escape(id), escape(name)));
        }
        self.put(&format!(
            "<option value=\"other\">{OTHER}</option></select><span class=\"rule\"></span></label> <label class=\"screen\">{OTHER} \
             <input type=\"text\" id=\"page-review-other\" autocomplete=\"off\"></label></p>\n<p><label>{DAY} <input \
             type=\"text\" id=\"page-review-day\" autocomplete=\"off\" size=\"10\"><span class=\"rule\"></span></label></p>\n\
             <table><thead><tr>"
        ));
        REVIEW.iter().for_each(|h| self.put(&format!("<th scope=\"col\">{h}</th>")));
        self.put("</tr></thead><tbody>\n");
        for (name, title) in &r.sections {
            let (name, title) = (escape(name), escape(title));
            self.put(&format!(
                "<tr id=\"page-remark-{name}\" data-section=\"{name}\"><th scope=\"row\">{title}</th><td><select \
                 aria-label=\"Decision on {title}\"><option value=\"\">none</option>"
            ));
            DECISIONS.iter().for_each(|d| self.put(&format!("<option>{d}</option>")));
            self.put("</select>");
            DECISIONS.iter().for_each(|d| self.put(&format!("<span class=\"tick\">{d}</span>")));
            self.put(&format!(
                "</td><td><textarea rows=\"2\" aria-label=\"Remark on {title}\"></textarea></td></tr>\n"
            ));
        }
        self.put(&format!(
            "</tbody></table>\n<p id=\"page-review-wrong\" role=\"alert\"></p>\n<p><button type=\"button\" \
             id=\"page-review-save\" hidden>{SAVE}</button></p>\n</form>\n<script>{SCRIPT}</script>\n"
        ));
    }

    /// Lines and spaces count; long lines are folded. A line break right behind the tag would be lost.
    fn code(&mut self, text: &str, class: &str) {
        self.put(&format!("<pre{class}>\n{}</pre>\n", escape(text)));
    }

    /// In signs where every line has them; a reader without MathML finds the text.
    fn formula(&mut self, lines: &[Formula]) {
        if lines.iter().any(|l| l.mathml.is_empty()) {
            return self.code(&Formula::text_of(lines), " class=\"formula\"");
        }
        // On a narrow screen a long line scrolls, so it must be reached by keyboard.
        let long = lines.iter().any(|l| l.text.chars().count() > LONG_FORMULA);
        let reach = if long { " tabindex=\"0\" role=\"group\" aria-label=\"Formula\"" } else { "" };
        self.put(&format!("<div class=\"math{}\"{reach}>\n", if long { " long" } else { "" }));
        for l in lines {
            self.put(&format!("<math display=\"block\" alttext=\"{}\">{}</math>\n", escape(&l.text), l.mathml));
        }
        self.put("</div>\n");
    }

    fn verdict(&mut self, route: &str, stands_as: &str, lines: &[Vec<crate::model::document::Inline>]) {
        let class = state(stands_as).map_or("", State::word);
        self.put(&format!("<div class=\"verdict {class}\" data-state=\"{class}\">"));
        let stands = inlines(&stands(stands_as), self.plan);
        for (class, words) in [("route", escape(route.trim_matches(' '))), ("stands", stands)] {
            if !words.is_empty() {
                self.put(&format!("<p class=\"{class}\">{words}</p>\n"));
            }
        }
        for line in lines {
            self.put(&format!("<p>{}</p>\n", inlines(line, self.plan)));
        }
        self.put("</div>\n");
    }

    /// A table in a frame that scrolls on narrow screens and can be reached by keyboard where it may have to.
    fn table(&mut self, t: &Table) {
        self.tables += 1;
        let n = self.tables;
        let wide = t.wide || t.head.len() > 3;
        let reach = if wide {
            format!(" tabindex=\"0\" role=\"group\" aria-labelledby=\"table-{n}-caption\"")
        } else {
            String::new()
        };
        let class = format!("{} {}", if t.wide { "wide" } else { "plain" }, room::table(t));
        self.put(&format!(
            "<div class=\"scroll\"{reach}><table id=\"table-{n}\" class=\"{class}\">\n<caption id=\"table-{n}-caption\"><span>\
             <a class=\"self\" href=\"#table-{n}\">Table {n}.</a> {}</span></caption>\n<thead><tr>",
            escape(&t.caption)
        ));
        let side = |column: usize| if t.numeric.get(column) == Some(&true) { " class=\"number\"" } else { "" };
        for (i, head) in t.head.iter().enumerate() {
            match head.is_empty() {
                true => self.put("<td></td>"),
                false => self.put(&format!("<th scope=\"col\"{}>{}</th>", side(i), escape(head))),
            }
        }
        self.put("</tr></thead>\n<tbody>\n");
        for row in &t.rows {
            self.put("<tr>");
            for (i, cell) in row.iter().enumerate() {
                let text = inlines(cell, self.plan);
                let (open, close) = match i == 0 && side(0).is_empty() && row.len() > 1 && !text.is_empty() {
                    true => ("th scope=\"row\"", "th"),
                    false => ("td", "td"),
                };
                self.put(&format!("<{open}{}>{text}</{close}>", side(i)));
            }
            self.put("</tr>\n");
        }
        self.put("</tbody></table></div>\n");
    }

    fn figure(&mut self, f: &Figure) {
        self.figures += 1;
        // Combs stand side by side where there is room, every other plot alone.
        let alone = if matches!(f.plot, Plot::Combs { .. }) { "" } else { "lone " };
        let (n, id, kind) = (self.figures, &f.name, f.plot.kind());
        self.put(&format!(
            "<figure id=\"{id}\"><figcaption><a class=\"self\" href=\"#{id}\">Figure {n}.</a> {}</figcaption>\n",
            escape(f.caption.trim())
        ));
        let key = if self.plan.keyed(id) { key(&f.plot) } else { String::new() };
        for words in [f.alternative.trim(), key.as_str()].into_iter().filter(|w| !w.is_empty()) {
            self.put(&format!("<p>{}</p>\n", escape(words)));
        }
        self.put(&format!("<div class=\"{alone}{kind}\">\n"));
        let panels: &[Panel] = if let Plot::Combs { panels, .. } = &f.plot { panels } else { &[] };
        // What fits any width is drawn twice, for a screen or paper and for a phone; the style sheet shows one of them.
        let slim = svg::slim(f);
        let broad = if slim.is_some() { " broad" } else { "" };
        for (i, part) in svg::parts(f).iter().enumerate() {
            let title = panels.get(i).map_or(String::new(), panel_line);
            self.put(&format!("<div class=\"panel{broad}\">{title}{part}</div>\n"));
        }
        if let Some(slim) = slim {
            self.put(&format!("<div class=\"panel slim\">{slim}</div>\n"));
        }
        self.put("</div></figure>\n");
    }

    fn sheet(&mut self, s: &Sheet) {
        let (level, name) = ((self.level + 1).min(6), &s.name);
        let about = about(&s.title, &s.subject);
        self.put(&format!("<section class=\"sheet\" id=\"{name}\"><h{level}><a class=\"self\" href=\"#{name}\">{name}</a></h{level}>\n"));
        self.put(&format!("<p class=\"about\">{}</p>\n", escape(&about)));
        self.formula(&s.formula);
        if !s.substituted.is_empty() {
            self.code(&s.substituted, " class=\"formula\"");
        }
        let sign = |text: &str| symbol(&Formula::named(&s.symbols, text));
        let inputs = s.inputs.iter().map(|(symbol, value, meaning, origin)| {
            vec![sign(symbol), escape(value), escape(meaning), inlines(origin, self.plan)]
        });
        let class = room::sheet(s);
        let inputs = grid(&format!("Inputs of {name}"), class, &INPUTS, inputs);
        let outputs =
            s.outputs.iter().map(|(symbol, value, meaning)| vec![sign(symbol), escape(value), escape(meaning)]);
        let outputs = grid(&format!("Results of {name}"), class, &OUTPUTS, outputs);
        self.put(&inputs);
        self.put(&outputs);
        for line in remarks(s) {
            self.put(&format!("<p class=\"remark\">{}</p>\n", escape(&line)));
        }
        self.put("</section>\n");
    }
}

/// Title of a panel and the file behind it.
fn panel_line(p: &Panel) -> String {
    match p.place.is_empty() {
        true => format!("<p><b>{}</b></p>", escape(&p.title)),
        false => format!("<p><b>{}:</b> <code class=\"place\">{}</code></p>", escape(&p.title), escape(&p.place)),
    }
}

/// The small table of a sheet: its columns fold, so it needs no scrolling.
fn grid(name: &str, class: &str, head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut out = format!("<table class=\"{class}\" aria-label=\"{}\"><thead><tr>", escape(name));
    head.iter().for_each(|h| out.push_str(&format!("<th scope=\"col\">{h}</th>")));
    out.push_str("</tr></thead><tbody>\n");
    for row in rows {
        out.push_str(&format!("<tr><td>{}</td></tr>\n", row.join("</td><td>")));
    }
    out + "</tbody></table>\n"
}
