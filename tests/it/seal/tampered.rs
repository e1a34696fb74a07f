//! One folder per kind of defect in tests/cases/tampered: what `verify` says of each, and frozen bags that verify for ever.

use super::*;
use std::path::Path;

fn bag(folder: &Path) -> Files {
    crate::builder::load(folder).into_iter().collect()
}

/// The defects, each made from the good bag: name, code, change.
fn defects() -> Vec<(&'static str, &'static str, Files)> {
    let good = signed();
    let with = |change: &dyn Fn(&mut Files)| {
        let mut b = good.clone();
        change(&mut b);
        b
    };
    let text = |b: &Files, p: &str| String::from_utf8(b[p].clone()).expect("text");
    let manifest = "manifest-sha256.txt";
    vec![
        ("altered-payload", "altered", with(&|b| drop(b.insert("data/dossier.md".into(), b"fine\n".to_vec())))),
        ("altered-tag-file", "altered", with(&|b| b.get_mut("bag-info.txt").expect("it").extend(b"Note: changed\n"))),
        ("missing-payload", "missing", with(&|b| drop(b.remove("data/record.json")))),
        ("missing-manifest", "missing", with(&|b| drop(b.remove(manifest)))),
        ("extra-payload", "unlisted", with(&|b| drop(b.insert("data/extra.txt".into(), b"x".to_vec())))),
        ("extra-tag-file", "unlisted", with(&|b| drop(b.insert("notes.txt".into(), b"x".to_vec())))),
        (
            "path-leaves-bag",
            "bad-path",
            with(&|b| {
                let line = format!("{}  ../outside.txt\n", "0".repeat(64));
                b.insert(manifest.into(), (text(&good, manifest) + &line).into_bytes());
            }),
        ),
        (
            "line-twice",
            "bad-line",
            with(&|b| {
                let first = text(&good, manifest).lines().next().expect("a line").to_string();
                b.insert(manifest.into(), format!("{}{first}\n", text(&good, manifest)).into_bytes());
            }),
        ),
        (
            "other-declaration",
            "declaration",
            with(&|b| {
                b.insert("bagit.txt".into(), b"BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n".to_vec());
            }),
        ),
        ("case-differs", "bad-path", with(&|b| drop(b.insert("data/Dossier.md".into(), b"x".to_vec())))),
        (
            "form-is-not-its-sections",
            "form",
            with(&|b| {
                b.insert("data/dossier.html".into(), b"<p>all is well</p>".to_vec());
                super::copies::reseal(b);
            }),
        ),
        (
            "information-contradicts",
            "information",
            with(&|b| {
                let changed = text(&good, "bag-info.txt").replace("Bagging-Date: 2026", "Bagging-Date: 2025");
                b.insert("bag-info.txt".into(), changed.into_bytes());
                super::copies::reseal(b);
            }),
        ),
        ("verdict-contradicts", "information", with(&|b| also_says(b, "Galipot-Verdict: wash-saponified"))),
        ("conditions-contradict", "information", with(&|b| also_says(b, "Galipot-Conditions: 0"))),
        (
            "part-of-record-altered",
            "form",
            with(&|b| {
                let part = "data/record/001-route.part";
                b.insert(part.into(), text(&good, part).replace("leave", "keep-present").into_bytes());
                super::copies::reseal(b);
            }),
        ),
        (
            "people-edited",
            "altered",
            with(&|b| {
                b.insert(
                    "data/people.json".into(),
                    text(&good, "data/people.json").replace("2027", "2037").into_bytes(),
                );
            }),
        ),
        (
            "statement-edited",
            "approval",
            with(&|b| {
                let file = "signatures/01-approve-QM.json";
                b.insert(file.into(), text(&good, file).replace("2026-04-02", "2026-04-03").into_bytes());
            }),
        ),
        (
            "signature-transplanted",
            "approval",
            with(&|b| {
                b.insert("signatures/01-approve-QM.json.sig".into(), good["signatures/02-accept-RE.json.sig"].clone());
            }),
        ),
        (
            "keys-of-others",
            "people",
            with(&|b| {
                let keys = text(&good, "data/allowed_signers").replace("QM ", "RE ");
                b.insert("data/allowed_signers".into(), keys.into_bytes());
                super::copies::reseal(b);
            }),
        ),
        (
            "extra-tag-file-sealed",
            "unlisted",
            with(&|b| {
                b.insert("notes.txt".into(), b"x".to_vec());
                super::copies::reseal(b);
            }),
        ),
        ("readme-rewritten", "information", with(&|b| rewritten(b, "README.txt", "sha256sum -c", "trust"))),
        ("assembly-contradicts", "information", with(&|b| rewritten(b, "bag-info.txt", "Assembly: A", "Assembly: B"))),
        ("signature-without-statement", "unlisted", with(&|b| drop(b.remove("signatures/02-accept-RE.json")))),
    ]
}

/// The defects of a copy, each sealed anew by somebody who can write manifests.
fn defects_of_copies() -> Vec<(&'static str, &'static str, Files)> {
    let good = seal::redact(&signed(), "customer").expect("a copy").files;
    let with = |change: &dyn Fn(&mut Files)| {
        let mut b = good.clone();
        change(&mut b);
        super::copies::reseal(&mut b);
        b
    };
    let info = |from: &str, to: &str| with(&|b| rewritten(b, "bag-info.txt", from, to));
    vec![
        ("copy-of-another-revision", "information", info("Galipot-Revision: 1", "Galipot-Revision: 2")),
        ("copy-of-another-document", "information", info("External-Identifier: D-1", "External-Identifier: D-2")),
        ("copy-of-another-house", "information", info("The house", "Another house")),
        ("copy-of-another-day", "information", info("Bagging-Date: 2026", "Bagging-Date: 2027")),
        ("copy-states-a-verdict", "information", with(&|b| also_says(b, "Galipot-Verdict: leave"))),
        ("copy-readme-rewritten", "information", with(&|b| rewritten(b, "README.txt", "is withheld", "is lost"))),
        ("copy-extra-tag-file", "unlisted", with(&|b| drop(b.insert("extra.txt".into(), b"x".to_vec())))),
        ("copy-extra-in-whole", "unlisted", with(&|b| drop(b.insert("whole/extra.txt".into(), b"x".to_vec())))),
    ]
}

/// Other words in a file, sealed anew.
fn rewritten(bag: &mut Files, path: &str, from: &str, to: &str) {
    let text = String::from_utf8(bag[path].clone()).expect("text");
    assert!(text.contains(from), "{path} holds {from}");
    bag.insert(path.into(), text.replacen(from, to, 1).into_bytes());
    super::copies::reseal(bag);
}

/// A line more in the information, sealed anew.
fn also_says(bag: &mut Files, line: &str) {
    bag.get_mut("bag-info.txt").expect("it").extend(format!("{line}\n").bytes());
    super::copies::reseal(bag);
}

/// A bag of an earlier format states verdict and number of conditions beside the record.
#[test]
fn a_bag_of_an_earlier_format_agrees_with_its_record() {
    let first = |lines: &str| {
        let mut b = small("1", None).files;
        b.retain(|p, _| !p.starts_with("data/record/"));
        let info = String::from_utf8(b["bag-info.txt"].clone()).expect("text").replace("bag/4", "bag/2") + lines;
        b.insert("bag-info.txt".into(), info.into_bytes());
        let listed = String::from_utf8(b["audiences.txt"].clone()).expect("text");
        let kept: String = listed.lines().filter(|l| !l.contains("data/record/")).map(|l| format!("{l}\n")).collect();
        b.insert("audiences.txt".into(), kept.into_bytes());
        super::copies::reseal(&mut b);
        seal::verify(&b, &[])
    };
    let good = first("Galipot-Verdict: leave\nGalipot-Conditions: 2\n");
    assert_eq!((good.problems.as_slice(), good.conditions), (&[][..], 2));
    for (lines, why) in [
        ("Galipot-Verdict: leave\nGalipot-Conditions: 0\n", "number of conditions is 0, and 2"),
        ("Galipot-Verdict: leave\nGalipot-Conditions: many\n", "no number"),
        ("Galipot-Verdict: wash-saponified\nGalipot-Conditions: 2\n", "verdict is wash-saponified, and leave"),
        ("", "Galipot-Verdict is missing"),
    ] {
        let r = first(lines);
        assert!(r.problems.iter().any(|p| p.code == "information" && p.text.contains(why)), "{why}: {:?}", r.problems);
    }
}

#[test]
fn every_kind_of_defect_has_its_folder_and_its_code() {
    let root = crate::builder::tests("cases/tampered");
    let write = std::env::var_os("GALIPOT_WRITE_DOCS").is_some();
    let defects: Vec<_> = defects().into_iter().chain(defects_of_copies()).collect();
    for (name, code, files) in &defects {
        let folder = root.join(name);
        if write {
            let _ = std::fs::remove_dir_all(&folder);
            for (path, bytes) in files {
                let to = folder.join(path);
                std::fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
                std::fs::write(to, bytes).expect("written");
            }
        }
        assert!(bag(&folder) == *files, "{name}: GALIPOT_WRITE_DOCS=1 writes the folders anew");
        assert!(codes(files).contains(code), "{name}: {:?}", codes(files));
    }
    let mut there: Vec<String> = std::fs::read_dir(&root)
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    there.sort();
    let mut wanted: Vec<&str> = defects.iter().map(|d| d.0).collect();
    wanted.sort_unstable();
    assert_eq!(there, wanted);
}

/// Somebody who can write manifests leaves out what the bag is about: BagIt alone finds nothing, and there is no approval.
#[test]
fn a_bag_sealed_anew_without_what_it_is_about_is_not_intact() {
    let good = small("1", None).files;
    let without = |gone: &dyn Fn(&str) -> bool| {
        let mut files = good.clone();
        files.retain(|p, _| !gone(p));
        let listed = String::from_utf8(files["audiences.txt"].clone()).expect("text");
        let kept: String = listed
            .lines()
            .filter(|l| !l.split_once("  ").is_some_and(|l| gone(l.1)))
            .map(|l| format!("{l}\n"))
            .collect();
        files.insert("audiences.txt".into(), kept.into_bytes());
        super::copies::reseal(&mut files);
        codes(&files)
    };
    assert_eq!(without(&|_| false), Vec::<&str>::new());
    assert_eq!(without(&|p| p == "data/dossier.html"), ["form"]);
    assert_eq!(without(&|p| p == "data/dossier.md"), ["form"]);
    assert_eq!(without(&|p| p == "data/dossier.typ"), ["form"]);
    assert_eq!(without(&|p| p == "data/dossier.pdf"), ["information"]);
    assert_eq!(without(&|p| p.starts_with("data/sections/")), ["form"]);
    assert_eq!(without(&|p| p == "data/record.json"), ["form", "information"]);
    assert_eq!(without(&|p| p.starts_with("data/record/")), ["form"]);
    assert_eq!(without(&|p| p.starts_with("data/record")), ["form", "information"]);
    assert_eq!(without(&|p| p.starts_with("data/inputs/runs/")), ["information"]);
    // The README names one of the people.
    assert_eq!(without(&|p| p == "data/people.json"), ["information", "people"]);
    assert!(without(&|p| p.starts_with("data/")).contains(&"form"));
}

/// Bags of released formats stay as they are and verify for ever; nothing writes them anew.
#[test]
fn frozen_bags_verify() {
    let root = crate::builder::tests("cases/seals");
    let mut seen = 0;
    for entry in std::fs::read_dir(&root).expect("frozen bags") {
        let folder = entry.expect("an entry").path();
        let report = seal::verify(&bag(&folder), &[]);
        assert_eq!(report.problems, [], "{}", folder.display());
        assert!(!report.approvals.is_empty() || report.approvals_withheld);
        assert!(report.approvals.iter().all(seal::Approval::binds));
        seen += 1;
    }
    assert!(seen >= 1);
    for format in ["1", "2", "3", "4"] {
        let of = |kind: &str| seal::verify(&bag(&root.join(format!("{kind}-{format}"))), &[]);
        assert_eq!(of("bag").digest, of("copy").digest, "the copy verifies against the digest of the whole");
        assert_eq!(of("copy").format, format!("galipot.bag/{format}"));
        let copy = seal::redact(&bag(&root.join(format!("bag-{format}"))), "lab").expect("a copy");
        assert_eq!(seal::verify(&copy.files, &[]).problems, [], "copies of old bags verify too");
    }
}

/// A bag of the BagIt library of the reference set, of an older version of BagIt and without what galipot asks for
/// besides: each damage that the library finds is found on top of that.
#[test]
fn the_bag_of_another_library_and_its_damages() {
    let good: Files = bag(&crate::builder::tests("reference/t14_bag"));
    let problems = |b: &Files| seal::verify(b, &[]).problems;
    let before = problems(&good);
    assert!(!before.iter().any(|p| p.file.starts_with("data/") && ["altered", "missing"].contains(&p.code)));
    let damaged = |code: &str, file: &str, change: &dyn Fn(&mut Files)| {
        let mut b = good.clone();
        change(&mut b);
        let fresh: Vec<_> = problems(&b).into_iter().filter(|p| !before.contains(p)).collect();
        assert!(fresh.iter().any(|p| p.code == code && p.file == file), "{code} {file}: {fresh:#?}");
    };
    damaged("altered", "data/bin/all_bytes.bin", &|b| b.get_mut("data/bin/all_bytes.bin").expect("it")[0] ^= 1);
    damaged("unlisted", "data/extra.txt", &|b| drop(b.insert("data/extra.txt".into(), b"x".to_vec())));
    let accented = "data/reports/r\u{e9}sum\u{e9}.txt";
    damaged("missing", accented, &|b| drop(b.remove(accented)));
}
