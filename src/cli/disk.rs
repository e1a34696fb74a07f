//! Takes a folder; gives its files in memory, and writes whole folders so that nothing is ever half written.

use crate::diag::{Diagnostic, codes};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Largest file that is read, in bytes.
pub const LARGEST: u64 = 256 * 1024 * 1024;

/// Folders at the root of a site that hold what galipot and builders write.
const SKIPPED: &[&str] = &["target", "drafts", "issued"];

/// Files of a site as they lie on disk.
#[derive(Debug, Default)]
pub struct Loaded {
    /// Path inside the site with forward slashes, bytes; sorted by path.
    pub files: Vec<(String, Vec<u8>)>,
    /// Links and names that galipot does not follow or cannot cite.
    pub problems: Vec<Diagnostic>,
}

/// Finds the folder of the site by walking up from `from` to a `galipot.toml`.
pub fn find_site(from: &Path) -> Option<PathBuf> {
    from.ancestors().find(|p| p.join("galipot.toml").is_file()).map(Path::to_path_buf)
}

/// Reads a folder. Links are reported and never followed; hidden files, `target`, `drafts` and `issued` are skipped.
///
/// # Errors
/// When the system refuses to read, or a file is larger than [`LARGEST`]. The text names the path.
pub fn load(site: &Path) -> io::Result<Loaded> {
    let mut out = Loaded::default();
    walk(site, "", &mut out)?;
    out.files.sort_by(|a, b| a.0.cmp(&b.0));
    out.problems.sort_by(|a, b| a.headline.cmp(&b.headline));
    Ok(out)
}

/// Reads one ordinary file.
///
/// # Errors
/// In words, when it is none, is larger than `most` bytes, or the system refuses.
pub fn read_file(path: &Path, most: u64) -> Result<Vec<u8>, String> {
    let say = |e: io::Error| named(&e, path).to_string();
    let about = fs::metadata(path).map_err(say)?;
    if !about.is_file() || about.len() > most {
        return Err(format!("{} is no ordinary file of up to {most} bytes", path.display()));
    }
    fs::read(path).map_err(say)
}

fn walk(folder: &Path, inside: &str, out: &mut Loaded) -> io::Result<()> {
    let mut entries =
        fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<_>>>).map_err(|e| named(&e, folder))?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        let name = entry.file_name();
        let Some(name) = name.to_str() else {
            out.problems.push(refused(&path, "its name is not UTF-8", "rename it with plain letters"));
            continue;
        };
        if name.starts_with('.') || (inside.is_empty() && SKIPPED.contains(&name)) {
            continue;
        }
        let key = format!("{inside}{name}");
        let kind = entry.file_type().map_err(|e| named(&e, &path))?;
        if kind.is_symlink() {
            out.problems.push(refused(&path, "it is a link", "put the file itself into the site"));
        } else if name.contains(['\\', ':']) || name.chars().any(char::is_control) {
            out.problems.push(refused(
                &path,
                "its name has a backslash, a colon or a control character",
                "rename it with plain letters, so that every system reads it alike",
            ));
        } else if kind.is_dir() {
            walk(&path, &format!("{key}/"), out)?;
        } else if kind.is_file() {
            let size = entry.metadata().map_err(|e| named(&e, &path))?.len();
            if size > LARGEST {
                let text = format!("{}: {size} bytes, and galipot reads files up to {LARGEST}", path.display());
                return Err(io::Error::new(io::ErrorKind::FileTooLarge, text));
            }
            out.files.push((key, fs::read(&path).map_err(|e| named(&e, &path))?));
        } else {
            out.problems.push(refused(&path, "it is no ordinary file", "remove it from the site"));
        }
    }
    Ok(())
}

fn refused(path: &Path, why: &str, hint: &str) -> Diagnostic {
    Diagnostic::error(codes::BAD_PATH, format!("{} cannot be read: {why}", path.display()), hint)
}

fn named(e: &io::Error, path: &Path) -> io::Error {
    io::Error::new(e.kind(), format!("{}: {e}", path.display()))
}

/// What to do when the folder to be written exists.
#[derive(Clone, Copy)]
pub enum Existing<'a> {
    /// An issued folder is never changed.
    Refuse,
    /// Replace it, unless it holds a file that galipot does not write; the function tells those that it does.
    Replace(&'a dyn Fn(&str) -> bool),
}

/// Writes a folder whole: beside its target first, then by renaming. On an error nothing is left behind.
///
/// # Errors
/// When the target exists and must not be replaced, when a path leaves the folder, or when the system refuses.
pub fn write_folder(target: &Path, files: &[(String, Vec<u8>)], existing: Existing<'_>) -> io::Result<()> {
    let exists = fs::symlink_metadata(target).is_ok();
    match existing {
        Existing::Refuse if exists => {
            let text = format!("{}: exists, and is never changed", target.display());
            return Err(io::Error::new(io::ErrorKind::AlreadyExists, text));
        }
        Existing::Replace(ours) if exists => strangers(target, "", ours)?,
        _ => {}
    }
    let parent = target.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = target.file_name().and_then(|n| n.to_str()).ok_or_else(|| bad(target, "is no name of a folder"))?;
    fs::create_dir_all(parent).map_err(|e| named(&e, parent))?;
    let fresh = parent.join(format!(".{name}.{}.new", std::process::id()));
    let old = parent.join(format!(".{name}.{}.old", std::process::id()));
    let written = fill(&fresh, files).and_then(|()| {
        if exists {
            fs::rename(target, &old).map_err(|e| named(&e, target))?;
        }
        fs::rename(&fresh, target).map_err(|e| {
            if exists {
                let _ = fs::rename(&old, target);
            }
            named(&e, target)
        })
    });
    if written.is_err() {
        let _ = fs::remove_dir_all(&fresh);
    } else if exists {
        fs::remove_dir_all(&old).map_err(|e| named(&e, &old))?;
    }
    written
}

/// Writes one file whole: beside its target first, then by renaming.
///
/// # Errors
/// When the system refuses.
pub fn write_file(target: &Path, bytes: &[u8]) -> io::Result<()> {
    let parent = target.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = target.file_name().and_then(|n| n.to_str()).ok_or_else(|| bad(target, "is no name of a file"))?;
    fs::create_dir_all(parent).map_err(|e| named(&e, parent))?;
    let fresh = parent.join(format!(".{name}.{}.new", std::process::id()));
    let written = put(&fresh, bytes).and_then(|()| fs::rename(&fresh, target).map_err(|e| named(&e, target)));
    if written.is_err() {
        let _ = fs::remove_file(&fresh);
    }
    written
}

fn fill(folder: &Path, files: &[(String, Vec<u8>)]) -> io::Result<()> {
    fs::create_dir(folder).map_err(|e| named(&e, folder))?;
    for (path, bytes) in files {
        if path.split('/').any(|s| s.is_empty() || s == "." || s == "..") || path.contains(['\\', ':']) {
            return Err(bad(Path::new(path), "leaves the folder"));
        }
        let file = folder.join(path);
        if let Some(parent) = file.parent() {
            fs::create_dir_all(parent).map_err(|e| named(&e, parent))?;
        }
        put(&file, bytes)?;
    }
    Ok(())
}

fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = fs::File::create_new(path).map_err(|e| named(&e, path))?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(|e| named(&e, path))
}

fn bad(path: &Path, why: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidInput, format!("{} {why}", path.display()))
}

/// Refuses a folder with a file that galipot does not write, so that nobody's own work is replaced.
fn strangers(folder: &Path, inside: &str, ours: &dyn Fn(&str) -> bool) -> io::Result<()> {
    for entry in fs::read_dir(folder).map_err(|e| named(&e, folder))? {
        let entry = entry.map_err(|e| named(&e, folder))?;
        let key = format!("{inside}{}", entry.file_name().to_string_lossy());
        let kind = entry.file_type().map_err(|e| named(&e, &entry.path()))?;
        if kind.is_dir() {
            strangers(&entry.path(), &format!("{key}/"), ours)?;
        } else if !kind.is_file() || !ours(&key) {
            let text =
                format!("{}: galipot did not write this file, so the folder is not replaced", entry.path().display());
            return Err(io::Error::new(io::ErrorKind::AlreadyExists, text));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(path: &str, body: &str) -> (String, Vec<u8>) {
        (path.to_string(), body.as_bytes().to_vec())
    }

    #[test]
    fn a_folder_is_read_sorted_and_without_links_hidden_files_and_output() {
        let dir = tempfile::tempdir().expect("a folder");
        let root = dir.path();
        for (p, b) in [("galipot.toml", "a"), ("people/z.toml", "z"), ("people/a.toml", "a"), ("drafts/x.md", "x")] {
            fs::create_dir_all(root.join(p).parent().expect("a parent")).expect("made");
            fs::write(root.join(p), b).expect("written");
        }
        fs::write(root.join(".hidden"), "h").expect("written");
        #[cfg(unix)]
        std::os::unix::fs::symlink(root.join("galipot.toml"), root.join("people/link.toml")).expect("linked");
        let got = load(root).expect("read");
        let names: Vec<&str> = got.files.iter().map(|f| f.0.as_str()).collect();
        assert_eq!(names, ["galipot.toml", "people/a.toml", "people/z.toml"]);
        #[cfg(unix)]
        assert!(got.problems[0].headline.ends_with("people/link.toml cannot be read: it is a link"));
        assert_eq!(find_site(&root.join("people")), Some(root.to_path_buf()));
    }

    #[test]
    fn a_folder_is_replaced_only_when_all_of_it_is_ours() {
        let dir = tempfile::tempdir().expect("a folder");
        let target = dir.path().join("out/AB-10");
        let ours = |p: &str| p.starts_with("dossier.") || p.starts_with("figures/");
        write_folder(&target, &[text("dossier.md", "1"), text("figures/a.svg", "s")], Existing::Refuse)
            .expect("written");
        let again = write_folder(&target, &[text("dossier.md", "2")], Existing::Refuse);
        assert_eq!(again.map_err(|e| e.kind()), Err(io::ErrorKind::AlreadyExists));
        write_folder(&target, &[text("dossier.md", "2")], Existing::Replace(&ours)).expect("replaced");
        assert!(!target.join("figures").exists());
        fs::write(target.join("mine.txt"), "m").expect("written");
        let refused = write_folder(&target, &[text("dossier.md", "3")], Existing::Replace(&ours));
        assert!(refused.expect_err("refused").to_string().contains("mine.txt"));
        assert_eq!(fs::read_to_string(target.join("dossier.md")).expect("read"), "2");
        let bad = write_folder(&dir.path().join("b"), &[text("a.md", "1"), text("../c.md", "2")], Existing::Refuse);
        assert!(bad.is_err());
        let left: Vec<_> = fs::read_dir(dir.path()).expect("read").map(|e| e.expect("entry").file_name()).collect();
        assert_eq!(left, ["out"]);
    }

    #[test]
    fn a_file_is_written_whole() {
        let dir = tempfile::tempdir().expect("a folder");
        let target = dir.path().join("a/plan.ics");
        write_file(&target, b"one").expect("written");
        write_file(&target, b"two").expect("written");
        assert_eq!(fs::read(&target).expect("read"), b"two");
        assert_eq!(fs::read_dir(dir.path().join("a")).expect("read").count(), 1);
    }
}
