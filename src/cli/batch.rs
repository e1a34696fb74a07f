//! `galipot calc --batch`: the results of many cases, as JSON.

use std::path::{Component, Path};

use super::{Outcome, disk, terminal};
use crate::batch;

/// Largest file that is read, in bytes.
const MOST: u64 = 1 << 30;

/// Computes every case of a file; the files that it names lie beside it or below.
///
/// # Errors
/// In words, when the file cannot be read or holds no cases.
pub fn run(file: &Path) -> Result<Outcome, String> {
    let text = disk::read_file(file, MOST)?;
    let folder = file.parent().unwrap_or(Path::new("")).to_path_buf();
    let files = move |name: &str| inside(&folder, name);
    let (results, failed) = batch::run(&text, &files).map_err(|e| format!("{}: {e}", file.display()))?;
    terminal::json(&results);
    Ok(if failed == 0 { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// A file beside the cases; a name that leads out of their folder is refused.
fn inside(folder: &Path, name: &str) -> Result<Vec<u8>, String> {
    let path = Path::new(name);
    if !path.components().all(|c| matches!(c, Component::Normal(_) | Component::CurDir)) {
        return Err(format!("{name} leads out of the folder of the cases"));
    }
    let whole = folder.join(path);
    let real = |p: &Path| std::fs::canonicalize(p).map_err(|e| format!("{name}: {e}"));
    let home = real(if folder.as_os_str().is_empty() { Path::new(".") } else { folder })?;
    if !real(&whole)?.starts_with(home) {
        return Err(format!("{name} leads out of the folder of the cases"));
    }
    disk::read_file(&whole, MOST)
}
