//! Takes the project's own files; holds them to the plan of the house: captions, layers, homes, words, maps.

mod map;
mod papers;
mod rust;
mod words;

use std::path::Path;

/// A text file of the project: path with forward slashes, text.
pub type Texts = Vec<(String, String)>;

/// Folders that hold nothing that a person wrote.
const BUILT: &[&str] = &[".git", "target", "drafts", "node_modules"];

/// Every text file of the project, sorted by path.
pub fn project() -> Texts {
    let mut out = Vec::new();
    walk(Path::new(env!("CARGO_MANIFEST_DIR")), "", &mut out);
    out.sort();
    out
}

fn walk(folder: &Path, inside: &str, out: &mut Texts) {
    for entry in std::fs::read_dir(folder).expect("a readable folder") {
        let path = entry.expect("a readable folder").path();
        let name = path.file_name().and_then(|n| n.to_str()).expect("a plain name").to_string();
        if BUILT.contains(&name.as_str()) {
            continue;
        }
        let key = format!("{inside}{name}");
        if path.is_dir() {
            walk(&path, &format!("{key}/"), out);
        } else if let Ok(text) = String::from_utf8(std::fs::read(&path).expect("a readable file")) {
            out.push((key, text));
        }
    }
}

/// Rust files below one of the folders.
pub fn rust_files<'a>(texts: &'a Texts, folders: &'a [&str]) -> impl Iterator<Item = (&'a str, &'a str)> {
    let ours = |path: &str| path.ends_with(".rs") && folders.iter().any(|f| path.starts_with(f));
    texts.iter().filter(move |(path, _)| ours(path)).map(|(path, text)| (path.as_str(), text.as_str()))
}

/// Text of one file; the test fails when it is not there.
pub fn text<'a>(texts: &'a Texts, path: &str) -> &'a str {
    &texts.iter().find(|t| t.0 == path).unwrap_or_else(|| panic!("the project has no {path}")).1
}

/// Fails with all complaints at once.
pub fn none(complaints: Vec<String>) {
    assert!(complaints.is_empty(), "\n{}\n", complaints.join("\n"));
}

/// A part of a page that is written from the project itself stands between two marks; gives its text.
/// With GALIPOT_WRITE_DOCS set the page is written anew first.
pub fn block(page: &str, name: &str, wanted: &str) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(page);
    let old = std::fs::read_to_string(&path).unwrap_or_default();
    match replaced(&old, name, wanted) {
        None => vec![format!("{page} has no part <!-- {name} --> ... <!-- end of {name} -->")],
        Some(new) if new == old => Vec::new(),
        Some(new) if std::env::var_os("GALIPOT_WRITE_DOCS").is_some() => {
            std::fs::write(&path, new).expect("written");
            Vec::new()
        }
        Some(_) => {
            vec![format!("{page}: {name} is not what the project says; GALIPOT_WRITE_DOCS=1 cargo test --test it tidy")]
        }
    }
}

/// The page with the part between the two marks replaced; none when it lacks a mark.
fn replaced(page: &str, name: &str, wanted: &str) -> Option<String> {
    let (head, rest) = page.split_once(&format!("<!-- {name} -->\n"))?;
    let end = format!("<!-- end of {name} -->");
    let tail = &rest[rest.find(&end)?..];
    Some(format!("{head}<!-- {name} -->\n{}\n{tail}", wanted.trim_end()))
}

#[test]
fn a_part_of_a_page_is_found_and_replaced() {
    let page = "a\n<!-- map -->\nold\n<!-- end of map -->\nz\n";
    assert_eq!(replaced(page, "map", "new\n").as_deref(), Some("a\n<!-- map -->\nnew\n<!-- end of map -->\nz\n"));
    assert_eq!(replaced(page, "chart", "new"), None);
    assert_eq!(replaced("<!-- map -->\nold", "map", "new"), None);
}
