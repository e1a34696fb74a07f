//! `galipot plan`: every plan weighed, the best one, what to test next, and which steps must wait.

use std::path::Path;
use std::time::{Duration, Instant};

use super::args::{Args, Format};
use super::disk::{self, Existing};
use super::{Outcome, site, terminal};
use crate::compose;
use crate::model::planning::{BEST, Planning};
use crate::pipeline::{self, Assessed};

/// Weighs the plans of the site; writes the volume where a folder is named.
///
/// # Errors
/// In words, when the site cannot be read or holds no plan, or the folder cannot be written.
pub fn run(args: &Args, out: Option<&Path>, limit: Option<u32>) -> Result<Outcome, String> {
    if let Some(file) = out.and_then(|to| to.ancestors().find(|p| p.is_file())) {
        return Err(format!(
            "{} is a file, and the volume is a folder: name a folder that is new or holds a volume, for example --out plan-volume",
            file.display()
        ));
    }
    let (folder, a) = site::assess(args)?;
    let p = weigh(args, &folder, &a, limit)?;
    if let Some(to) = out {
        terminal::progress("composing and writing");
        let files = pipeline::plan_volume(&a, &p);
        let written = disk::write_folder(to, &files, Existing::Replace(&ours));
        terminal::progress_end();
        written.map_err(|e| e.to_string())?;
    }
    if args.json {
        terminal::json(&pipeline::plan_record(&a, &p));
    } else {
        terminal::out(&compose::plan::human(&a.site, &a.assessment, &p));
        if let Some(to) = out {
            terminal::out(&format!("written: {0}/plan.md, {0}/plan.html, {0}/record.json\n", to.display()));
        }
    }
    let open = p.gates.iter().all(|g| g.open);
    let routed = p.plans.iter().find(|x| x.id == BEST).is_some_and(|b| b.contained <= 0.0);
    Ok(if open && routed { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// Weighs the plans of a site that was judged.
///
/// # Errors
/// In words, after all problems of the plan were shown.
pub fn weigh(args: &Args, folder: &Path, a: &Assessed, limit: Option<u32>) -> Result<Planning, String> {
    if a.site.plan.economy.is_none() {
        return Err(format!(
            "{} plans nothing: no file of plan/ holds an [economy]; `galipot new DIR` writes a commented plan/plan.toml",
            folder.display()
        ));
    }
    let end = limit.map(|s| Instant::now() + Duration::from_secs(u64::from(s)));
    terminal::progress("weighing plans");
    let done = pipeline::plan(a, &|| end.is_some_and(|t| Instant::now() >= t));
    terminal::progress_end();
    done.map_err(|problems| {
        let root = folder.to_string_lossy().into_owned();
        terminal::problems(&a.site.sources, &problems, &root, args.format == Format::Short);
        "nothing can be planned until this is mended".to_string()
    })
}

/// Files that a volume holds; a folder with anything else in it is not replaced.
fn ours(path: &str) -> bool {
    matches!(path, "plan.md" | "plan.html" | "record.json")
        || path.strip_prefix("figures/").is_some_and(|f| f.ends_with(".svg") && !f.contains('/'))
}
