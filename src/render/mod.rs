//! Takes a document; gives its written forms: Markdown, HTML, SVG figures, and the record beside them.

use crate::model::document::Document;

/// Files of one dossier: (path inside its folder, bytes), in order of path.
#[derive(Debug, Clone, PartialEq)]
pub struct Bundle {
    pub files: Vec<(String, Vec<u8>)>,
}

/// Renders a document. Each written form is one file of this room.
pub fn render(document: &Document, record: &serde_json::Value) -> Bundle {
    let _ = (document, record);
    unimplemented!("in work")
}
