//! `galipot new`: writes a small, complete, commented site, the manual of the input format.

use std::path::Path;

use super::disk::{self, Existing};
use super::{Outcome, terminal};

macro_rules! files {
    ($($path:literal),* $(,)?) => {
        /// Every file of the new site, in order of path.
        pub const FILES: &[(&str, &[u8])] =
            &[$(($path, include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/new-site/", $path)))),*];
    };
}

files![
    "README.md",
    "assemblies/LP-40.toml",
    "audits/audits.toml",
    "claims/own.toml",
    "comments/LP-40.toml",
    "criteria/criteria.toml",
    "customers/customer.toml",
    "documents/supplier-SP-1.txt",
    "environments/environments.toml",
    "feeds/README.txt",
    "galipot.toml",
    "labs/labs.toml",
    "materials/materials.toml",
    "people/people.toml",
    "plan/plan.toml",
    "processes/processes.toml",
    "protocols/protocol.toml",
    "register/register.toml",
    "runs/RUN-001/chamber.csv",
    "runs/RUN-001/run.toml",
    "runs/RUN-001/sir.csv",
    "runs/RUN-002/ions.csv",
    "runs/RUN-002/run.toml",
    "vehicles/TV-1.toml",
];

/// Writes the site into `dir`, which must be new or empty. Either all of it is written or nothing.
///
/// # Errors
/// In words, when the folder exists and is not empty, or the system refuses.
pub fn run(dir: &Path) -> Result<Outcome, String> {
    let shown = dir.display();
    if dir.file_name().is_none() {
        return Err(format!("{shown} is no name of a new folder; name one, for example my-site"));
    }
    let nothing = |_: &str| false;
    let existing = match std::fs::symlink_metadata(dir) {
        Err(_) => Existing::Refuse,
        Ok(m) if !m.is_dir() => return Err(format!("{shown} is no folder; name a new one")),
        Ok(_) => {
            let mut entries = std::fs::read_dir(dir).map_err(|e| format!("{shown}: {e}"))?;
            if entries.next().is_some() {
                return Err(format!("{shown} is not empty, and nothing of yours is replaced; name a new folder"));
            }
            Existing::Replace(&nothing)
        }
    };
    let files: Vec<(String, Vec<u8>)> = FILES.iter().map(|(p, b)| ((*p).to_string(), b.to_vec())).collect();
    disk::write_folder(dir, &files, existing).map_err(|e| e.to_string())?;
    terminal::out(&after(&shown.to_string(), files.len()));
    Ok(Outcome::Holds)
}

/// What to do next.
fn after(dir: &str, files: usize) -> String {
    format!(
        "{dir}: {files} files written. Everything in them is invented; README.md says what belongs where.\n\n\
         next\n  \
         galipot status --site {dir}              what holds, what does not, and what blocks\n  \
         galipot why LP-40 C3.1 --site {dir}      one claim explained to the last number\n  \
         galipot draft --out drafts --site {dir}  the dossier, marked DRAFT\n\n\
         The site is meant to come out as not yet: most of its evidence is missing.\n"
    )
}
