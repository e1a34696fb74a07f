//! `galipot draft`: writes the dossiers of a site, marked DRAFT.

use std::path::Path;

use rayon::prelude::*;

use super::args::{Args, Format, Reader};
use super::disk::{self, Existing};
use super::site::unknown;
use super::{Outcome, bags, site, terminal, typst};
use crate::model::changes::Changes;
use crate::pipeline::{self, Assessed};

/// Composes every dossier first, and writes only when all of them could be composed.
///
/// # Errors
/// In words, when the site cannot be read, a template fails, or the folder cannot be written.
pub fn run(
    args: &Args,
    assemblies: &[String],
    out: Option<&Path>,
    audience: Reader,
    pdf: bool,
) -> Result<Outcome, String> {
    let typst = match pdf {
        true => Some(typst::find()?.ok_or_else(|| format!("--pdf needs typst, which is not here: {}", typst::ADVICE))?),
        false => None,
    };
    let (folder, a) = site::assess(args)?;
    let known = || a.assessment.assemblies.iter().map(|x| x.id.as_str());
    if let Some(x) = assemblies.iter().find(|x| !known().any(|k| k == x.as_str())) {
        return Err(unknown("assembly", x, known()));
    }
    let ids: Vec<&str> = known().filter(|k| assemblies.is_empty() || assemblies.iter().any(|x| x == k)).collect();
    if ids.is_empty() {
        return Err("the site has no assembly to write a dossier of; add assemblies/<id>.toml".into());
    }
    let since: Vec<Option<Changes>> = ids.iter().map(|id| since(&folder, &a, id)).collect::<Result<_, _>>()?;
    terminal::progress("composing and writing");
    let drafts: Vec<_> = ids
        .par_iter()
        .zip(&since)
        .map(|(id, s)| (*id, pipeline::draft_since(&a, id, audience.into(), s.as_ref())))
        .collect();
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
    if let Some(typst) = &typst {
        terminal::progress("making PDFs");
        for (id, b) in &mut bundles {
            let made = typst.pdf(&b.files, a.assessment.as_of).map_err(|e| format!("{id}: {e}"));
            b.files.push(("dossier.pdf".into(), made.inspect_err(|_| terminal::progress_end())?));
        }
        terminal::progress_end();
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
        terminal::json(&serde_json::json!({"schema": "galipot.draft/1", "dossiers": list}));
    } else {
        for (p, bytes, files) in written {
            terminal::out(&format!("{}  {files} files, {} kB\n", p.display(), bytes / 1000));
        }
    }
    Ok(Outcome::Holds)
}

/// What moved since the newest issued revision of the dossier of an assembly; none when none is issued.
fn since(site: &Path, a: &Assessed, assembly: &str) -> Result<Option<Changes>, String> {
    let document = a.site.assembly(assembly).map_or("", |f| f.assembly.document.text.as_str());
    let Some(home) = bags::home(site, document) else { return Ok(None) };
    let Some((_, path)) = bags::revisions(&home).pop() else { return Ok(None) };
    let before = bags::record(&path)?;
    let changes = pipeline::since(a, assembly, false, &before);
    changes.map(Some).map_err(|why| format!("{}: {}", path.display(), why.join("\n  - ")))
}

/// Files that a draft holds; a folder with anything else in it is not replaced.
fn ours(path: &str) -> bool {
    matches!(path, "dossier.md" | "dossier.html" | "dossier.typ" | "dossier.pdf" | "record.json")
        || path.strip_prefix("figures/").is_some_and(|f| f.ends_with(".svg") && !f.contains('/'))
}
