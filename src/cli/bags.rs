//! Takes a folder; gives the bag in it in memory, with what is no ordinary file, and the revisions beside it.

use std::fs;
use std::path::{Path, PathBuf};

use super::disk;
use crate::pipeline::Before;
use crate::seal::{self, Files, Report};

/// Largest bag that is read, in bytes; what is larger is reported as no file.
const MOST: u64 = 4 << 30;

/// A bag as it lies on disk.
#[derive(Debug, Default)]
pub struct Folder {
    pub files: Files,
    /// Links, odd names and what else is no ordinary file: path, words.
    pub odd: Vec<(String, String)>,
}

impl Folder {
    /// Checks the bag.
    pub fn report(&self) -> Report {
        seal::verify(&self.files, &self.odd)
    }
}

/// Reads a bag. Links are noted and never followed.
///
/// # Errors
/// In words, when the folder cannot be read at all.
pub fn read(folder: &Path) -> Result<Folder, String> {
    let about = fs::symlink_metadata(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    if !about.is_dir() {
        return Err(format!("{} is no folder; name the folder of a bag", folder.display()));
    }
    let mut out = Folder::default();
    let mut left = MOST;
    walk(folder, "", &mut out, &mut left)?;
    if out.files.is_empty() && out.odd.is_empty() {
        return Err(format!("{} is empty; name the folder of a bag", folder.display()));
    }
    Ok(out)
}

fn walk(folder: &Path, inside: &str, out: &mut Folder, left: &mut u64) -> Result<(), String> {
    let say = |e: std::io::Error| format!("{}: {e}", folder.display());
    let mut entries: Vec<_> = fs::read_dir(folder).map_err(say)?.collect::<Result<_, _>>().map_err(say)?;
    entries.sort_by_key(fs::DirEntry::file_name);
    if entries.is_empty() && !inside.is_empty() {
        out.odd.push((inside.trim_end_matches('/').into(), "an empty folder".into()));
    }
    for entry in entries {
        let path = entry.path();
        let Some(name) = entry.file_name().to_str().map(str::to_string) else {
            out.odd.push((format!("{inside}{}", entry.file_name().to_string_lossy()), "its name is not UTF-8".into()));
            continue;
        };
        let key = format!("{inside}{name}");
        let about = fs::symlink_metadata(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        if about.is_symlink() {
            out.odd.push((key, "a link, which is not followed".into()));
        } else if about.is_dir() {
            walk(&path, &format!("{key}/"), out, left)?;
        } else if !about.is_file() {
            out.odd.push((key, "no ordinary file".into()));
        } else if about.len() > *left {
            out.odd.push((key, "too large: the bag exceeds 4 GiB".into()));
        } else {
            *left -= about.len();
            out.files.insert(key, fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))?);
        }
    }
    Ok(())
}

/// The record of a bag with the bag's content digest. Read alone, and held against the manifests that seal it.
///
/// # Errors
/// In words, when the bag has no record, or not the one that was sealed.
pub fn record(folder: &Path) -> Result<Before, String> {
    let read = |name: &str| {
        let path = folder.join(name);
        if path.is_symlink() {
            return Err(format!("{} is a link, which is not followed", path.display()));
        }
        disk::read_file(&path, disk::LARGEST)
    };
    let mut files = Files::new();
    for name in ["tagmanifest-sha256.txt", "manifest-sha256.txt", "data/record.json"] {
        files.insert(name.into(), read(name)?);
    }
    let whole = "whole/tagmanifest-sha256.txt";
    if folder.join(whole).exists() {
        files.insert(whole.into(), read(whole)?);
    }
    let (record, digest) = seal::record(&files).map_err(|e| format!("{}: {e}", folder.display()))?;
    // The approvals lie beside what is sealed, and need the table of people.
    let stood =
        if folder.join("signatures").exists() { Some(seal::stood(&self::read(folder)?.report())) } else { None };
    Ok(Before { record, digest: Some(digest), stood })
}

/// Reports of the other revisions that lie beside a bag.
pub fn beside(bag: &Path) -> Vec<Report> {
    let Ok(whole) = bag.canonicalize() else { return Vec::new() };
    let others = whole.parent().map(revisions).unwrap_or_default();
    let others = others.into_iter().filter(|o| o.1 != whole);
    others.filter_map(|o| read(&o.1).ok()).map(|b| b.report()).collect()
}

/// Folder of the issued revisions of a document; none when its number cannot name one, which is then never issued.
pub fn home(site: &Path, document: &str) -> Option<PathBuf> {
    let odd = document.is_empty() || document.starts_with('.') || document.contains(['/', '\\', ':']);
    (!odd && !document.chars().any(char::is_control)).then(|| site.join("issued").join(document))
}

/// Folders of the issued revisions of a document, by label; hidden ones are leftovers and none.
pub fn revisions(document: &Path) -> Vec<(String, PathBuf)> {
    let Ok(entries) = fs::read_dir(document) else { return Vec::new() };
    let named = |e: fs::DirEntry| Some((e.file_name().to_str()?.to_string(), e.path()));
    let mut all: Vec<_> =
        entries.flatten().filter_map(named).filter(|(n, p)| seal::checked(n).is_ok() && p.is_dir()).collect();
    all.sort_by(|a, b| (a.0.len(), &a.0).cmp(&(b.0.len(), &b.0)));
    all
}
