//! Takes the project's papers; complains of examples without a page, idle sources, and a gate that leaves something out.

use super::{Texts, none, project, text};
use galipot::compute::calc::{registry, sources::SOURCES, topics};
use galipot::{manual, render};

/// Example sites without a page that says what they show.
fn examples(texts: &Texts) -> Vec<String> {
    let mut sites: Vec<&str> = texts
        .iter()
        .filter_map(|(p, _)| p.strip_prefix("qualification-examples/"))
        .filter_map(|p| p.split_once('/').map(|s| s.0))
        .collect();
    sites.dedup();
    let page = |site: &str| format!("qualification-examples/{site}/README.md");
    let lacks = |site: &&str| !texts.iter().any(|(p, t)| *p == page(site) && t.lines().count() > 5);
    sites
        .into_iter()
        .filter(lacks)
        .map(|s| format!("qualification-examples/{s} has no README.md that says what it shows"))
        .collect()
}

#[test]
fn every_example_site_says_what_it_shows() {
    none(examples(&project()));
    let bare = vec![("qualification-examples/mill/galipot.toml".to_string(), String::new())];
    assert_eq!(examples(&bare).len(), 1);
}

/// Documents that no calculation rests on.
fn idle_sources<'a>(known: impl Iterator<Item = &'a str>, used: &[&str]) -> Vec<String> {
    known.filter(|k| !used.contains(k)).map(|k| format!("no calculation rests on {k}")).collect()
}

/// That every key of a calculation has its document is tested beside the calculations.
#[test]
fn every_source_is_needed() {
    let checks = registry().iter().flat_map(|c| c.checks.iter().map(|k| k.source));
    let used: Vec<&str> = registry().iter().flat_map(|c| c.sources.iter().copied()).chain(checks).collect();
    none(idle_sources(SOURCES.iter().map(|s| s.key), &used));
    assert_eq!(idle_sources(["A", "B"].into_iter(), &["A"]), ["no calculation rests on B"]);
}

/// The page is written from the calculation files. Set GALIPOT_WRITE_DOCS=1 to write it anew.
#[test]
fn the_page_of_methods_is_fresh() {
    let pages = render::pages(&manual::methods(topics()), "methods");
    let want = pages.iter().find(|p| p.0 == "methods.md").map(|p| String::from_utf8_lossy(&p.1)).expect("Markdown");
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/methods.md");
    if std::env::var_os("GALIPOT_WRITE_DOCS").is_some() {
        std::fs::write(&path, want.as_bytes()).expect("written");
    }
    let have = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(have == want, "docs/methods.md is stale: GALIPOT_WRITE_DOCS=1 cargo test --test it tidy");
}

#[test]
fn the_gate_is_one_command() {
    let texts = project();
    let justfile = text(&texts, "justfile");
    assert!(justfile.contains("\nci:\n    bash .ci/run\n"), "the recipe `ci` is the gate itself");
    let gate = text(&texts, ".ci/run");
    for command in ["cargo test", "cargo fmt --check", "cargo clippy --all-targets -- -D warnings", "cargo deny"] {
        assert!(gate.contains(command), ".ci/run lacks {command}");
    }
    assert!(gate.contains("set -euo pipefail"), ".ci/run goes on after a failure");
    assert!(text(&texts, "CHANGELOG.md").contains("\n### Results\n"), "CHANGELOG.md has no heading Results");
}
