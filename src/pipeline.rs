//! START HERE. Takes files in memory; gives a judged site, and from it the written dossiers.

use crate::compose::{self, Audience};
use crate::compute;
use crate::diag::{Diagnostic, Sources};
use crate::judge;
use crate::model::Day;
use crate::model::assessment::Assessment;
use crate::model::site::Site;
use crate::model::workings::Workings;
use crate::read;
use crate::render::{self, Bundle};

/// What the caller may decide about an assessment.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// Day of judgement; the site's own `as_of` when none.
    pub as_of: Option<Day>,
    /// `PATH=VALUE`, in the order given.
    pub set: Vec<String>,
}

/// A site that was read, computed and judged.
#[derive(Debug)]
pub struct Assessed {
    pub site: Site,
    pub workings: Workings,
    pub assessment: Assessment,
    /// Problems that did not stop the reading.
    pub warnings: Vec<Diagnostic>,
}

/// All problems of a site that could not be read.
#[derive(Debug)]
pub struct Refused {
    pub sources: Sources,
    pub problems: Vec<Diagnostic>,
}

/// Reads, computes and judges. Touches nothing but its arguments.
///
/// # Errors
/// Every problem of the input at once.
pub fn assess(files: Vec<(String, Vec<u8>)>, options: &Options) -> Result<Assessed, Refused> {
    let (site, warnings) =
        read::read(files, options.as_of, &options.set).map_err(|(sources, problems)| Refused { sources, problems })?;
    let workings = compute::compute(&site);
    let assessment = judge::judge(&site, &workings);
    Ok(Assessed { site, workings, assessment, warnings })
}

/// Writes the dossier of one assembly in every form.
///
/// # Errors
/// When a chapter template of the site cannot be expanded.
pub fn draft(a: &Assessed, assembly: &str, audience: Audience) -> Result<Bundle, Diagnostic> {
    let (document, record) = compose::compose(&a.site, &a.workings, &a.assessment, assembly, audience)?;
    Ok(render::render(&document, &record))
}
