//! `galipot redact`: writes a copy of a bag for one reader.

use std::path::Path;

use super::args::CopyFor;
use super::disk::{self, Existing};
use super::{Outcome, bags, terminal};
use crate::seal;

/// Makes the copy, checks it, and writes it.
///
/// # Errors
/// In words, when the bag is not intact, or the folder exists or cannot be written.
pub fn run(bag: &Path, reader: CopyFor, out: &Path) -> Result<Outcome, String> {
    let folder = bags::read(bag)?;
    if !folder.report().intact() {
        return Err(format!("{} is not intact, so it is not copied: galipot verify {0}", bag.display()));
    }
    let word = match reader {
        CopyFor::Customer => "customer",
        CopyFor::Lab => "lab",
    };
    let copy = seal::redact(&folder.files, word)?;
    let report = seal::verify(&copy.files, &[]);
    if !report.intact() {
        let why: Vec<String> = report.problems.iter().map(|p| format!("{} {}: {}", p.code, p.file, p.text)).collect();
        return Err(format!("the copy that was made does not verify: {}", why.join("; ")));
    }
    let files: Vec<(String, Vec<u8>)> = copy.files.into_iter().collect();
    disk::write_folder(out, &files, Existing::Refuse).map_err(|e| e.to_string())?;
    terminal::out(&format!(
        "{}  {} files, {} withheld from the reader {word}\ncontent digest of the whole {}\n",
        out.display(),
        files.len(),
        report.withheld.len(),
        copy.digest
    ));
    if folder.files.contains_key("data/dossier.pdf") {
        let data = out.join("data");
        terminal::out(&format!(
            "the PDF shows every section and is left out; one of the copy: typst compile --root {0} {0}/dossier.typ\n",
            data.display()
        ));
    }
    Ok(Outcome::Holds)
}
