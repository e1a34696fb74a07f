//! The program as people and pipes meet it: every verb, exit status and both output streams.

use crate::builder::{self, Files};
use crate::{new_site, nothing};
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

/// Columns that a terminal has at least.
const WIDTH: usize = 100;

/// What one call gave.
pub struct Call {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// Runs galipot in a folder, with nothing of the environment of the tests.
pub fn galipot(folder: &Path, args: &[&str]) -> Call {
    let Output { status, stdout, stderr } = Command::new(env!("CARGO_BIN_EXE_galipot"))
        .args(args)
        .current_dir(folder)
        .env_clear()
        .output()
        .expect("it runs");
    let text = |b: Vec<u8>| String::from_utf8(b).expect("UTF-8");
    let call = Call { status: status.code().expect("no signal"), out: text(stdout), err: text(stderr) };
    assert!(!call.out.contains('\u{1b}') && !call.err.contains('\u{1b}'), "{args:?} colours a pipe");
    call
}

impl Call {
    fn expect(self, status: i32) -> Self {
        assert_eq!(self.status, status, "\nout: {}\nerr: {}", self.out, self.err);
        self
    }
    fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("not one JSON document: {e}\n{}", self.out))
    }
}

/// Writes files into a new folder.
fn written(files: &Files) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    for (path, bytes) in files {
        let to = dir.path().join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
    dir
}

fn site() -> TempDir {
    written(&new_site::files())
}

fn lines_fit(text: &str) {
    for l in text.lines() {
        assert!(l.chars().count() <= WIDTH, "{} columns: {l}", l.chars().count());
    }
}

/// Names in a folder, sorted.
fn names(dir: &Path) -> Vec<String> {
    let mut all: Vec<String> = std::fs::read_dir(dir)
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name().into_string().expect("a plain name"))
        .collect();
    all.sort();
    all
}

#[test]
fn new_then_status_then_why_then_draft() {
    let dir = tempfile::tempdir().expect("a folder");
    let here = dir.path();
    let new = galipot(here, &["new", "mill"]).expect(0);
    assert!(new.out.contains("galipot status --site mill"), "{}", new.out);
    assert_eq!(new.err, "");
    lines_fit(&new.out);
    assert_eq!(builder::load(here.join("mill")), new_site::files());

    let status = galipot(here, &["status", "--site", "mill"]).expect(1);
    assert!(status.out.contains("LP-40") && status.err.is_empty(), "{}{}", status.out, status.err);
    lines_fit(&status.out);
    let why = galipot(here, &["why", "LP-40", "C3.1", "--site", "mill"]).expect(1);
    assert!(why.out.contains("RUN-001") && why.out.contains("criteria/criteria.toml:"), "{}", why.out);
    lines_fit(&why.out);
    galipot(here, &["why", "LP-40", "C7.1", "--site", "mill"]).expect(0);

    let draft = galipot(here, &["draft", "--site", "mill", "--out", "out"]).expect(0);
    lines_fit(&draft.out);
    let inside = names(&here.join("out/LP-40"));
    for file in ["dossier.html", "dossier.md", "record.json"] {
        assert!(inside.iter().any(|n| n == file), "{inside:?}");
    }
    let text = std::fs::read_to_string(here.join("out/LP-40/dossier.md")).expect("the dossier");
    assert!(text.contains("DRAFT"));
    // Again into the same folder: all of it is ours, so it is replaced.
    galipot(here, &["draft", "LP-40", "--site", "mill", "--out", "out"]).expect(0);
    assert_eq!(builder::load(here.join("mill")), new_site::files(), "the site itself is never touched");
}

#[test]
fn new_replaces_nothing_and_writes_all_or_nothing() {
    let dir = tempfile::tempdir().expect("a folder");
    let here = dir.path();
    std::fs::create_dir(here.join("mine")).expect("made");
    std::fs::write(here.join("mine/letter.txt"), "mine").expect("written");
    let refused = galipot(here, &["new", "mine"]).expect(2);
    assert!(refused.err.contains("not empty") && refused.out.is_empty(), "{}", refused.err);
    assert_eq!(names(&here.join("mine")), ["letter.txt"]);
    std::fs::write(here.join("file"), "").expect("written");
    galipot(here, &["new", "file"]).expect(2);
    galipot(here, &["new", "."]).expect(2);
    galipot(here, &["new"]).expect(2);
    std::fs::create_dir(here.join("empty")).expect("made");
    galipot(here, &["new", "empty"]).expect(0);
    galipot(here, &["new", "deep/er"]).expect(0);
    galipot(here, &["new", "empty"]).expect(2);
    assert_eq!(names(here), ["deep", "empty", "file", "mine"]);
}

#[test]
fn the_site_is_found_by_walking_up() {
    let dir = site();
    let deep = dir.path().join("runs/RUN-001");
    let found = galipot(&deep, &["status"]).expect(1);
    assert!(found.out.contains("LP-40"));
    let elsewhere = tempfile::tempdir().expect("a folder");
    let lost = galipot(elsewhere.path(), &["status"]).expect(2);
    assert!(lost.err.contains("--site") && lost.out.is_empty(), "{}", lost.err);
    let wrong = galipot(elsewhere.path(), &["status", "--site", "nowhere"]).expect(2);
    assert!(wrong.err.contains("galipot.toml"), "{}", wrong.err);
}

#[test]
fn status_for_machines_has_the_fields_of_the_contract() {
    let dir = site();
    let call = galipot(dir.path(), &["status", "--json"]).expect(1);
    assert_eq!(call.err, "");
    let doc = call.json();
    let keys = |v: &serde_json::Value| -> Vec<String> { v.as_object().expect("an object").keys().cloned().collect() };
    let has = |v: &serde_json::Value, wanted: &[&str]| {
        let found = keys(v);
        for w in wanted {
            assert!(found.iter().any(|k| k == w), "{w} is missing in {found:?}");
        }
    };
    assert_eq!(doc["schema"], "galipot.status/1");
    assert_eq!(doc["as_of"], "2026-03-31");
    has(&doc, &["schema", "as_of", "assemblies"]);
    let a = &doc["assemblies"][0];
    has(a, &["id", "revision", "route", "state", "conditions", "valid_until", "interim", "claims"]);
    assert_eq!(
        (&a["id"], &a["revision"], &a["route"], &a["state"]),
        (&"LP-40".into(), &"B".into(), &"not-yet".into(), &"not-yet".into())
    );
    assert_eq!(a["interim"], "no-supported-interim");
    let claims = a["claims"].as_array().expect("a list");
    let words = ["supported", "with-conditions", "not-yet", "contradicted", "not-applicable"];
    for c in claims {
        has(
            c,
            &[
                "id",
                "tree",
                "state",
                "codes",
                "value",
                "limit",
                "guard",
                "margin",
                "unit",
                "place",
                "runs",
                "conditions",
            ],
        );
        assert!(words.iter().any(|w| c["state"] == *w), "{c}");
        assert!(["leave", "wash", "present"].iter().any(|w| c["tree"] == *w), "{c}");
    }
    let find =
        |id: &str| claims.iter().find(|c| c["id"] == id && c["tree"] == "leave").unwrap_or_else(|| panic!("{id}"));
    let sir = find("C3.1");
    assert_eq!(sir["runs"], serde_json::json!(["RUN-001"]));
    assert_eq!(sir["limit"], 8.0);
    assert_eq!(sir["unit"], "log10 ohm");
    assert!(sir["margin"].as_f64().expect("a number") > 0.0 && sir["state"] == "not-yet", "{sir}");
    assert!(sir["codes"].as_array().expect("a list").iter().any(|c| c == "PLANNED"), "{sir}");
    assert_eq!(find("C7.1")["state"], "supported");
    assert!(find("C1.1")["value"].is_null(), "a rule without a number gives none");
}

#[test]
fn every_verb_writes_one_document_for_machines() {
    let dir = site();
    for (args, status) in [
        (&["status", "--json"][..], 1),
        (&["why", "LP-40", "C3.1", "--json"], 1),
        (&["why", "LP-40", "C7.1", "--json"], 0),
        (&["draft", "--json"], 0),
        (&["calc", "--json"], 0),
        (&["calc", "field_strength", "V_peak=5", "spacing=0.2", "--json"], 0),
    ] {
        let call = galipot(dir.path(), args).expect(status);
        let doc = call.json();
        let schema = doc["schema"].as_str().unwrap_or_default();
        assert!(schema.starts_with("galipot.") && schema.contains('/'), "{args:?}: {schema}");
        assert_eq!(call.err, "", "{args:?}");
    }
    let why = galipot(dir.path(), &["why", "LP-40", "C3.1", "--json"]).json();
    assert!(why.to_string().contains("\"pass\"") && why.to_string().contains("\"planned\""), "verdicts of runs");
}

#[test]
fn wrong_words_get_the_nearest_right_one() {
    let dir = site();
    for (args, hint) in [
        (&["why", "LP-41", "C3.1"][..], "LP-40"),
        (&["why", "LP-40", "C3.12"], "C3.1"),
        (&["draft", "LP-4"], "LP-40"),
        (&["calc", "field_strenght"], "field_strength"),
        (&["calc", "field_strength", "V_peek=5"], "V_peak"),
        (&["statsu"], "status"),
        (&["status", "--as-of", "2026-02-30"], "2026-03-31"),
        (&["status", "--as-of", "yesterday"], "2026-03-31"),
        (&["status", "--set", "LIM-SIR"], "equals sign"),
        (&["status", "--set", "LIM-SRI.value=8"], "LIM-SIR.value"),
        (&["why", "LP-40"], "<CLAIM>"),
        (&["status", "--jsno"], "--json"),
    ] {
        let call = galipot(dir.path(), args).expect(2);
        assert!(call.err.contains(hint), "{args:?}: {}", call.err);
        assert_eq!(call.out, "", "{args:?}");
    }
}

#[test]
fn a_what_if_is_marked_and_touches_no_file() {
    let dir = site();
    let call = galipot(dir.path(), &["status", "--set", "LIM-SIR.value=9.8"]).expect(1);
    assert!(call.out.contains("WHAT-IF"), "{}", call.out);
    let why = galipot(dir.path(), &["why", "LP-40", "C3.1", "--set", "LIM-SIR.value=9.8"]).expect(1);
    assert!(why.out.starts_with("WHAT-IF") && why.out.contains("9.80 log10 ohm"), "{}", why.out);
    let doc = galipot(dir.path(), &["status", "--json", "--set", "LIM-SIR.value=9.8"]).json();
    let claims = doc["assemblies"][0]["claims"].as_array().expect("a list");
    let sir = claims.iter().find(|c| c["id"] == "C3.1").expect("the claim");
    assert_eq!(sir["limit"], 9.8);
    assert!(sir["margin"].as_f64().expect("a number") < 0.0, "{sir}");
    galipot(dir.path(), &["draft", "--out", "out", "--set", "LIM-SIR.value=9.8"]).expect(0);
    let text = std::fs::read_to_string(dir.path().join("out/LP-40/dossier.md")).expect("the dossier");
    assert!(text.contains("WHAT-IF"));
    std::fs::remove_dir_all(dir.path().join("out")).expect("removed");
    assert_eq!(builder::load(dir.path()), new_site::files());
}

#[test]
fn a_later_day_lets_evidence_lapse() {
    let dir = site();
    let state = |day: &str| {
        let doc = galipot(dir.path(), &["status", "--json", "--as-of", day]).json();
        assert_eq!(doc["as_of"], day);
        let claims = doc["assemblies"][0]["claims"].as_array().expect("a list").clone();
        claims.iter().find(|c| c["id"] == "C7.1").expect("the claim").clone()
    };
    assert_eq!(state("2026-08-04")["state"], "supported");
    let lapsed = state("2026-08-05");
    assert_eq!((&lapsed["state"], &lapsed["codes"][0]), (&"not-yet".into(), &"EXPIRED_AGE".into()));
}

#[test]
fn all_mistakes_are_listed_and_nothing_is_written() {
    let mut files = new_site::files();
    let toml = "assemblies/LP-40.toml";
    builder::patch(&mut files, toml, "gap = \"45 um\"", "gap = 45");
    builder::patch(&mut files, toml, "panel_up = 6", "panel_upp = 6");
    builder::patch(&mut files, "people/people.toml", "role = \"Reliability engineer\"", "role = \"\"");
    builder::patch(&mut files, "runs/RUN-001/sir.csv", "\n0,A1,K1,", "\n0,A1,K1,>");
    let dir = written(&files);
    let call = galipot(dir.path(), &["draft", "--out", "out"]).expect(2);
    for wanted in ["bare-number", "unknown-key", "missing-field", "table-token", "panel_up`?", "LP-40.toml:"] {
        assert!(call.err.contains(wanted), "{wanted}: {}", call.err);
    }
    assert_eq!(call.out, "");
    lines_fit(&call.err);
    assert!(!dir.path().join("out").exists());
    let short = galipot(dir.path(), &["status", "--format", "short"]).expect(2);
    let listed: Vec<&str> = short.err.lines().filter(|l| l.contains(".toml:") || l.contains(".csv:")).collect();
    assert_eq!(listed.len(), 5, "{}", short.err);
    let json = galipot(dir.path(), &["status", "--json"]).expect(2);
    assert!(json.out.is_empty() && json.err.contains("bare-number"));
    assert_eq!(builder::load(dir.path()), {
        files.sort();
        files
    });
}

#[test]
fn draft_never_replaces_a_file_that_it_did_not_write() {
    let dir = site();
    galipot(dir.path(), &["draft", "--out", "out"]).expect(0);
    std::fs::write(dir.path().join("out/LP-40/notes.txt"), "mine").expect("written");
    let before = builder::load(dir.path().join("out"));
    let call = galipot(dir.path(), &["draft", "--out", "out"]).expect(2);
    assert!(call.err.contains("notes.txt"), "{}", call.err);
    assert_eq!(builder::load(dir.path().join("out")), before);
    assert_eq!(names(&dir.path().join("out")), ["LP-40"]);
}

#[test]
fn draft_without_a_folder_writes_into_the_site_and_is_not_read_back() {
    let dir = site();
    galipot(dir.path(), &["draft"]).expect(0);
    assert!(dir.path().join("drafts/LP-40/dossier.html").is_file());
    let first = galipot(dir.path(), &["status", "--json"]).expect(1);
    galipot(dir.path(), &["draft"]).expect(0);
    assert_eq!(galipot(dir.path(), &["status", "--json"]).out, first.out);
}

#[test]
fn help_and_version_are_no_error_and_fit() {
    let dir = tempfile::tempdir().expect("a folder");
    for args in [
        &["--help"][..],
        &["--version"],
        &["help", "why"],
        &["draft", "--help"],
        &["new", "--help"],
        &["calc", "--help"],
    ] {
        let call = galipot(dir.path(), args).expect(0);
        assert!(!call.out.is_empty() && call.err.is_empty(), "{args:?}");
        lines_fit(&call.out);
    }
    let none = galipot(dir.path(), &[]).expect(2);
    assert!(none.err.contains("Usage"), "{}", none.err);
    let calc = galipot(dir.path(), &["calc"]).expect(0);
    assert!(calc.out.contains("tolerance_factor"));
    lines_fit(&calc.out);
}

#[test]
fn a_calculation_shows_its_formula_with_the_numbers() {
    let dir = tempfile::tempdir().expect("a folder");
    let call = galipot(dir.path(), &["calc", "field_strength", "V_peak=5", "spacing=0.2"]).expect(0);
    assert!(call.out.contains("25"), "{}", call.out);
    for args in [
        &["calc", "field_strength", "V_peak=five"][..],
        &["calc", "field_strength", "V_peak"],
        &["calc", "field_strength", "V_peak=5"],
    ] {
        let bad = galipot(dir.path(), args).expect(2);
        assert!(bad.out.is_empty() && !bad.err.is_empty(), "{args:?}");
    }
}

#[test]
fn a_site_without_an_assembly_supports_nothing() {
    let dir = written(&vec![("galipot.toml".to_string(), nothing::ONLY_SITE.as_bytes().to_vec())]);
    let call = galipot(dir.path(), &["status"]).expect(1);
    lines_fit(&call.out);
    let doc = galipot(dir.path(), &["status", "--json"]).expect(1).json();
    assert_eq!(doc["assemblies"], serde_json::json!([]));
    let draft = galipot(dir.path(), &["draft", "--out", "out"]).expect(2);
    assert!(draft.err.contains("no assembly") && !dir.path().join("out").exists(), "{}", draft.err);
}
