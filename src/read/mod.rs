//! Takes files in memory; gives the site: checked entities with their places, or all problems found.

use crate::diag::{Diagnostic, Sources};
use crate::model::Day;
use crate::model::site::Site;

/// Reads a site. `files` are (path inside the site with forward slashes, bytes).
///
/// # Errors
/// The sources and every problem of the input at once.
pub fn read(
    files: Vec<(String, Vec<u8>)>,
    as_of: Option<Day>,
    set: &[String],
) -> Result<(Site, Vec<Diagnostic>), (Sources, Vec<Diagnostic>)> {
    let _ = (files, as_of, set);
    unimplemented!("in work")
}
