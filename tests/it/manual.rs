//! The pages about input files and diagnostics say what the program does.

use crate::builder;
use galipot::cli::show::{self, Style};
use galipot::diag::codes::CODES;
use galipot::pipeline::{self, Options};
use std::path::PathBuf;

fn page(name: &str) -> PathBuf {
    builder::tests("..").join("docs").join(name)
}

/// Set GALIPOT_WRITE_DOCS=1 to write the page anew.
#[test]
fn the_file_reference_is_fresh() {
    let want = galipot::read::reference::markdown();
    let path = page("files.md");
    if std::env::var_os("GALIPOT_WRITE_DOCS").is_some() {
        std::fs::write(&path, &want).expect("written");
    }
    let have = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(have == want, "docs/files.md is stale: run the tests with GALIPOT_WRITE_DOCS=1");
}

/// One heading for each code: its meaning, what to do, and what galipot says in the refused case of that name.
fn explained() -> String {
    let mut out = String::new();
    for code in CODES {
        let case = builder::tests("cases/refused").join(code.code).join("expected.txt");
        let said = std::fs::read_to_string(&case).unwrap_or_else(|e| panic!("{}: {e}", case.display()));
        let shown: Vec<&str> = said.lines().filter(|l| l.contains(&format!("{}: ", code.code))).take(2).collect();
        assert!(!shown.is_empty(), "{} does not show its code", case.display());
        assert!(code.meaning.split("\n\n").all(|p| p.len() > 20), "{} says too little", code.code);
        out.push_str(&format!("## {}\n\n{}\n\n```text\n{}\n```\n\n", code.code, code.meaning, shown.join("\n")));
    }
    out.trim_end().to_string()
}

/// Set GALIPOT_WRITE_DOCS=1 to write this part of the page anew.
#[test]
fn every_diagnostic_is_explained_with_a_true_example() {
    let path = page("diagnostics.md");
    let have = std::fs::read_to_string(&path).expect("docs/diagnostics.md");
    let (head, rest) = have.split_once("<!-- codes -->\n").expect("the mark where the codes begin");
    let (_, tail) = rest.split_once("<!-- end of codes -->").expect("the mark where the codes end");
    let want = format!("{head}<!-- codes -->\n{}\n<!-- end of codes -->{tail}", explained());
    if std::env::var_os("GALIPOT_WRITE_DOCS").is_some() {
        std::fs::write(&path, &want).expect("written");
        return;
    }
    assert!(have == want, "docs/diagnostics.md is stale: run the tests with GALIPOT_WRITE_DOCS=1");
    assert!(CODES.is_sorted_by_key(|c| c.code));
}

#[test]
fn the_drawn_example_is_what_a_terminal_shows() {
    let text = std::fs::read_to_string(page("diagnostics.md")).expect("docs/diagnostics.md");
    let drawn = text.split("```text\n").nth(1).and_then(|t| t.split("```").next()).expect("the first example");
    let mut files = builder::base();
    builder::patch(&mut files, "assemblies/ab-10.toml", "v_peak = \"3.6 V\"", "v_peak = \"3.0 V\"");
    let refused = pipeline::assess(files, &Options::default()).expect_err("a contradiction");
    assert_eq!(show::full(&refused.sources, &refused.problems, &Style::default()), drawn);
}
