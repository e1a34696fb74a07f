//! Takes the chamber log of a run; gives the share of it inside the tolerance and the highest humidity.

use super::Ctx;
use crate::model::workings::{RunFact, Workings};

/// Enters "chamber_inside" and "chamber_max_rh". Samples before the readings begin don't count.
pub fn collect(ctx: Ctx, w: &mut Workings) {
    let run = ctx.run();
    let band = |centre: &Option<crate::quantity::Quantity>, half: &Option<crate::quantity::Quantity>, unit: &str| {
        let (c, h) = (centre.as_ref()?, half.as_ref()?);
        let step = if unit == "degC" { "K" } else { unit };
        Some((c.in_unit(unit), h.in_unit(step)))
    };
    let warm = band(&run.temperature, &run.tolerance_t, "degC");
    let moist = band(&run.humidity, &run.tolerance_rh, "%RH");
    let (mut samples, mut inside) = (0usize, 0usize);
    let mut first_out = None;
    let mut highest: Option<(f64, crate::diag::At)> = None;
    for table in ctx.folder.tables("chamber") {
        for row in 0..table.rows() {
            let (t, temp, rh) = (table.number("t", row), table.number("T", row), table.number("RH", row));
            if t < 0.0 {
                continue;
            }
            samples += 1;
            let within = |x: f64, band: Option<(f64, f64)>| band.is_none_or(|(c, h)| (x - c).abs() <= h + 1e-9);
            if within(temp, warm) && within(rh, moist) {
                inside += 1;
            } else if first_out.is_none() {
                first_out = Some(table.at(row));
            }
            if highest.is_none_or(|h| rh > h.0) {
                highest = Some((rh, table.at(row)));
            }
        }
    }
    let Some((rh, at)) = highest else { return };
    let mut fact = |name, value, unit: &str, at| {
        let (run, place) = (run.id.text.clone(), String::new());
        w.run_facts.push(RunFact { run, name, place, value, unit: unit.into(), working: None, at });
    };
    if warm.is_some() && moist.is_some() {
        fact("chamber_inside", inside as f64 / samples as f64, "1", first_out.unwrap_or(at));
    }
    fact("chamber_max_rh", rh, "%RH", at);
}
