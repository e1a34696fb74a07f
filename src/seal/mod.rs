//! Takes a dossier with all that it rests on; gives a bag that stock tools can check, and checks such bags.
//!
//! Nothing here computes or judges: a bag of any released format verifies without knowing what its numbers mean.
//! `docs/sealed-format.md` says what is written, for whoever has to check a bag without galipot.

mod approval;
mod authority;
mod bagit;
mod chain;
mod contents;
mod copy;
mod labels;
mod paths;
mod people;
mod problem;
mod revision;
mod standing;
mod verify;

pub use approval::{Approval, NAMESPACE, Statement, file_names, meaning_of, next_number, refused, statement};
pub use authority::{REASONS, Why, out_of_order};
pub use bagit::{Bag, Files};
pub use chain::{Chain, chain};
pub use contents::{Contents, Identity, Input, Pdf, Previous, bag};
pub use copy::redact;
pub use people::{Person, allowed_signers};
pub use problem::Problem;
pub use revision::{checked, rises};
pub use standing::{Standing, read_standing, replaced_by, standing, standing_file, stands, stood};
pub use verify::{Report, verify};

/// The record of a bag or copy and its content digest, from its manifests and its record alone.
///
/// # Errors
/// In words, when one of the three is missing, or is not the one that was sealed.
pub fn record(files: &Files) -> Result<(Vec<u8>, String), String> {
    let of = |name: &str| files.get(name).ok_or_else(|| format!("the bag has no {name}"));
    let sealed = |manifest: &str, name: &str| {
        let listed = bagit::read_manifest(manifest, of(manifest)?, &mut Vec::new());
        match listed.get(name) {
            Some(d) if *d == crate::diag::sha256_hex(of(name)?) => Ok(()),
            Some(_) => Err(format!("{name} is not the one that was sealed")),
            None => Err(format!("{manifest} does not list {name}")),
        }
    };
    sealed(bagit::TAG_MANIFEST, bagit::MANIFEST)?;
    sealed(bagit::MANIFEST, "data/record.json")?;
    let whole = format!("{}{}", copy::WHOLE, bagit::TAG_MANIFEST);
    if files.contains_key(&whole) {
        sealed(bagit::TAG_MANIFEST, &whole)?;
        return Ok((of("data/record.json")?.clone(), crate::diag::sha256_hex(of(&whole)?)));
    }
    Ok((of("data/record.json")?.clone(), crate::diag::sha256_hex(of(bagit::TAG_MANIFEST)?)))
}

/// The people of a bag.
///
/// # Errors
/// In words, when the bag has no table of people that can be read.
pub fn people(files: &Files) -> Result<Vec<Person>, String> {
    let bytes = files.get("data/people.json").ok_or("the bag has no table of people")?;
    people::read(bytes).map_err(|e| format!("data/people.json: {e}"))
}
