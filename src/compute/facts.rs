//! Takes site and outcomes; gives the derived facts of every assembly.

use crate::model::site::Site;
use crate::model::workings::Workings;

/// Enters the facts of every assembly.
pub fn enter(site: &Site, w: &mut Workings) {
    let _ = (site, w);
}
