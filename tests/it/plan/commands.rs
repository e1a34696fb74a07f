//! `plan` and `gaps` as people and pipes meet them.

use crate::commands::galipot;
use crate::new_site;
use std::path::Path;
use tempfile::TempDir;

fn site(without_plan: bool) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    for (path, bytes) in new_site::files().into_iter().filter(|f| !without_plan || !f.0.starts_with("plan/")) {
        let to = dir.path().join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
    dir
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

#[test]
fn a_plan_is_one_screen_one_record_and_one_folder() {
    let dir = site(false);
    let here = dir.path();
    let screen = galipot(here, &["plan"]);
    assert_eq!((screen.status, screen.err.as_str()), (1, ""), "a gate of the new site is closed: {}", screen.out);
    for l in screen.out.lines() {
        assert!(l.chars().count() <= 100, "{} columns: {l}", l.chars().count());
    }
    for words in ["gate ", "KEEP", "BEST", "next test: ", "INTERNAL"] {
        assert!(screen.out.contains(words), "no {words} in\n{}", screen.out);
    }
    let json = galipot(here, &["plan", "--json", "--out", "volume"]);
    let record: serde_json::Value = serde_json::from_str(&json.out).expect("one document");
    assert_eq!(record["schema"], "galipot.plan/1");
    assert_eq!(read(&here.join("volume/record.json")), json.out, "what is printed is what is written");
    assert!(read(&here.join("volume/plan.md")).contains("**INTERNAL**"));
    assert!(read(&here.join("volume/plan.html")).contains("<strong>INTERNAL</strong>"));
    // Ours is replaced; a folder with anything else in it is not.
    galipot(here, &["plan", "--out", "volume"]);
    std::fs::write(here.join("volume/notes.txt"), "mine").expect("written");
    let refused = galipot(here, &["plan", "--out", "volume"]);
    assert!(refused.status == 2 && refused.err.contains("notes.txt"), "{}", refused.err);
    assert_eq!(read(&here.join("volume/notes.txt")), "mine");
    // A file in the way is told before anything is weighed, with what to do.
    for to in ["volume/notes.txt", "volume/notes.txt/inside"] {
        let file = galipot(here, &["plan", "--out", to]);
        assert!(file.status == 2 && file.out.is_empty(), "{}", file.out);
        assert!(file.err.contains("volume/notes.txt is a file") && file.err.contains("name a folder"), "{}", file.err);
    }
}

#[test]
fn what_if_is_marked_and_a_site_without_a_plan_says_what_is_missing() {
    let dir = site(false);
    let what_if = galipot(dir.path(), &["plan", "--set", "LIM-SIR.value=8.5", "--out", "volume"]);
    assert!(what_if.out.starts_with("WHAT-IF"), "{}", what_if.out);
    assert!(read(&dir.path().join("volume/plan.md")).contains("**INTERNAL, WHAT-IF**"));
    let bare = site(true);
    for verb in ["plan", "gaps"] {
        let call = galipot(bare.path(), &[verb]);
        assert!(call.status == 2 && call.out.is_empty() && call.err.contains("[economy]"), "{}", call.err);
    }
    galipot(bare.path(), &["status", "--json"]);
    let wrong = galipot(dir.path(), &["plan", "--limit", "0"]);
    assert_eq!(wrong.status, 2);
}

#[test]
fn gaps_name_what_lifts_an_assembly_and_what_nothing_lifts() {
    let dir = site(false);
    let all = galipot(dir.path(), &["gaps"]);
    assert!(all.status == 1 && all.out.contains("LP-40") && all.err.is_empty(), "{}{}", all.out, all.err);
    for l in all.out.lines() {
        assert!(l.chars().count() <= 100, "{} columns: {l}", l.chars().count());
    }
    let json = galipot(dir.path(), &["gaps", "LP-40", "--json"]);
    let doc: serde_json::Value = serde_json::from_str(&json.out).expect("one document");
    assert_eq!((&doc["schema"], &doc["assemblies"][0]["id"]), (&"galipot.gaps/1".into(), &"LP-40".into()));
    let closing = &doc["assemblies"][0]["closing"][0];
    assert!(closing["actions"].is_array() && closing["beyond"].is_array(), "{closing}");
    let wrong = galipot(dir.path(), &["gaps", "LP-41"]);
    assert!(wrong.status == 2 && wrong.err.contains("LP-40"), "{}", wrong.err);
}
