//! Takes the climate bins of an assembly; gives dew-point margin, humidity at the surface and wet hours.

use super::{Desk, written};
use crate::compute::calc::{dew_margin, dew_point, surface_humidity, wet_hours};
use crate::compute::work::{Done, In};
use crate::model::workings::Origin;

/// Humidity below the deliquescence from which residue counts as wet, %RH.
const ALLOWANCE: f64 = 5.0;

/// Enters "dew_margin" (K) and "surface_humidity" (%RH) per bin, the least margin at place "minimum", and "wet_hours" (h).
/// A bin is called by its number, "bin 1" the first.
pub fn enter(desk: &mut Desk) {
    let Some(env) = desk.site.environment(&desk.file.assembly.environment) else { return };
    let mut least: Option<Done> = None;
    let mut wet: Vec<(f64, In)> = Vec::new();
    for (i, bin) in env.bin.iter().enumerate() {
        let place = format!("bin {}", i + 1);
        let t = bin.t.in_unit("degC");
        let rise = bin.board_rise.in_unit("K");
        // Below 1 %RH the dew point means nothing for a board, and 1 % is on the safe side.
        let rh = bin.rh.in_unit("%RH").max(1.0);
        let air = vec![written("T", &bin.t, "degC"), ("RH", rh, Origin::Place(bin.rh.at))];
        let Some(dew) = desk.work(&dew_point::CALC, &format!("{place}: dew point"), "degC", air) else { continue };
        let surface = ("Ts", t + rise, Origin::Place(bin.board_rise.at));
        let inputs = vec![surface.clone(), dew.nth("Td", 2)];
        if let Some(done) = desk.work(&dew_margin::CALC, &format!("{place}: dew-point margin"), "K", inputs) {
            desk.fact("dew_margin", &place, "K", &done, 0);
            if least.as_ref().is_none_or(|l| done.values[0] < l.values[0]) {
                least = Some(done);
            }
        }
        let inputs = vec![("RH", rh, Origin::Place(bin.rh.at)), written("T", &bin.t, "degC"), surface];
        if let Some(done) =
            desk.work(&surface_humidity::CALC, &format!("{place}: humidity at the surface"), "%RH", inputs)
        {
            desk.fact("surface_humidity", &place, "%RH", &done, 0);
            wet.push((done.values[0], written("h", &bin.hours, "h")));
        }
    }
    if let Some(done) = least {
        desk.fact("dew_margin", "minimum", "K", &done, 0);
    }
    let acids = desk.fluxes().into_iter().flat_map(|m| &m.acid);
    let lowest = acids.filter_map(|a| a.deliquescence.as_ref()).map(|q| q.in_unit("%RH")).min_by(f64::total_cmp);
    let Some(lowest) = lowest else { return };
    let mut hours: Vec<In> = wet.into_iter().filter(|(rh, _)| *rh >= lowest - ALLOWANCE).map(|(_, h)| h).collect();
    if let Some(q) = &env.condensing {
        hours.push(written("h", q, "h"));
    }
    if hours.is_empty() {
        hours.push(("h", 0.0, Origin::Constant("no bin is that humid")));
    }
    if let Some(done) = desk.work(&wet_hours::CALC, "wet hours a year", "h", hours) {
        desk.fact("wet_hours", "", "h", &done, 0);
    }
}
