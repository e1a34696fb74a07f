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
    /// Folders without a file. No bytes are missing in them, so they are no damage.
    pub empty: Vec<String>,
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
    if !is_one(folder) {
        return Err(none_here(folder));
    }
    let mut out = Folder::default();
    let mut left = MOST;
    walk(folder, "", &mut out, &mut left)?;
    Ok(out)
}

/// Whether a folder is a bag, be it a damaged one: it has one of the files that only bags have.
fn is_one(folder: &Path) -> bool {
    let own = ["bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt"];
    own.iter().any(|n| fs::symlink_metadata(folder.join(n)).is_ok())
}

/// What to say of a folder that is no bag: where the bags are.
fn none_here(folder: &Path) -> String {
    let below = below(folder);
    let whole = folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
    let around = whole.ancestors().skip(1).find(|p| is_one(p));
    let where_then = match (below.as_slice(), around) {
        ([], Some(bag)) => format!("; it lies in the bag {}", bag.display()),
        ([], None) => "; name the folder that holds bagit.txt".to_string(),
        (some, _) => {
            let more = if some.len() > 10 { format!(" and {} more", some.len() - 10) } else { String::new() };
            let named: Vec<String> = some.iter().take(10).map(|p| p.display().to_string()).collect();
            format!("; below it are bags: {}{more}", named.join(", "))
        }
    };
    format!("{}: no bag here{where_then}", folder.display())
}

/// Bags below a folder, but for those inside of bags.
fn below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    search(folder, 3, &mut found);
    found.sort();
    found
}

fn search(folder: &Path, depth: u8, out: &mut Vec<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for e in entries.flatten().filter(|e| e.file_type().is_ok_and(|t| t.is_dir())) {
        if e.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        let path = e.path();
        if is_one(&path) {
            out.push(path);
        } else if depth > 0 {
            search(&path, depth - 1, out);
        }
    }
}

/// Bags of some documents in the folders beside others, whatever their names: those with other names are looked into,
/// but only a `bag-info.txt` that names the document makes one a bag to be read.
pub fn siblings(parent: &Path, documents: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    search(parent, 0, &mut found);
    found.sort();
    let named = |p: &PathBuf| {
        ["bag-info.txt", "whole/bag-info.txt"].iter().any(|n| {
            let text = disk::read_file(&p.join(n), disk::LARGEST).unwrap_or_default();
            let text = String::from_utf8_lossy(&text).into_owned();
            text.lines().filter_map(|l| l.strip_prefix("External-Identifier: ")).any(|d| documents.contains(&d))
        })
    };
    found.into_iter().filter(named).collect()
}

/// Refuses a folder to write into that lies in a bag or among issued revisions, which nothing changes.
///
/// # Errors
/// In words, what would be damaged.
pub fn outside(out: &Path) -> Result<(), String> {
    let here = std::env::current_dir().unwrap_or_default().join(out);
    // What is there is resolved, so that no link and no `..` leads in; the rest of the path does not exist yet.
    let there = here.ancestors().find_map(|p| Some((p.canonicalize().ok()?, here.strip_prefix(p).ok()?)));
    let (real, rest) = there.unwrap_or_else(|| (here.clone(), Path::new("")));
    if rest.components().any(|c| c == std::path::Component::ParentDir) {
        return Err(format!("{}: the path goes up out of a folder that does not exist", out.display()));
    }
    let target = real.join(rest);
    for p in target.ancestors() {
        if is_one(p) {
            return Err(format!(
                "{} lies in the bag {}, which is never changed; write elsewhere",
                out.display(),
                p.display()
            ));
        }
        let site = p.parent().is_some_and(|s| s.join("galipot.toml").is_file());
        if p.file_name().is_some_and(|n| n == "issued") && (site || !below(p).is_empty()) {
            return Err(format!(
                "{} lies among the issued revisions of {}, where only `galipot issue` writes; write elsewhere",
                out.display(),
                p.display()
            ));
        }
    }
    Ok(())
}

fn walk(folder: &Path, inside: &str, out: &mut Folder, left: &mut u64) -> Result<(), String> {
    let say = |e: std::io::Error| format!("{}: {e}", folder.display());
    let mut entries: Vec<_> = fs::read_dir(folder).map_err(say)?.collect::<Result<_, _>>().map_err(say)?;
    entries.sort_by_key(fs::DirEntry::file_name);
    if entries.is_empty() && !inside.is_empty() {
        out.empty.push(inside.trim_end_matches('/').into());
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
