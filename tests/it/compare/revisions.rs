//! Revisions, drafts and records as they lie on disk: the chapter of changes, the bag that holds what it rests on, the verb.

use super::{example, judged};
use crate::builder;
use crate::commands::galipot;
use galipot::pipeline::{self, Issue};
use galipot::seal;
use serde_json::{Value, json};

/// The second revision of a dossier, in memory: it tells what moved, and its bag rebuilds.
#[test]
fn a_second_revision_tells_what_moved_since_the_first() {
    let one = judged(example(), None);
    let first = pipeline::issue(&one, "OV-1107", &Issue { revision: "1".into(), ..Issue::default() }).expect("issued");
    let text = |bag: &seal::Bag, path: &str| String::from_utf8(bag.files[path].clone()).expect("text");
    assert!(text(&first, "data/dossier.md").contains("No revision of this dossier was issued before"));
    assert!(!first.files.contains_key("data/previous/record.json"));

    let mut files = example();
    builder::patch(&mut files, "assemblies/OV-1107.toml", "document_rev = \"1\"", "document_rev = \"2\"");
    let two = judged(files, Some("2026-05-30"));
    let issue = Issue {
        revision: "2".into(),
        previous: Some(seal_previous(&first)),
        previous_record: Some(first.files["data/record.json"].clone()),
        ..Issue::default()
    };
    let second = pipeline::issue(&two, "OV-1107", &issue).expect("issued");
    let dossier = text(&second, "data/dossier.md");
    assert!(
        dossier.contains("Changes since revision 1") && dossier.contains(&first.digest),
        "the chapter names the first"
    );
    assert!(dossier.contains("What did not move") && dossier.contains("input files"));
    assert_eq!(second.files["data/previous/record.json"], first.files["data/record.json"]);
    assert!(text(&second, "audiences.txt").contains("customer  data/previous/record.json"));
    let reports = [seal::verify(&first.files, &[]), seal::verify(&second.files, &[])];
    assert!(reports.iter().all(seal::Report::intact), "{:#?}", reports[1].problems);
    assert_eq!(seal::chain(&reports[1], &reports), seal::Chain::Intact);

    // From the payload alone: the same bytes.
    let inputs =
        second.files.iter().filter_map(|(p, b)| Some((p.strip_prefix("data/inputs/")?.to_string(), b.clone())));
    let again = judged(inputs.collect(), Some("2026-05-30"));
    let previous_record = second.files.get("data/previous/record.json").cloned();
    let again = pipeline::issue(&again, "OV-1107", &Issue { previous_record, ..issue.clone() }).expect("issued");
    for f in ["data/dossier.html", "data/dossier.md", "data/record.json"] {
        assert!(again.files[f] == second.files[f], "{f} is rebuilt otherwise");
    }
    // A record of another revision under the same name breaks the chain.
    let mut forged: Value = serde_json::from_slice(&first.files["data/record.json"]).expect("JSON");
    forged["route"] = json!("not-yet");
    let previous_record = Some(galipot::model::document::record_bytes(&forged));
    let forged = pipeline::issue(&two, "OV-1107", &Issue { previous_record, ..issue.clone() }).expect("issued");
    let reports = [seal::verify(&first.files, &[]), seal::verify(&forged.files, &[])];
    let seal::Chain::Broken(why) = seal::chain(&reports[1], &reports) else { panic!("not broken") };
    assert!(why.contains("data/previous/record.json"), "{why}");
    // Without the record of the first there is no second.
    assert!(pipeline::issue(&two, "OV-1107", &Issue { previous_record: None, ..issue }).is_err());
}

fn seal_previous(bag: &seal::Bag) -> seal::Previous {
    seal::Previous { revision: "1".into(), digest: bag.digest.clone() }
}

#[test]
fn compare_reads_bags_drafts_and_records() {
    let room = tempfile::tempdir().expect("a folder");
    let here = room.path();
    for (path, bytes) in example() {
        let to = here.join("site").join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
    let run = |args: &[&str], status: i32| {
        let call = galipot(here, args);
        assert_eq!(call.status, status, "{args:?}\nout: {}\nerr: {}", call.out, call.err);
        call
    };
    run(&["draft", "OV-1107", "OV-3415", "--site", "site", "--out", "a"], 0);
    let same = run(&["compare", "a/OV-1107", "a/OV-1107/record.json"], 0);
    assert!(same.out.contains("No claim moved its state") && same.out.contains("DID NOT MOVE"), "{}", same.out);
    let two = run(&["compare", "a/OV-1107", "a/OV-3415"], 1);
    assert!(two.out.starts_with("TWO DOCUMENTS") && two.err.is_empty(), "{}", two.out);

    run(&["issue", "OV-1107", "--revision", "1", "--site", "site"], 0);
    let bag = "site/issued/DOC-HF-OV-1107-NC-001/1";
    let sealed = run(&["compare", bag, "a/OV-1107", "--json"], 0);
    let doc: Value = serde_json::from_str(&sealed.out).expect("one JSON document");
    assert_eq!((&doc["schema"], &doc["states_moved"]), (&json!("galipot.compare/1"), &json!(false)));
    assert_eq!(doc["old"]["digest"].as_str().map(str::len), Some(64));
    assert!(doc["new"]["digest"].is_null() && doc["old"]["status"] == "candidate");
    assert!(doc["counts"].as_array().is_some_and(|l| l.iter().any(|n| n["kind"] == "claim" && n["same"] == n["new"])));

    // A draft tells what moved since the newest issued revision.
    run(&["draft", "OV-1107", "--site", "site", "--as-of", "2026-11-30", "--out", "b"], 0);
    let dossier = std::fs::read_to_string(here.join("b/OV-1107/dossier.md")).expect("a dossier");
    assert!(dossier.contains("Changes since revision 1") && dossier.contains("EXPIRED_CHANGE"), "the chapter");
    let fell = run(&["compare", bag, "b/OV-1107", "--out", "c"], 1);
    assert!(fell.out.contains("The route moves from leave to not-yet") && fell.out.contains("C2.2"), "{}", fell.out);
    let files: Vec<String> = builder::load(here.join("c")).into_iter().map(|f| f.0).collect();
    assert_eq!(files, ["changes.html", "changes.md"]);
    let page = std::fs::read_to_string(here.join("c/changes.md")).expect("a page");
    assert!(page.contains("What did not move") && page.contains("Composition known"));
    run(&["compare", bag, "b/OV-1107", "--out", "c"], 1);
    std::fs::write(here.join("c/mine.txt"), "mine").expect("written");
    assert!(run(&["compare", bag, "b/OV-1107", "--out", "c"], 2).err.contains("mine.txt"));

    std::fs::write(here.join("bad.json"), "{\"schema\": \"galipot.status/1\"}").expect("written");
    for (args, word) in [
        (["compare", "a/OV-1107", "bad.json"], "galipot.status/1"),
        (["compare", "nowhere", "a/OV-1107"], "nowhere"),
        (["compare", "site", "a/OV-1107"], "galipot draft"),
        (["compare", "a", "a/OV-1107"], "record.json"),
    ] {
        let call = run(&args, 2);
        assert!(call.err.contains(word) && call.out.is_empty(), "{}", call.err);
    }
    let record = here.join(bag).join("data/record.json");
    let text = std::fs::read_to_string(&record).expect("a record").replacen("\"leave\"", "\"not-yet\"", 1);
    std::fs::write(record, text).expect("written");
    assert!(run(&["compare", bag, "a/OV-1107"], 2).err.contains("not the one that was sealed"));
    assert!(run(&["draft", "OV-1107", "--site", "site", "--out", "d"], 2).err.contains("not the one that was sealed"));
}
