//! Takes a folder; gives the turn to write in it to one galipot at a time, and clears away what killed ones left there.

use std::fs::{self, File, TryLockError};
use std::path::Path;

use super::terminal;

/// The turn, until it is dropped or the program dies: the system then gives it back.
pub struct Turn(Option<File>);

/// Waits until no other galipot writes in this folder. Where the system knows no locks on folders, nobody waits, nothing
/// is cleared away, and of two that write the same revision the second finds it there.
pub fn take(folder: &Path) -> Turn {
    let Ok(file) = File::open(folder) else { return Turn(None) };
    match file.try_lock() {
        Ok(()) => Turn(Some(file)),
        Err(TryLockError::WouldBlock) => {
            terminal::progress("waiting: another galipot is writing here");
            let held = file.lock().is_ok();
            terminal::progress_end();
            Turn(held.then_some(file))
        }
        Err(TryLockError::Error(_)) => Turn(None),
    }
}

impl Turn {
    /// Removes the hidden folders that an issue writes into before it renames them. Whoever has the turn knows that
    /// nobody is writing there any more.
    pub fn clear(&self, home: &Path) {
        if self.0.is_none() {
            return;
        }
        let Ok(entries) = fs::read_dir(home) else { return };
        for e in entries.flatten() {
            let name = e.file_name().to_string_lossy().into_owned();
            if name.starts_with('.') && name.ends_with(".new") {
                let _ = fs::remove_dir_all(e.path());
            }
        }
    }
}
