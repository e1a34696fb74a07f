//! Takes one site on unlike machines: threads, order, folder, timezone, clock; shows that the bytes are the same.

use crate::builder::{self, Files};
use galipot::compose::Audience;
use galipot::diag::sha256_hex;
use galipot::pipeline::{self, Options};
use std::path::Path;
use std::process::Command;

fn example() -> Files {
    builder::load(Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen"))
}

/// Every file of every dossier of a site.
fn drafts(files: Files) -> Files {
    let a = pipeline::assess(files, &Options::default()).unwrap_or_else(|r| panic!("{:#?}", r.problems));
    let mut out = Vec::new();
    for id in a.assessment.assemblies.iter().map(|x| &x.id) {
        let bundle = pipeline::draft(&a, id, Audience::All).unwrap_or_else(|d| panic!("{d:#?}"));
        out.extend(bundle.files.into_iter().map(|(path, bytes)| (format!("{id}/{path}"), bytes)));
    }
    assert!(out.len() >= 3, "{} files", out.len());
    out
}

/// Names the first files that differ, instead of printing both.
fn same(a: &Files, b: &Files, what: &str) {
    let names = |f: &Files| f.iter().map(|x| x.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(a), names(b), "{what}");
    let differ: Vec<&str> = a.iter().zip(b).filter(|(x, y)| x.1 != y.1).map(|(x, _)| x.0.as_str()).collect();
    assert!(differ.is_empty(), "{what}: {differ:?} differ");
}

fn on_threads(n: usize, files: Files) -> Files {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("a pool of threads");
    pool.install(|| drafts(files))
}

#[test]
fn threads_and_order_of_files_do_not_matter() {
    let files = example();
    let one = on_threads(1, files.clone());
    same(&one, &on_threads(3, files.clone()), "three threads");
    let mut backwards = files.clone();
    backwards.reverse();
    same(&one, &on_threads(2, backwards), "files in reverse order");
    let mut mixed = files;
    mixed.sort_by_key(|f| sha256_hex(f.0.as_bytes()));
    same(&one, &drafts(mixed), "files in no order");
}

/// The same comparison must see a change of one digit of one reading.
#[test]
fn a_changed_reading_changes_the_bytes() {
    let base = drafts(builder::base());
    let mut files = builder::base();
    builder::patch(&mut files, "runs/RUN-1/sir.csv", "96.0,B1,C1,4.0e10,ok", "96.0,B1,C1,4.1e10,ok");
    builder::stamp(&mut files, "RUN-1", "sir.csv");
    assert!(base != drafts(files), "a reading was changed and no byte of the dossier");
}

/// The whole site moved thirty years back: then a date of this century in a dossier can only come from a clock.
#[test]
fn no_clock_is_read() {
    let mut files = example();
    let mut digests = Vec::new();
    for (path, bytes) in files.iter_mut().filter(|f| !f.0.ends_with(".toml")) {
        let Ok(text) = std::str::from_utf8(bytes) else { continue };
        let old = earlier(text);
        if old != text && !path.ends_with(".md") {
            digests.push((sha256_hex(bytes), sha256_hex(old.as_bytes())));
        }
        *bytes = old.into_bytes();
    }
    for (_, bytes) in files.iter_mut().filter(|f| f.0.ends_with(".toml")) {
        let mut text = earlier(std::str::from_utf8(bytes).expect("text"));
        for (before, after) in &digests {
            text = text.replace(before, after);
        }
        *bytes = text.into_bytes();
    }
    for (path, bytes) in drafts(files) {
        let text = String::from_utf8(bytes).expect("every written form is text");
        let of_now = (2015..2060).find(|year| text.contains(&format!("{year}-")));
        assert_eq!(of_now, None, "{path} holds a date that is in none of the inputs");
        // A figure shows hours, not dates.
        assert!(path.ends_with(".svg") || text.contains("199"), "{path} holds no date of the site");
    }
}

/// 2026-03-31 becomes 1996-03-31.
fn earlier(text: &str) -> String {
    (2015..2060).fold(text.to_string(), |t, year| t.replace(&format!("{year}-"), &format!("{}-", year - 30)))
}

fn copy(files: &Files, to: &Path) {
    for (path, bytes) in files {
        let file = to.join(path);
        std::fs::create_dir_all(file.parent().expect("a folder")).expect("made");
        std::fs::write(file, bytes).expect("written");
    }
}

/// Drafts by the program itself, with nothing in the environment but `env`.
fn by_program(site: &Path, env: &[(&str, &str)]) -> Files {
    let out = site.parent().expect("a folder").join("out");
    let done = Command::new(env!("CARGO_BIN_EXE_galipot"))
        .args(["draft", "--site"])
        .arg(site)
        .arg("--out")
        .arg(&out)
        .env_clear()
        .envs(env.iter().copied())
        .output()
        .expect("galipot runs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    builder::load(out)
}

#[test]
fn folder_timezone_and_language_do_not_matter() {
    let room = tempfile::tempdir().expect("a folder");
    let (here, there) = (room.path().join("a/site"), room.path().join("b/longer name with spaces/site"));
    copy(&builder::base(), &here);
    copy(&builder::base(), &there);
    let plain = [("TZ", "UTC"), ("LC_ALL", "C"), ("RAYON_NUM_THREADS", "1")];
    let far = [("TZ", "Pacific/Kiritimati"), ("LC_ALL", "tr_TR.UTF-8"), ("RAYON_NUM_THREADS", "4"), ("COLUMNS", "30")];
    let first = by_program(&here, &plain);
    same(&first, &by_program(&there, &far), "another folder, timezone, language and number of threads");
    let room = room.path().to_string_lossy().into_owned();
    for (path, bytes) in &first {
        let text = String::from_utf8_lossy(bytes);
        for folder in [room.as_str(), env!("CARGO_MANIFEST_DIR")] {
            assert!(!text.contains(folder), "{path} names the folder {folder}");
        }
    }
}
