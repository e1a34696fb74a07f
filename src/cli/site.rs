//! Takes the common options; gives the site judged, or shows every problem of it.

use std::path::{Path, PathBuf};

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
            let found = disk::find_site(&here).ok_or("no galipot.toml here or above; name the site with --site DIR")?;
            from_here(&here, &found)
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

/// The site as somebody who stands in one of its folders would write it: `.` or `../..`, not the path from the root.
fn from_here(here: &Path, site: &Path) -> PathBuf {
    let up = here.strip_prefix(site).map_or(0, |inside| inside.components().count());
    if up == 0 { PathBuf::from(".") } else { std::iter::repeat_n("..", up).collect() }
}

fn count(n: usize) -> String {
    format!("the site cannot be judged until {} mended", if n == 1 { "this is" } else { "these are" })
}

/// "no assembly X; did you mean Y?"
pub fn unknown<'a>(kind: &str, word: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    match nearest(word, known.clone()) {
        Some(n) => format!("there is no {kind} {word}; did you mean {n}?"),
        None => format!("there is no {kind} {word}; known: {}", known.collect::<Vec<_>>().join(", ")),
    }
}
