//! Takes the conductor pairs of an assembly; gives the field of each.

use super::{Desk, written};
use crate::compute::calc::field_strength;

/// Enters "field" (V/mm) per pair.
pub fn enter(desk: &mut Desk) {
    for pair in &desk.file.pairs {
        let inputs = vec![written("V_peak", &pair.v_peak, "V"), written("spacing", &pair.spacing, "mm")];
        if let Some(done) = desk.work(&field_strength::CALC, &format!("{}: field", pair.id), "V/mm", inputs) {
            desk.fact("field", &pair.id, "V/mm", &done, 0);
        }
    }
}
