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

/// Meaning, what to do, and an example that a refused case really gives.
#[test]
fn every_diagnostic_is_explained_with_a_true_example() {
    let text = std::fs::read_to_string(page("diagnostics.md")).expect("docs/diagnostics.md");
    let mut rest = text.as_str();
    for code in CODES {
        let heading = format!("## {}\n\n{}\n\n```text\n", code.code, code.meaning);
        rest =
            rest.split_once(&heading).unwrap_or_else(|| panic!("docs/diagnostics.md lacks or misplaces:\n{heading}")).1;
        assert!(code.meaning.split("\n\n").all(|p| p.len() > 20), "{} says too little", code.code);
        let case = builder::tests("cases/refused").join(code.code).join("expected.txt");
        let said = std::fs::read_to_string(case).expect("the case of the code");
        let example = rest.split("\n```").next().expect("an example");
        assert!(example.lines().all(|l| said.lines().any(|s| s == l)), "no case says: {example}");
    }
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
