//! Takes a folder of the tests; gives its files in memory, patched as a test needs them, and what galipot makes of them.

use galipot::pipeline::{self, Assessed, Options, Refused};
use std::path::{Path, PathBuf};

/// Files of a site: path with forward slashes, bytes.
pub type Files = Vec<(String, Vec<u8>)>;

/// A folder below `tests/`.
pub fn tests(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(path)
}

/// All files of a folder, sorted by path.
pub fn load(dir: impl AsRef<Path>) -> Files {
    let dir = dir.as_ref();
    let mut out = Vec::new();
    let mut folders = vec![dir.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        for entry in entries {
            let path = entry.expect("a readable folder").path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let inside = path.strip_prefix(dir).expect("below the folder");
            let name: Vec<&str> = inside.iter().map(|p| p.to_str().expect("a plain name")).collect();
            out.push((name.join("/"), std::fs::read(&path).expect("a readable file")));
        }
    }
    out.sort();
    out
}

/// The smallest valid site: one assembly, one vehicle, one run.
pub fn base() -> Files {
    load(tests("cases/base"))
}

/// Replaces the whole text of a file, or adds it.
pub fn put(files: &mut Files, path: &str, bytes: impl Into<Vec<u8>>) {
    let bytes = bytes.into();
    match files.iter_mut().find(|f| f.0 == path) {
        Some(f) => f.1 = bytes,
        None => files.push((path.to_string(), bytes)),
    }
}

/// Replaces a text that stands exactly once in a file.
pub fn patch(files: &mut Files, path: &str, old: &str, new: &str) {
    let file = files.iter_mut().find(|f| f.0 == path).unwrap_or_else(|| panic!("no file {path}"));
    let text = String::from_utf8(file.1.clone()).expect("text");
    assert_eq!(text.matches(old).count(), 1, "\"{old}\" must stand once in {path}");
    file.1 = text.replacen(old, new, 1).into_bytes();
}

/// Removes a file.
pub fn remove(files: &mut Files, path: &str) {
    let before = files.len();
    files.retain(|f| f.0 != path);
    assert_eq!(files.len() + 1, before, "no file {path}");
}

/// Writes the digest of a run's file into its record, as the laboratory would after a change of the file.
pub fn stamp(files: &mut Files, run: &str, name: &str) {
    let bytes = &files.iter().find(|f| f.0 == format!("runs/{run}/{name}")).expect("the file").1;
    let digest = galipot::diag::sha256_hex(bytes);
    let record = files.iter_mut().find(|f| f.0 == format!("runs/{run}/run.toml")).expect("the record");
    let text = String::from_utf8(record.1.clone()).expect("text");
    let mut out: Vec<String> = text.lines().map(str::to_string).collect();
    let path = out.iter().position(|l| l == &format!("path = \"{name}\"")).expect("the entry");
    let line = (path..out.len()).find(|&i| out[i].starts_with("sha256")).expect("its digest");
    out[line] = format!("sha256 = \"{digest}\"");
    record.1 = (out.join("\n") + "\n").into_bytes();
}

/// Reads, computes and judges.
pub fn assess(files: Files) -> Result<Assessed, Refused> {
    pipeline::assess(files, &Options::default())
}
