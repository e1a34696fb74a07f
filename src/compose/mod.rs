//! Takes site, workings and assessment; gives the document for people and the record for machines.

use crate::diag::Diagnostic;
use crate::model::assessment::Assessment;
use crate::model::document::Document;
use crate::model::site::Site;
use crate::model::workings::Workings;

/// Who may read a volume. `All` leaves nothing out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Audience {
    All,
    Customer,
    Internal,
    Lab,
}

/// Composes the dossier of one assembly.
///
/// # Errors
/// When a chapter template of the site cannot be expanded.
pub fn compose(
    site: &Site,
    workings: &Workings,
    assessment: &Assessment,
    assembly: &str,
    audience: Audience,
) -> Result<(Document, serde_json::Value), Diagnostic> {
    let _ = (site, workings, assessment, assembly, audience);
    unimplemented!("in work")
}
