//! Takes reflow profiles; gives peak, time above liquidus, soak, ramp and window use of every thermocouple.

use super::{Ctx, Row, Sets};
use crate::compute::calc::{profile_facts, window_use};
use crate::compute::work::{In, work};
use crate::diag::At;
use crate::model::governance::{Criterion, Sense};
use crate::model::workings::{Origin, Workings};
use crate::quantity::Unit;
use std::collections::BTreeMap;

/// Quantity, unit and index into the facts of a thermocouple.
const PARAMETERS: [(&str, &str); 4] =
    [("profile_peak", "degC"), ("profile_tal", "s"), ("profile_soak", "s"), ("profile_ramp", "K/s")];

/// Liquidus in degC by alloy family; 217 when no paste of the run or its assemblies says otherwise.
fn liquidus(ctx: Ctx) -> f64 {
    let built = ctx.site.builds_of(ctx.run()).flat_map(|(_, b)| b.flux.iter().map(|f| f.material.text.as_str()));
    let (_, assemblies) = ctx.site.targets(ctx.run());
    let used = assemblies
        .iter()
        .filter_map(|a| ctx.site.process(&ctx.site.assembly(a)?.assembly.process))
        .flat_map(|p| p.step.iter().flat_map(|s| s.fluxes.iter().map(|f| f.text.as_str())));
    let alloy = built.chain(used).find_map(|id| ctx.site.material(id)?.alloy.as_ref().map(|a| a.text.as_str()));
    match alloy {
        Some(a) if a.contains("Bi") => 138.0,
        Some(a) if a.contains("Pb") => 183.0,
        _ => 217.0,
    }
}

/// The range criterion of a parameter that holds for the assemblies of the run.
fn range<'a>(ctx: Ctx<'a>, quantity: &str) -> Option<&'a Criterion> {
    let (_, targets) = ctx.site.targets(ctx.run());
    ctx.site.criteria.iter().find(|c| {
        c.quantity.text == quantity
            && c.operator == Sense::In
            && c.upper.is_some()
            && (c.assemblies.is_empty() || c.assemblies.iter().any(|a| targets.iter().any(|t| t.text == a.text)))
    })
}

/// Seconds, degC, first place.
type Track = (Vec<f64>, Vec<f64>, At);

/// Enters the four parameters and "window_use", one sample per thermocouple of each profile.
pub fn collect(sets: &mut Sets, w: &mut Workings) {
    let ctx = sets.ctx;
    let mut order: Vec<(String, String)> = Vec::new();
    let mut tracks: BTreeMap<(String, String), Track> = BTreeMap::new();
    for table in ctx.folder.tables("profile") {
        for row in 0..table.rows() {
            let key = (table.text("profile", row).to_string(), table.text("tc", row).to_string());
            let track = tracks.entry(key.clone()).or_insert_with(|| {
                order.push(key);
                (Vec::new(), Vec::new(), table.at(row))
            });
            track.0.push(table.number("t", row));
            track.1.push(table.number("T", row));
        }
    }
    let t_liq = liquidus(ctx);
    for (profile, tc) in order {
        let (t, temp, at) = &tracks[&(profile.clone(), tc.clone())];
        let here = Row { board: &profile, place: "all", lot: "", at: *at };
        let place = format!("{profile}/{tc}");
        let facts = profile_facts::facts(t, temp, t_liq).map(|f| [f.peak, f.tal, f.soak, f.ramp]);
        let mut worst: Option<f64> = None;
        for (i, (quantity, unit)) in PARAMETERS.iter().enumerate() {
            let value = facts.map_or(f64::NAN, |f| f[i]);
            if !value.is_finite() {
                sets.of(&profile, "all", quantity, unit, None).trouble(|| format!("{place} does not show it"));
                sets.of(&profile, "all", "window_use", "%", None).trouble(|| format!("{place} has no {quantity}"));
                continue;
            }
            sets.add(here, quantity, unit, value);
            let Some(c) = range(ctx, quantity) else {
                sets.of(&profile, "all", "window_use", "%", None)
                    .trouble(|| format!("no criterion of range states the window of {quantity}"));
                continue;
            };
            let Some((low, high)) = ends(c, unit) else { continue };
            let inputs: Vec<In> = vec![
                ("x", value, Origin::Rows(*at, t.len())),
                ("low", low, Origin::Place(c.value.at)),
                ("high", high, Origin::Place(c.upper.as_ref().map_or(c.value.at, |u| u.at))),
            ];
            let subject = format!("{} {place}: {quantity}", ctx.run().id.text);
            if let Ok(d) = work(w, &window_use::CALC, &subject, t.len(), unit, inputs) {
                worst = Some(worst.map_or(d.values[0], |x: f64| x.max(d.values[0])));
            }
        }
        if let Some(percent) = worst {
            sets.add(here, "window_use", "%", percent);
            let p = sets.of(&profile, "all", "window_use", "%", None);
            if let Some(s) = p.set.samples.last_mut() {
                s.place = tc.clone();
            }
        }
    }
}

fn ends(c: &Criterion, unit: &str) -> Option<(f64, f64)> {
    let unit = Unit::parse(unit).ok()?;
    let upper = c.upper.as_ref()?;
    (c.value.dimension() == unit.dimension() && upper.dimension() == unit.dimension())
        .then(|| (unit.from_si(c.value.si), unit.from_si(upper.si)))
}
