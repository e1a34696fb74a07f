//! Takes site and workings; gives state, reasons and margin of every claim, coverage and route.

use crate::model::assessment::Assessment;
use crate::model::site::Site;
use crate::model::workings::Workings;

/// Judges every assembly of the site in all three trees.
pub fn judge(site: &Site, workings: &Workings) -> Assessment {
    let _ = (site, workings);
    unimplemented!("in work")
}
