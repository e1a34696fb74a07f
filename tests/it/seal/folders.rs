//! Bags and copies as folders: where nobody may write, what is no bag, chains through renamed folders, what a copy names.

use super::*;
use crate::commands::galipot;
use std::path::Path;

fn written(files: &Files, to: &Path) {
    for (path, bytes) in files {
        let to = to.join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
}

/// Every file below a folder with its bytes.
fn all(folder: &Path) -> Vec<(String, Vec<u8>)> {
    crate::builder::load(folder)
}

#[test]
fn nothing_is_written_into_a_bag_or_among_issued_revisions() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path().join("issued/D-1");
    written(&signed(), &home.join("1"));
    let before = all(dir.path());
    std::fs::create_dir(dir.path().join("elsewhere")).expect("made");
    for (out, why) in [
        ("issued/D-1/1/copy", "in the bag"),
        ("issued/D-1/1/signatures/a/b", "in the bag"),
        ("issued/D-1/1", "in the bag"),
        ("issued/D-1/2", "among the issued"),
        ("issued/copy", "among the issued"),
        ("elsewhere/../issued/D-1/copy", "among the issued"),
        ("nowhere/../issued/D-1/copy", "goes up"),
    ] {
        for args in [
            &["redact", "issued/D-1/1", "--audience", "lab", "--out", out][..],
            &["selftest", "--out", out],
            &["draft", "--out", out],
            &["compare", "issued/D-1/1", "issued/D-1/1", "--out", out],
            &["new", out],
        ] {
            let call = galipot(dir.path(), args);
            assert!(call.status == 2 && call.err.contains(why), "{args:?}: {}", call.err);
        }
        assert!(all(dir.path()) == before, "{out}");
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("issued/D-1", dir.path().join("link")).expect("linked");
        let call = galipot(dir.path(), &["redact", "link/1", "--audience", "lab", "--out", "link/copy"]);
        assert!(call.status == 2 && call.err.contains("among the issued"), "{}", call.err);
    }
    let call = galipot(dir.path(), &["redact", "issued/D-1/1", "--audience", "lab", "--out", "copy"]);
    assert!(call.status == 0 && call.out.contains("cannot read the inputs"), "{}{}", call.out, call.err);
    assert_eq!(galipot(dir.path(), &["verify", "issued/D-1/1", "copy"]).status, 0);
}

#[test]
fn a_folder_that_is_no_bag_is_told_apart_from_a_damaged_one() {
    let dir = tempfile::tempdir().expect("a folder");
    written(&signed(), &dir.path().join("issued/D-1/1"));
    std::fs::create_dir(dir.path().join("empty")).expect("made");
    for (folder, why) in [
        ("issued", "below it are bags: issued/D-1/1"),
        (".", "below it are bags: ./issued/D-1/1"),
        ("issued/D-1/1/data", "it lies in the bag"),
        ("empty", "name the folder that holds bagit.txt"),
    ] {
        for verb in ["verify", "signatures"] {
            let call = galipot(dir.path(), &[verb, folder]);
            assert!(call.status == 2 && call.out.is_empty(), "{folder}: {}", call.out);
            assert!(call.err.contains("no bag here") && call.err.contains(why), "{folder}: {}", call.err);
        }
    }
    std::fs::remove_file(dir.path().join("issued/D-1/1/bagit.txt")).expect("removed");
    let call = galipot(dir.path(), &["verify", "issued/D-1/1"]);
    assert!(call.status == 1 && call.out.contains("missing      bagit.txt"), "{}", call.out);
}

#[test]
fn what_is_not_of_the_bag_gets_advice() {
    let dir = tempfile::tempdir().expect("a folder");
    let bag = dir.path().join("bag");
    written(&small("1", None).files, &bag);
    std::fs::create_dir(bag.join("signatures")).expect("made");
    let call = galipot(dir.path(), &["verify", "bag"]);
    assert!(call.status == 0 && call.out.contains("INTACT"), "{}", call.out);
    assert!(call.out.contains("note: signatures is an empty folder") && call.out.contains("candidate"), "{}", call.out);
    std::fs::write(bag.join("data/.DS_Store"), "x").expect("written");
    let call = galipot(dir.path(), &["verify", "bag"]);
    assert!(
        call.status == 1
            && call.out.contains("data/.DS_Store: it was never sealed: it is not of the bag, and may be removed")
    );
}

#[test]
fn a_chain_says_where_it_breaks_and_what_to_do() {
    let dir = tempfile::tempdir().expect("a folder");
    let first = small("1", None);
    let mut second = small("2", Some(&first)).files;
    sign(&mut second, "QM", "approve", KEYS[0], |_| {});
    sign(&mut second, "RE", "accept", KEYS[1], |_| {});
    written(&second, &dir.path().join("here/2"));
    let verify = |args: &[&str]| galipot(dir.path(), &[&["verify"], args].concat());
    let call = verify(&["here/2"]);
    assert!(
        call.status == 0 && call.out.contains("chain missing-previous: revision 2 names revision 1"),
        "{}",
        call.out
    );
    assert!(call.out.contains("name it as another argument"), "{}", call.out);
    // Beside it under another name, and elsewhere as an argument.
    written(&first.files, &dir.path().join("here/1 old"));
    assert!(verify(&["here/2"]).out.contains("chain intact"));
    std::fs::rename(dir.path().join("here/1 old"), dir.path().join("away")).expect("moved");
    assert!(verify(&["here/2", "away"]).out.contains("chain intact"));
    // Another revision 1, and the right one damaged.
    let mut other = contents("1", None);
    other.inputs[0].bytes = b"another net\n".to_vec();
    let other = seal::bag(&other).expect("a bag");
    written(&other.files, &dir.path().join("here/1"));
    let call = verify(&["here/2"]);
    assert!(call.status == 1 && call.out.contains("chain broken: revision 2 names revision 1"), "{}", call.out);
    assert!(call.out.contains(&first.digest) && call.out.contains(&other.digest), "both digests: {}", call.out);
    assert!(call.out.contains("would be issued, but its chain is broken"), "{}", call.out);
    // Both revisions 1: the right one is found by its digest.
    assert!(verify(&["here/2", "away"]).out.contains("chain intact"));
    std::fs::remove_dir_all(dir.path().join("here/1")).expect("removed");
    std::fs::write(dir.path().join("away/data/dossier.md"), "x").expect("written");
    let call = verify(&["here/2", "away"]);
    assert!(call.out.contains("that bag is not intact: altered data/dossier.md"), "{}", call.out);
}

/// The example issued and copied: whoever sends the copy is told which lines name what is withheld.
#[test]
fn a_copy_is_not_sent_unread() {
    let dir = tempfile::tempdir().expect("a folder");
    written(&super::leaks::bag("OV-2230").files, &dir.path().join("bag"));
    let call = galipot(dir.path(), &["redact", "bag", "--audience", "lab", "--out", "lab"]);
    assert_eq!(call.status, 0, "{}", call.err);
    let listed = |w: &str| call.out.lines().any(|l| l.trim_start().starts_with(w));
    assert!(listed("runs/RUN-129/run.toml:26: names CO-4 (a condition, withheld)"), "{}", call.out);
    assert!(call.out.contains("read these before you send the copy"));
    assert!(call.out.lines().count() < 60, "nobody reads {} lines", call.out.lines().count());
    let call = galipot(dir.path(), &["verify", "--rebuild", "lab"]);
    assert!(call.status == 2 && call.out.is_empty() && call.err.contains("rebuild the whole bag"), "{}", call.err);
}
