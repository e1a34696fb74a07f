//! `galipot sign`: what would not count is refused before anything is written; whoever has a copy signs the whole by it.

use super::*;
use crate::commands::galipot;
use std::path::Path;

fn put(folder: &Path, bag: &Files) {
    for (path, bytes) in bag {
        let to = folder.join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
}

/// A folder with the public keys, which are enough to be refused.
fn keys() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    for (name, file) in KEYS.iter().zip(["QM.pub", "RE.pub"]) {
        std::fs::write(dir.path().join(file), public(name)).expect("written");
    }
    dir
}

/// Exit status, and all that is said.
fn says(dir: &Path, words: &str) -> (i32, String) {
    let words: Vec<&str> = words.split(' ').map(|w| if w == "EMPTY" { "" } else { w }).collect();
    let call = galipot(dir, &words);
    (call.status, call.out + &call.err)
}

#[test]
fn what_would_not_count_is_not_written() {
    let dir = keys();
    let mut approved = small("1", None).files;
    sign(&mut approved, "QM", "approve", KEYS[0], |_| {});
    let mut rejected = approved.clone();
    sign(&mut rejected, "RE", "accept", KEYS[1], |s| (s.meaning, s.reason) = ("rejected".into(), Some("gap".into())));
    put(&dir.path().join("new"), &small("1", None).files);
    put(&dir.path().join("approved"), &approved);
    put(&dir.path().join("rejected"), &rejected);
    put(&dir.path().join("lab"), &seal::redact(&approved, "lab").expect("a copy").files);
    let mut two = small("2", Some(&small("1", None))).files;
    sign(&mut two, "QM", "approve", KEYS[0], |_| {});
    sign(&mut two, "RE", "accept", KEYS[1], |_| {});
    put(&dir.path().join("home/1"), &approved);
    put(&dir.path().join("home/2"), &two);
    let before = crate::builder::load(dir.path());
    for (words, status, why) in [
        ("new --role approve --key QM.pub", 2, "today's date is never read silently"),
        ("new --role approve --key QM.pub --as-of 2026-04-02 --set A.b=1", 2, "--set replaces values of a site"),
        ("new --role accept --key RE.pub --as-of 2026-04-02 --reject EMPTY", 2, "a rejection says why"),
        ("new --role approve --key QM.pub --as-of 2026-04-02 --reason EMPTY", 2, "--reason is empty"),
        ("new --role approves --key QM.pub --as-of 2026-04-02", 2, "did you mean approve"),
        ("new --role approve --key QM.pub --as-of 2026-04-02 --out x", 2, "--out is for a copy"),
        ("lab --role accept --key RE.pub --as-of 2026-04-02", 2, "does not see"),
        ("new --role prepare --key QM.pub --as-of 2026-04-02", 1, "QM may not prepare"),
        ("new --role approve --key QM.pub --as-of 2028-01-01", 1, "runs from 2025-01-01 to 2027-12-31"),
        ("new --role approve --key QM.pub --as-of 2026-03-30", 1, "before the day on which the evidence was judged"),
        ("new --role approve --key RE.pub --person QM --as-of 2026-04-02", 1, "the key is not one of QM"),
        ("new --role accept --key RE.pub --as-of 2026-04-02", 1, "an acceptance comes after an approval"),
        ("approved --role approve --key QM.pub --as-of 2026-04-03", 1, "QM has said the same"),
        ("approved --role accept --key RE.pub --as-of 2026-04-01", 1, "it is dated 2026-04-01"),
        (
            "rejected --role accept --key RE.pub --as-of 2026-04-03",
            1,
            "rejected by RE (RE of the tests) on 2026-04-02: gap",
        ),
        ("home/1 --role accept --key RE.pub --as-of 2026-04-03", 1, "replaced by revision 2"),
    ] {
        let (found, said) = says(dir.path(), &format!("sign {words}"));
        assert!(found == status && said.contains(why), "{words}: {found} {said}");
        assert!(crate::builder::load(dir.path()) == before, "{words}: something was written");
    }
    let (status, said) = says(dir.path(), "sign new --role prepare --key QM.pub --as-of 2026-04-02 --json");
    let doc: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    assert_eq!((status, &doc["signed"], &doc["reasons"][0]["code"]), (1, &false.into(), &"role".into()));
}

#[test]
fn signatures_tell_who_declared_what_and_why() {
    let dir = keys();
    let mut bag = small("1", None).files;
    sign(&mut bag, "QM", "approve", KEYS[0], |_| {});
    sign(&mut bag, "RE", "accept", KEYS[1], |s| (s.meaning, s.reason) = ("rejected".into(), Some("The gap.".into())));
    put(&dir.path().join("bag"), &bag);
    let (status, said) = says(dir.path(), "signatures bag");
    assert_eq!(status, 0, "{said}");
    for words in [
        "2026-04-02  approved by QM (QM of the tests), engineer, role approve: counts",
        "verdict leave, 2 conditions; signatures/01-approve-QM.json",
        &format!("digest {}", seal::verify(&bag, &[]).digest),
        "reason: The gap.",
        "the revision is rejected by RE (RE of the tests) on 2026-04-02: The gap.",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// What is signed by a copy counts in the whole, for the copy has the digest of the whole.
#[test]
fn an_acceptance_by_a_copy_counts_in_the_whole() {
    let mut whole = small("1", None).files;
    sign(&mut whole, "QM", "approve", KEYS[0], |_| {});
    let mut copy = seal::redact(&whole, "customer").expect("a copy").files;
    sign(&mut copy, "RE", "accept", KEYS[1], |_| {});
    let brought = copy.iter().filter(|f| f.0.starts_with("signatures/02-"));
    whole.extend(brought.map(|(p, b)| (p.clone(), b.clone())));
    let report = seal::verify(&whole, &[]);
    assert_eq!((report.problems.as_slice(), seal::standing(&report, &[]).word()), (&[][..], "issued"));
}
