//! The PDF: what happens without typst, with another program of that name, with one that fails, and with one that works.
#![cfg(unix)]

use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Runs galipot with nothing in its environment but the name of the program that makes PDFs.
fn galipot(folder: &Path, typst: Option<&Path>, args: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_galipot"));
    command.args(args).current_dir(folder).env_clear();
    if let Some(path) = typst {
        command.env("GALIPOT_TYPST", path);
    }
    let Output { status, stdout, stderr } = command.output().expect("it runs");
    let text = |b: Vec<u8>| String::from_utf8(b).expect("UTF-8");
    (status.code().expect("a status"), text(stdout), text(stderr))
}

/// A program that answers as typst does and does `work` when asked to compile.
fn stand_in(folder: &Path, version: &str, work: &str) -> PathBuf {
    let path = folder.join("stand-in");
    let script = format!("#!/bin/sh\nif [ \"$1\" = --version ]; then echo '{version}'; exit 0; fi\n{work}\n");
    std::fs::write(&path, script).expect("written");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o755)).expect("it may run");
    path
}

fn site() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    assert_eq!(galipot(dir.path(), None, &["new", "site"]).0, 0);
    dir
}

#[test]
fn a_pdf_without_typst_is_refused_and_nothing_is_written() {
    let dir = site();
    let site = dir.path().join("site");
    let (status, _, err) = galipot(&site, None, &["draft", "--pdf"]);
    assert!(status == 2 && err.contains("cargo install typst-cli --locked") && err.contains("GALIPOT_TYPST"), "{err}");
    let other = stand_in(dir.path(), "something else 1", "exit 0");
    let (status, _, err) = galipot(&site, Some(&other), &["draft", "--pdf"]);
    assert!(status == 2 && err.contains("is not typst"), "{err}");
    let (status, _, err) = galipot(&site, Some(Path::new("/nowhere/typst")), &["draft", "--pdf"]);
    assert!(status == 2 && err.contains("does not run"), "{err}");
    let broken = stand_in(dir.path(), "typst 0.15.1 (x)", "echo 'dossier.typ:7:1: error: no page' >&2; exit 1");
    let (status, _, err) = galipot(&site, Some(&broken), &["draft", "--pdf"]);
    assert!(status == 2 && err.contains("error: no page") && err.contains("LP-40"), "{err}");
    let silent = stand_in(dir.path(), "typst 0.15.1 (x)", "exit 0");
    assert_eq!(galipot(&site, Some(&silent), &["draft", "--pdf"]).0, 2, "a success without a file is none");
    assert!(!site.join("drafts").exists());
    assert_eq!(galipot(&site, None, &["draft"]).0, 0);
    assert!(site.join("drafts/LP-40/dossier.typ").exists() && !site.join("drafts/LP-40/dossier.pdf").exists());
}

/// What typst is given: the source and its pictures, a day, no environment, nothing of the system.
#[test]
fn typst_sees_the_source_and_nothing_else() {
    let dir = site();
    let site = dir.path().join("site");
    let work = "for last; do :; done\n(printf '%s\\n' \"$@\"; pwd; /usr/bin/env; cd in && ls -R) > \"$last\"";
    let program = stand_in(dir.path(), "typst 0.15.1 (x)", work);
    let (status, _, err) = galipot(&site, Some(&program), &["draft", "--pdf", "--as-of", "1970-01-03"]);
    assert_eq!(status, 0, "{err}");
    let pdf = std::fs::read_to_string(site.join("drafts/LP-40/dossier.pdf")).expect("text");
    for wanted in
        ["compile", "--ignore-system-fonts", "a-2a,ua-1", "--creation-timestamp=172800", "--root", "--package-path"]
    {
        assert!(pdf.lines().any(|l| l == wanted), "{wanted} in {pdf}");
    }
    assert!(pdf.contains("\ndossier.typ\n") && !pdf.contains("record.json") && !pdf.contains("dossier.html"), "{pdf}");
    assert!(!pdf.contains("GALIPOT_TYPST=") && !pdf.contains("HOME="), "{pdf}");
    // The private folder is gone, and the draft may be replaced.
    let room = pdf.lines().find(|l| l.ends_with("dossier.pdf")).expect("a path");
    assert!(!Path::new(room).exists() && !Path::new(room).parent().expect("a folder").exists());
    assert_eq!(galipot(&site, Some(&program), &["draft", "--pdf"]).0, 0);
    assert_eq!(galipot(&site, None, &["draft"]).0, 0);
    assert!(!site.join("drafts/LP-40/dossier.pdf").exists(), "an old PDF does not stay beside a new dossier");
}
