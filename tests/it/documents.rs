//! Written forms of a document: same words in all of them, hostile text stays text, pages are sound.

pub mod content;
pub mod markup;
mod plots;
mod sample;
mod text;
mod typst;

use galipot::model::bundle::Bundle;
use galipot::model::document::Document;
use galipot::render::render;

fn rendered(document: &Document) -> Bundle {
    render(document, &serde_json::json!({ "document": document.title }))
}

fn file(bundle: &Bundle, path: &str) -> String {
    let found = bundle.files.iter().find(|f| f.0 == path);
    String::from_utf8(found.unwrap_or_else(|| panic!("no {path}")).1.clone()).expect("UTF-8")
}

#[test]
fn a_bundle_holds_every_form_and_every_figure_in_order_of_path() {
    let bundle = rendered(&sample::document());
    let paths: Vec<_> = bundle.files.iter().map(|f| f.0.as_str()).collect();
    let expected =
        ["dossier.html", "dossier.md", "dossier.typ", "figures/combs.svg", "figures/dots.svg", "record.json"];
    assert_eq!(paths, expected);
    assert_eq!(bundle, rendered(&sample::document()), "same document, same bytes");
    // For the checks of pages and PDFs, and for looking.
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("documents");
    for (name, document) in [
        ("sample", sample::document()),
        ("hostile", sample::hostile()),
        ("letters", typst::letters()),
        ("formulas", typst::formulas()),
    ] {
        for (path, bytes) in rendered(&document).files {
            let path = folder.join(name).join(path);
            std::fs::create_dir_all(path.parent().expect("a folder")).expect("folder");
            std::fs::write(path, bytes).expect("file");
        }
    }
}
