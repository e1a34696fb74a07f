//! Takes the common options; gives the site judged, or shows every problem of it.

use std::path::PathBuf;

use super::args::{Args, Format};
use super::{disk, terminal};
use crate::diag::nearest;
use crate::pipeline::{self, Assessed, Options};

/// Finds, reads, computes and judges the site.
///
/// # Errors
/// In words, after all problems of the input were shown.
pub fn assess(args: &Args) -> Result<(PathBuf, Assessed), String> {
    let folder = match &args.site {
        Some(d) => d.clone(),
        None => {
            let here = std::env::current_dir().map_err(|e| format!("the current folder cannot be read: {e}"))?;
            disk::find_site(&here).ok_or("no galipot.toml here or above; name the site with --site DIR")?
        }
    };
    if !folder.join("galipot.toml").is_file() {
        return Err(format!(
            "{} is not a site: it has no galipot.toml; `galipot new DIR` writes one",
            folder.display()
        ));
    }
    terminal::progress("reading");
    let loaded = disk::load(&folder).map_err(|e| e.to_string())?;
    let options = Options { as_of: args.as_of, set: args.set.clone() };
    terminal::progress("computing and judging");
    let done = pipeline::assess(loaded.files, &options);
    terminal::progress_end();
    let root = folder.to_string_lossy().into_owned();
    let short = args.format == Format::Short;
    match done {
        Ok(a) if loaded.problems.is_empty() => {
            terminal::problems(&a.site.sources, &a.warnings, &root, short);
            Ok((folder, a))
        }
        Ok(a) => {
            terminal::problems(&a.site.sources, &loaded.problems, &root, short);
            Err(count(loaded.problems.len()))
        }
        Err(r) => {
            let mut all = loaded.problems;
            all.extend(r.problems);
            terminal::problems(&r.sources, &all, &root, short);
            Err(count(all.len()))
        }
    }
}

fn count(n: usize) -> String {
    let s = if n == 1 { "" } else { "s" };
    format!("{n} problem{s} in the site; nothing was written")
}

/// "no assembly X; did you mean Y?"
pub fn unknown<'a>(kind: &str, word: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    match nearest(word, known.clone()) {
        Some(n) => format!("there is no {kind} {word}; did you mean {n}?"),
        None => format!("there is no {kind} {word}; known: {}", known.collect::<Vec<_>>().join(", ")),
    }
}
