//! `galipot status`: one line per assembly.

use std::path::Path;

use super::args::Args;
use super::{Outcome, bags, site, terminal};
use crate::compose::status;
use crate::model::assessment::State;
use crate::pipeline::Assessed;
use crate::seal;

/// Prints the state of every assembly.
///
/// # Errors
/// In words, when the site cannot be read.
pub fn run(args: &Args) -> Result<Outcome, String> {
    let (folder, a) = site::assess(args)?;
    let stands = |assembly: &str| newest(&folder, &a, assembly);
    if args.json {
        let mut doc = status::json(&a.site, &a.assessment);
        for (v, r) in doc["assemblies"].as_array_mut().into_iter().flatten().zip(&a.assessment.assemblies) {
            v["newest_revision"] = stands(&r.id).into();
        }
        terminal::json(&doc);
    } else {
        terminal::out(&status::human_with(&a.site, &a.assessment, &stands));
    }
    let holds = !a.assessment.assemblies.is_empty()
        && a.assessment.assemblies.iter().all(|x| matches!(x.state, State::Supported | State::WithConditions));
    Ok(if holds { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// The newest revision of the dossier of an assembly, and where it stands: "2 candidate".
fn newest(folder: &Path, a: &Assessed, assembly: &str) -> Option<String> {
    let home = bags::home(folder, &a.site.assembly(assembly)?.assembly.document.text)?;
    let (label, path) = bags::revisions(&home).pop()?;
    let report = bags::read(&path).ok()?.report();
    Some(format!("{label} {}", seal::standing(&report, &[]).word()))
}
