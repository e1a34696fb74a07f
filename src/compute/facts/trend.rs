//! Takes one run with three doses of a flux; gives the bound of the straight line through them at the used dose.

use super::Desk;
use crate::compute::calc::{dose_trend, margin_lower, tolerance_factor};
use crate::compute::maths::{mean, sd};
use crate::compute::work::{In, rows};
use crate::model::assembly::{FluxUse, Wiped};
use crate::model::evidence::{Build, Washed};
use crate::model::governance::{Condition, Sense, Statistic};
use crate::model::workings::{Origin, Outcome};
use crate::quantity::{Dimension, Quantity, Unit};

/// Enters "dose_trend_ltb" (log10 ohm, before any guard band) per "zone/flux" whose upper control limit of dose, or
/// dose, lies between tested doses of one run; "dose_trend_cap" likewise at the cap of a condition, and
/// "dose_trend_cap_margin" its distance from the limit after the guard band.
pub fn enter(desk: &mut Desk) {
    for usage in desk.file.flux_uses.iter().filter(|u| u.order.si > 0.0) {
        let Some(wanted) = usage.dose_ucl.as_ref().or(usage.dose.as_ref()) else { continue };
        line(desk, "dose_trend_ltb", usage, wanted);
    }
    // At the cap that a condition puts on a dose, for the flux that it names.
    let own = |c: &&Condition| c.assembly.text == desk.file.assembly.id.text && c.sense == Sense::Le;
    for c in desk.site.conditions.iter().filter(own).filter(|c| c.limit.dimension() == dose_dimension()) {
        let named =
            |u: &&FluxUse| u.order.si > 0.0 && (c.parameter.contains(&*u.flux.text) || c.text.contains(&*u.flux.text));
        for usage in desk.file.flux_uses.iter().filter(named) {
            line(desk, "dose_trend_cap", usage, &c.limit);
        }
    }
}

fn dose_dimension() -> Dimension {
    Unit::parse("ug/cm2").map_or(Dimension::NONE, |u| u.dimension())
}

/// Dose of a flux on a build in ug/cm2: zero when it is not listed, none when it is listed without dose or unheated.
fn dose(build: &Build, flux: &str) -> Option<(f64, Origin)> {
    match build.flux.iter().find(|f| f.material.text == flux) {
        None => Some((0.0, Origin::Place(build.id.at))),
        Some(f) if !f.heated => None,
        Some(f) => f.dose.as_ref().map(|q| (q.in_unit("ug/cm2"), Origin::Place(q.at))),
    }
}

fn plain(build: &Build) -> bool {
    build.washed == Washed::No && build.wiped == Wiped::Never && !build.aged && !build.coated
}

/// Outcomes of tolerance bounds on sets of one run, place and criterion, with the dose of each.
fn points<'a>(desk: &'a Desk, usage: &FluxUse, like: &Outcome) -> Vec<(&'a Outcome, f64, Origin)> {
    let first = &desk.w.sets[like.set];
    let same = |o: &&Outcome| {
        let set = &desk.w.sets[o.set];
        o.run == like.run && o.criterion == like.criterion && set.place == first.place && o.refused.is_none()
    };
    desk.w
        .outcomes
        .iter()
        .filter(same)
        .filter_map(|o| {
            let (_, build) = desk.site.build(&desk.w.sets[o.set].build).filter(|(_, b)| plain(b))?;
            let (x, origin) = dose(build, &usage.flux)?;
            Some((o, x, origin))
        })
        .collect()
}

fn line(desk: &mut Desk, name: &'static str, usage: &FluxUse, wanted: &Quantity) -> Option<()> {
    let candidates: Vec<Outcome> = desk
        .w
        .outcomes
        .iter()
        .filter(|o| o.statistic == Statistic::Ltb && desk.w.sets[o.set].quantity == "sir")
        .filter(|o| {
            let build = desk.site.build(&desk.w.sets[o.set].build);
            build.is_some_and(|(_, b)| b.flux.iter().any(|f| f.material.text == usage.flux.text))
        })
        .cloned()
        .collect();
    let x = wanted.in_unit("ug/cm2");
    for like in &candidates {
        let found = points(desk, usage, like);
        let mut different: Vec<u64> = found.iter().map(|p| p.1.to_bits()).collect();
        different.sort_unstable();
        different.dedup();
        let inside = found.iter().any(|p| p.1 <= x) && found.iter().any(|p| p.1 >= x);
        if different.len() < 3 || !inside {
            continue;
        }
        let c = desk.site.criterion(&like.criterion)?;
        let (p, conf) = (c.p.as_ref()?, c.conf.as_ref()?);
        let n_eff = found.iter().map(|f| f.0.n_eff).min()? as f64;
        let mut inputs: Vec<In> = Vec::new();
        let (mut squares, mut freedom) = (0.0, 0.0);
        let mut first = None;
        let mut n = 0;
        for (o, dose, origin) in &found {
            let set = &desk.w.sets[o.set];
            let values: Vec<f64> = set.samples.iter().map(|s| s.value).collect();
            let at = set.samples.first()?.at;
            first.get_or_insert(at);
            n += values.len();
            let s = sd(&values);
            squares += s * s * (values.len() - 1) as f64;
            freedom += (values.len() - 1) as f64;
            inputs.push(("dose", *dose, origin.clone()));
            inputs.push(("mean", mean(&values), rows(at, values.len())));
        }
        let at = first?;
        let subject = format!("{}/{}: trend over doses of {} at {}", usage.zone, usage.flux, like.run, wanted.written);
        let factor = vec![
            ("n", n_eff, Origin::Working(found.first()?.0.working)),
            ("p", p.si, Origin::Place(p.at)),
            ("conf", conf.si, Origin::Place(conf.at)),
        ];
        let k = desk.work(&tolerance_factor::CALC, &format!("{subject}, tolerance factor"), "1", factor)?;
        inputs.push(("s", (squares / freedom).sqrt(), rows(at, n)));
        inputs.push(k.first("k"));
        inputs.push(("x", x, Origin::Place(wanted.at)));
        let done = desk.work(&dose_trend::CALC, &subject, "log10 ohm", inputs)?;
        let place = format!("{}/{}", usage.zone, usage.flux);
        desk.fact(name, &place, "log10 ohm", &done, 2);
        if name == "dose_trend_cap" {
            // The bound at the cap against the limit, after the guard band of the run whose doses the line goes through.
            let guard = desk.w.get(like.working).inputs.iter().find(|i| i.symbol == "g").map(|i| i.origin.clone());
            let inputs = vec![
                done.nth("x", 2),
                ("g", like.guard, guard.unwrap_or(Origin::Place(c.at))),
                ("LIM", like.limit, Origin::Place(c.value.at)),
            ];
            let against = desk.work(
                &margin_lower::CALC,
                &format!("{subject}, at {wanted}, against {}", c.id),
                "log10 ohm",
                inputs,
            )?;
            desk.fact("dose_trend_cap_margin", &place, "log10 ohm", &against, 0);
        }
        return Some(());
    }
    None
}
