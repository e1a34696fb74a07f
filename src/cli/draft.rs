//! `galipot draft`: writes the dossiers of a site, marked DRAFT.

use std::path::Path;

use rayon::prelude::*;

use super::args::{Args, Format, Reader};
use super::disk::{self, Existing};
use super::site::unknown;
use super::{Outcome, site, terminal};
use crate::pipeline;

/// Composes every dossier first, and writes only when all of them could be composed.
///
/// # Errors
/// In words, when the site cannot be read, a template fails, or the folder cannot be written.
pub fn run(args: &Args, assemblies: &[String], out: Option<&Path>, audience: Reader) -> Result<Outcome, String> {
    let (folder, a) = site::assess(args)?;
    let known = || a.assessment.assemblies.iter().map(|x| x.id.as_str());
    if let Some(x) = assemblies.iter().find(|x| !known().any(|k| k == x.as_str())) {
        return Err(unknown("assembly", x, known()));
    }
    let ids: Vec<&str> = known().filter(|k| assemblies.is_empty() || assemblies.iter().any(|x| x == k)).collect();
    if ids.is_empty() {
        return Err("the site has no assembly to write a dossier of; add assemblies/<id>.toml".into());
    }
    terminal::progress("composing and writing");
    let drafts: Vec<_> = ids.par_iter().map(|id| (*id, pipeline::draft(&a, id, audience.into()))).collect();
    let mut bundles = Vec::new();
    let mut problems = Vec::new();
    for (id, d) in drafts {
        match d {
            Ok(b) => bundles.push((id, b)),
            Err(p) => problems.push(p),
        }
    }
    terminal::progress_end();
    if !problems.is_empty() {
        terminal::problems(&a.site.sources, &problems, &folder.to_string_lossy(), args.format == Format::Short);
        return Err("no dossier was written".into());
    }
    let target = out.map_or_else(|| folder.join("drafts"), Path::to_path_buf);
    let mut written = Vec::new();
    for (id, b) in &bundles {
        let to = target.join(id);
        disk::write_folder(&to, &b.files, Existing::Replace(&ours)).map_err(|e| e.to_string())?;
        written.push((to, b.files.iter().map(|f| f.1.len()).sum::<usize>(), b.files.len()));
    }
    if args.json {
        let list: Vec<_> = written
            .iter()
            .map(|(p, bytes, files)| serde_json::json!({"path": p.to_string_lossy(), "files": files, "bytes": bytes}))
            .collect();
        terminal::out(&format!("{:#}\n", serde_json::json!({"schema": "galipot.draft/1", "dossiers": list})));
    } else {
        for (p, bytes, files) in written {
            terminal::out(&format!("{}  {files} files, {} kB\n", p.display(), bytes / 1000));
        }
    }
    Ok(Outcome::Holds)
}

/// Files that a draft holds; a folder with anything else in it is not replaced.
fn ours(path: &str) -> bool {
    matches!(path, "dossier.md" | "dossier.html" | "dossier.pdf" | "record.json")
        || path.strip_prefix("figures/").is_some_and(|f| f.ends_with(".svg") && !f.contains('/'))
}
