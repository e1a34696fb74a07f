//! Takes payload and information; gives the files of a bag after RFC 8493, and reads its manifests back.

use std::collections::BTreeMap;

use super::paths::{decoded, encoded, stays};
use super::problem::{Problem, problem};
use crate::diag::sha256_hex;

/// Files by path inside the bag.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The declaration of RFC 8493, 2.1.1.
pub const DECLARATION: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";
pub const MANIFEST: &str = "manifest-sha256.txt";
pub const TAG_MANIFEST: &str = "tagmanifest-sha256.txt";
pub const INFO: &str = "bag-info.txt";

/// A bag in memory.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bag {
    pub files: Files,
    /// The content digest: SHA-256 of the tag manifest, in lower-case hexadecimal.
    pub digest: String,
}

/// A bag of payload (paths below `data/`, without it), lines of information, and further tag files.
pub fn write(payload: &Files, info: &[(&str, String)], tags: Files) -> Bag {
    let mut files = tags;
    let bytes: usize = payload.values().map(Vec::len).sum();
    let mut text = String::new();
    for (label, value) in info {
        text.push_str(&format!("{label}: {}\n", one_line(value)));
    }
    text.push_str(&format!("Payload-Oxum: {bytes}.{}\n", payload.len()));
    files.insert(INFO.into(), text.into_bytes());
    files.insert("bagit.txt".into(), DECLARATION.into());
    let data: Files = payload.iter().map(|(p, b)| (format!("data/{p}"), b.clone())).collect();
    files.insert(MANIFEST.into(), manifest(&data).into_bytes());
    let tag_manifest = manifest(&files);
    let digest = sha256_hex(tag_manifest.as_bytes());
    files.insert(TAG_MANIFEST.into(), tag_manifest.into_bytes());
    files.extend(data);
    Bag { files, digest }
}

/// One line per file in order of path: digest, two spaces, path.
fn manifest(files: &Files) -> String {
    files.iter().map(|(p, b)| format!("{}  {}\n", sha256_hex(b), encoded(p))).collect()
}

fn one_line(value: &str) -> String {
    value.split(char::is_whitespace).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Digests by path, as a manifest of a bag lists them. What cannot be read is a problem, and is left out.
pub fn read_manifest(name: &str, bytes: &[u8], problems: &mut Vec<Problem>) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let Ok(text) = std::str::from_utf8(bytes) else {
        problems.push(problem("bad-line", name, "it is not UTF-8"));
        return out;
    };
    if !text.is_empty() && !text.ends_with('\n') {
        problems.push(problem("bad-line", name, "its last line does not end"));
    }
    for (i, line) in text.split_terminator('\n').enumerate() {
        let mut say = |what: &str| problems.push(problem("bad-line", name, format!("line {}: {what}", i + 1)));
        let Some((digest, path)) = line.split_once("  ") else {
            say("no digest, two spaces and path");
            continue;
        };
        if digest.len() != 64 || !digest.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f')) {
            say("the digest is no SHA-256 in lower-case hexadecimal");
            continue;
        }
        let Some(path) = decoded(path) else {
            say("the path holds a percent sign that encodes nothing");
            continue;
        };
        if !stays(&path) {
            problems.push(problem("bad-path", name, format!("line {}: \"{}\"", i + 1, path.escape_debug())));
            continue;
        }
        if out.insert(path.clone(), digest.to_string()).is_some() {
            say(&format!("{path} stands twice"));
        }
    }
    out
}

/// Label and value of every line of `bag-info.txt`, in order.
pub fn read_info(bytes: &[u8], problems: &mut Vec<Problem>) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let Ok(text) = std::str::from_utf8(bytes) else {
        problems.push(problem("bad-line", INFO, "it is not UTF-8"));
        return out;
    };
    for (i, line) in text.split_terminator('\n').enumerate() {
        match line.split_once(": ") {
            Some((label, _)) if out.iter().any(|o| o.0 == label) => {
                problems.push(problem("bad-line", INFO, format!("line {}: {label} stands twice", i + 1)));
            }
            Some((label, value)) => out.push((label.to_string(), value.to_string())),
            None => problems.push(problem("bad-line", INFO, format!("line {}: no label and value", i + 1))),
        }
    }
    out
}
