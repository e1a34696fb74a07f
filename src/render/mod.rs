//! Takes a document; gives its written forms: Markdown, HTML, SVG figures, and the record beside them.
//!
//! A written form is one function over the cleaned and planned tree. A further form (Typst) is a further
//! function in its own file, called from [`render`].

mod clean;
mod html;
mod markdown;
mod mathml;
mod plan;
mod svg;
mod words;

use crate::model::document::{Block, Document};

/// Files of one dossier: (path inside its folder, bytes), in order of path.
#[derive(Debug, Clone, PartialEq)]
pub struct Bundle {
    pub files: Vec<(String, Vec<u8>)>,
}

/// Renders a document. Each written form is one file of this room.
pub fn render(document: &Document, record: &serde_json::Value) -> Bundle {
    let mut files = pages(document, "dossier");
    files.push(("record.json".to_owned(), format!("{record:#}\n").into_bytes()));
    files.sort();
    Bundle { files }
}

/// The written forms of any document, named `stem`, with its figures: (path, bytes) in order of path.
pub fn pages(document: &Document, stem: &str) -> Vec<(String, Vec<u8>)> {
    let mut document = clean::clean(document);
    let plan = plan::Plan::of(&mut document);
    let mut files = vec![
        (format!("{stem}.html"), html::html(&document, &plan).into_bytes()),
        (format!("{stem}.md"), markdown::markdown(&document, &plan).into_bytes()),
    ];
    for chapter in &mut document.chapters {
        plan::each_block(&mut chapter.blocks, &mut |b| {
            if let Block::Figure(figure) = b {
                files.push((format!("figures/{}.svg", figure.name), svg::file(figure).into_bytes()));
            }
        });
    }
    files.sort();
    files
}
