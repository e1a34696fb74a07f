//! Takes the project's texts; complains of leftover words, silenced tests, addresses and paths of one machine.

use super::{Texts, none, project};

/// Words that promise work that nobody did. Written in halves, so that this list does not find itself.
const LEFTOVER: &[&str] =
    &[concat!("to", "do"), concat!("fix", "me"), concat!("x", "xx"), concat!("ha", "ck"), concat!("unimple", "mented")];

/// Folders of one machine.
const MACHINE: &[&str] = &[concat!("/wo", "rk/"), concat!("/ro", "ot/"), concat!("/ho", "me/"), concat!("/Us", "ers/")];

/// Addresses that may stand, and where.
const ADDRESSES: &[(&str, &str, &str)] = &[
    ("LICENSE-APACHE", "www.apache.org/licenses/", "the licence names itself"),
    ("Cargo.lock", "github.com/rust-lang/crates.io-index", "the public registry"),
    ("deny.toml", "github.com/rust-lang/crates.io-index", "the public registry"),
    (
        "tests/reference/t14_bag/bag-info.txt",
        "github.com/LibraryOfCongress/",
        "the library that made the bag names itself",
    ),
    ("src/render/", "www.w3.org/", "names of XML vocabularies; nothing fetches them"),
    ("src/compose/tests.rs", "example.org", "hostile template; a name that is reserved for examples"),
    ("tests/it/documents", "x.example", "hostile text for the writers; a name that is reserved for examples"),
];

/// Whether `word` stands in `line` by itself.
fn has_word(line: &str, word: &str) -> bool {
    let name = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(word).any(|(i, _)| !line[..i].ends_with(name) && !line[i + word.len()..].starts_with(name))
}

/// What must not stand in a line of a file.
fn complaints(path: &str, line: &str) -> Vec<String> {
    let mut out = Vec::new();
    let low = line.to_lowercase();
    out.extend(LEFTOVER.iter().filter(|w| has_word(&low, w)).map(|w| format!("leftover word {w}")));
    if path.ends_with(".rs") && line.contains(concat!("#[ig", "nore")) {
        out.push("a test that does not run is no evidence".to_string());
    }
    for folder in MACHINE {
        let one = line
            .match_indices(folder)
            .any(|(i, _)| !line[..i].ends_with(|c: char| c.is_alphanumeric() || "._-$}~".contains(c)));
        if one {
            out.push(format!("a folder of one machine: {folder}"));
        }
    }
    for (i, scheme) in line.match_indices("://") {
        let before = &line[..i];
        let address = &line[i + scheme.len()..];
        let web = before.ends_with("http") || before.ends_with("https");
        let allowed = ADDRESSES.iter().any(|(place, start, _)| path.starts_with(place) && address.starts_with(start));
        if web && !allowed {
            out.push("an address of the network".to_string());
        }
    }
    out
}

fn all(texts: &Texts) -> Vec<String> {
    let mut out = Vec::new();
    for (path, text) in texts {
        for (n, line) in text.lines().enumerate() {
            out.extend(complaints(path, line).into_iter().map(|c| format!("{path}:{}: {c}", n + 1)));
        }
    }
    out
}

#[test]
fn no_leftovers_no_addresses_no_machine() {
    none(all(&project()));
}

#[test]
fn every_allowed_address_is_used() {
    let texts = project();
    let used = |place: &str, start: &str| texts.iter().any(|(p, t)| p.starts_with(place) && t.contains(start));
    let idle = ADDRESSES.iter().filter(|(place, start, _)| !used(place, start));
    none(idle.map(|(place, start, why)| format!("{place}: nothing needs {start} ({why})")).collect());
}

#[test]
fn bad_lines_are_complained_of() {
    let wrong = |path: &str, line: &str| !complaints(path, line).is_empty();
    assert!(wrong("src/a.rs", concat!("// TO", "DO: later")));
    assert!(wrong("src/a.rs", concat!("    unimple", "mented!(\"later\")")));
    assert!(wrong("docs/a.md", concat!("a ha", "ck")));
    assert!(wrong("src/a.rs", concat!("#[ig", "nore = \"slow\"]")));
    assert!(wrong("docs/a.md", concat!("see /wo", "rk/a")));
    assert!(wrong("docs/a.md", concat!("`/ho", "me/ada/site`")));
    assert!(wrong("docs/a.md", concat!("see https", "://example.org")));
    assert!(wrong("docs/a.md", concat!("http", "://www.w3.org/2000/svg")));
    assert!(!wrong("src/render/svg.rs", concat!("http", "://www.w3.org/2000/svg")));
    assert!(!wrong("docs/a.md", "a method of hacking cough, some/work/of/ours, $CACHE/home/x"));
}
