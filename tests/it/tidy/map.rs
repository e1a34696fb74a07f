//! Takes the captions of all files; gives the map of the house, and compares it with the one in DEVELOPERS.md.

use super::{Texts, block, none, project, rust_files, text};

/// Room whose files the program itself lists: `galipot calc`.
const LISTED_ELSEWHERE: &str = "src/compute/calc/";

fn caption(text: &str) -> &str {
    text.lines().next().and_then(|l| l.strip_prefix("//! ")).unwrap_or_default()
}

/// One line per file, in the order in which they are to be read: rooms as `lib.rs` declares them.
fn map(texts: &Texts) -> String {
    let lib = text(texts, "src/lib.rs");
    let declared: Vec<&str> =
        lib.lines().filter_map(|l| l.strip_prefix("pub mod ").and_then(|m| m.strip_suffix(';'))).collect();
    let rank = |path: &str| {
        let inside = path.trim_start_matches("src/");
        let room = inside.split(['/', '.']).next().unwrap_or_default();
        let order = ["main", "lib"].iter().chain(&declared).position(|m| *m == room).unwrap_or(usize::MAX);
        let folder = path.rsplit_once('/').map_or("", |p| p.0).to_string();
        (order, folder, !path.ends_with("/mod.rs"), path.to_string())
    };
    let mut files: Vec<(&str, &str)> = rust_files(texts, &["src/"]).collect();
    files.sort_by_key(|f| rank(f.0));
    files.extend(rust_files(texts, &["tests/it/", "benches/", "examples/"]));

    let mut out = String::from("```text\n");
    for (path, content) in files {
        let named = path.strip_suffix("mod.rs").unwrap_or(path);
        if path.starts_with(LISTED_ELSEWHERE) && named == path {
            continue;
        }
        let depth = path.matches('/').count().saturating_sub(1);
        let last = named.trim_end_matches('/').rsplit('/').next().unwrap_or(named);
        let name = match named.ends_with('/') {
            true => format!("{}{named}", "  ".repeat(depth.saturating_sub(1))),
            false => format!("{}{last}", "  ".repeat(depth)),
        };
        out.push_str(&format!("{name:<28} {}\n", caption(content)));
    }
    out + "```\n"
}

#[test]
fn the_map_is_what_the_captions_say() {
    none(block("DEVELOPERS.md", "map", &map(&project())));
}

#[test]
fn a_map_follows_captions_and_order() {
    let file = |p: &str, t: &str| (p.to_string(), t.to_string());
    let texts = vec![
        file("src/diag/mod.rs", "//! Words for bad input."),
        file("src/diag/place.rs", "//! Takes a; gives b."),
        file("src/lib.rs", "//! The crate.\npub mod pipeline;\npub mod diag;\n"),
        file("src/pipeline.rs", "//! Start here."),
    ];
    let got = map(&texts);
    let order: Vec<&str> = got.lines().filter_map(|l| l.split_whitespace().next()).collect();
    assert_eq!(order, ["```text", "lib.rs", "pipeline.rs", "src/diag/", "place.rs", "```"]);
    assert!(got.contains("  place.rs"), "{got}");
    let mut changed = texts.clone();
    changed[1].1 = "//! Takes a; gives c.".to_string();
    assert_ne!(got, map(&changed));
}
