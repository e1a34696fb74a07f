//! Takes a document; gives its written forms: Markdown, HTML, Typst, SVG figures, and the record beside them.
//!
//! A written form is one function over the cleaned and planned tree.

mod clean;
mod html;
mod markdown;
mod mathml;
mod plan;
mod svg;
mod typst;
mod words;

pub use self::typst::on_paper;
use crate::model::bundle::{Bundle, Section};
use crate::model::document::{Block, Document, record_bytes};

/// Frame and style that travel inside the program: path, text.
pub fn built_in() -> impl Iterator<Item = (String, Vec<u8>)> {
    let files = [
        ("page.html", html::FRAME),
        ("paper.typ", typst::PAPER),
        ("remarks.js", html::SCRIPT),
        ("style.css", html::STYLE),
    ];
    files.into_iter().map(|(file, text)| (format!("templates/{file}"), text.as_bytes().to_vec()))
}

/// One written form in parts that join to the whole.
#[derive(Debug, Clone, PartialEq, Default)]
struct Parts {
    head: String,
    chapters: Vec<String>,
    places: String,
    foot: String,
}

/// Renders a dossier. Each written form is one room or file of this room.
pub fn render(document: &Document, record: &serde_json::Value) -> Bundle {
    let (mut files, sections) = forms(document, "dossier");
    let source: String = sections.iter().map(|s| s.typst.as_str()).collect();
    files.push(("dossier.typ".to_owned(), source.into_bytes()));
    files.push(("record.json".to_owned(), record_bytes(record)));
    files.sort();
    Bundle { files, sections }
}

/// Any document, named `stem`, as Markdown and HTML with its figures: (path, bytes) in order of path.
pub fn pages(document: &Document, stem: &str) -> Vec<(String, Vec<u8>)> {
    forms(document, stem).0
}

/// Written forms and figures, and the sections that join to the forms.
fn forms(document: &Document, stem: &str) -> (Vec<(String, Vec<u8>)>, Vec<Section>) {
    let mut document = clean::clean(document);
    let plan = plan::Plan::of(&mut document);
    let (html, markdown) = (html::html(&document, &plan), markdown::markdown(&document, &plan));
    let typst = typst::typst(&document, &plan);
    let around = |name: &str, markdown: String, html: String, typst: String| Section {
        name: name.into(),
        audience: "all".into(),
        title: String::new(),
        markdown,
        html,
        typst,
        figures: Vec::new(),
    };
    let mut files = Vec::new();
    let mut sections = vec![around("head", markdown.head, html.head, typst.head)];
    let chapters = markdown.chapters.into_iter().zip(html.chapters).zip(typst.chapters);
    for (chapter, ((md, page), source)) in document.chapters.iter_mut().zip(chapters) {
        let mut figures = Vec::new();
        plan::each_block(&mut chapter.blocks, &mut |b| {
            if let Block::Figure(figure) = b {
                files.push((format!("figures/{}.svg", figure.name), svg::file(figure).into_bytes()));
                figures.push(figure.name.clone());
            }
        });
        sections.push(Section {
            name: chapter.name.clone(),
            audience: chapter.audience.clone(),
            title: words::spaced(&chapter.number, &chapter.title),
            markdown: md,
            html: page,
            typst: source,
            figures,
        });
    }
    sections.push(around("places", markdown.places, html.places, typst.places));
    sections.push(around("foot", markdown.foot, html.foot, typst.foot));
    let joined = |form: fn(&Section) -> &str| sections.iter().map(form).collect::<String>().into_bytes();
    files.push((format!("{stem}.html"), joined(|s| &s.html)));
    files.push((format!("{stem}.md"), joined(|s| &s.markdown)));
    files.sort();
    (files, sections)
}
