//! Takes the example site's folder; writes its generated readings, and their digests into the records of the runs.
//!
//! `cargo run --example make_hallow_fen` rewrites `qualification-examples/hallow-fen`; it changes nothing when the
//! committed files are up to date, and `tests/it/demo.rs` proves that. What people write by hand (everything that
//! is not a table of readings) is left alone, save for the 64 digits after `sha256 =`.
#![allow(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    reason = "a program of its own, outside the library, that writes files"
)]

mod make;
pub use make::*;

use std::path::PathBuf;

fn main() -> std::io::Result<()> {
    let site = std::env::args_os().nth(1).map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen"),
        PathBuf::from,
    );
    let files = generate();
    for (path, text) in &files {
        let target = site.join(path);
        if let Some(folder) = target.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(target, text)?;
    }
    for run in std::fs::read_dir(site.join("runs"))? {
        let folder = run?.path();
        let record = folder.join("run.toml");
        let Ok(text) = std::fs::read_to_string(&record) else { continue };
        let stamped = stamp(&text, |path| std::fs::read(folder.join(path)).ok());
        if stamped != text {
            std::fs::write(record, stamped)?;
        }
    }
    println!("{} tables of readings", files.len());
    Ok(())
}
