//! Takes the resistance sets of all runs; gives the drop from fresh to aged boards that were built alike.

use super::Prepared;
use crate::compute::calc::difference_of_means;
use crate::compute::maths::mean;
use crate::compute::work::{rows, work};
use crate::model::evidence::{Build, Run, Vehicle};
use crate::model::site::Site;
use crate::model::workings::{Sample, Workings};

/// Whether two builds differ in nothing but ageing and the corner of the reflow window.
fn built_alike(a: &Build, b: &Build) -> bool {
    let fluxes = |x: &Build| {
        let mut list: Vec<(String, String, u64, bool)> = x
            .flux
            .iter()
            .map(|f| {
                let dose = f.dose.as_ref().map_or(0, |d| d.si.to_bits());
                (f.material.text.clone(), f.formulation_rev.text.clone(), dose, f.heated)
            })
            .collect();
        list.sort();
        list
    };
    a.washed == b.washed && a.wiped == b.wiped && a.coated == b.coated && fluxes(a) == fluxes(b)
}

/// A run whose readings may stand for fresh boards.
fn sound(run: &Run) -> bool {
    run.excluded != Some(true) && run.informative != Some(true) && !run.condensation_seen
}

/// Digests of the readings of a run, for finding copies.
fn digests(run: &Run) -> Vec<&str> {
    run.file.iter().filter(|f| f.table.is_some()).map(|f| f.sha256.text.as_str()).collect()
}

/// The sets "sir_aged_drop" (decades) of the run of index `i`. One sample per set: mean of the fresh boards of the
/// same protocol less mean of the aged ones.
pub fn drops(site: &Site, prepared: &[Vec<Prepared>], i: usize, w: &mut Workings) -> Vec<Prepared> {
    let mut out = Vec::new();
    let run = &site.runs[i].run;
    for p in prepared[i].iter().filter(|p| p.set.quantity == "sir" && !p.set.samples.is_empty()) {
        let Some((vehicle, build)) = site.build(&p.set.build).filter(|(_, b)| b.aged) else { continue };
        let fresh = fresh(site, prepared, i, (vehicle, build), p);
        let Some(first) = fresh.first().map(|s| s.at) else { continue };
        let value = |s: &[&Sample]| mean(&s.iter().map(|s| s.value).collect::<Vec<_>>());
        let aged: Vec<&Sample> = p.set.samples.iter().collect();
        let inputs = vec![
            ("mean_fresh", value(&fresh), rows(first, fresh.len())),
            ("mean_aged", value(&aged), rows(aged[0].at, aged.len())),
        ];
        let subject = format!("{} {} {}: drop from fresh to aged", run.id.text, p.set.cell, p.set.place);
        let Ok(done) = work(w, &difference_of_means::CALC, &subject, aged.len(), "log10 ohm", inputs) else {
            continue;
        };
        let mut new = p.clone();
        new.set.quantity = "sir_aged_drop".into();
        new.set.unit = "dec".into();
        let worst = aged.iter().min_by(|a, b| a.value.total_cmp(&b.value)).copied().unwrap_or(aged[0]);
        new.set.samples = vec![Sample { value: done.values[0], ..worst.clone() }];
        new.set.hard_events = Vec::new();
        new.done = Some((done, aged.len()));
        out.push(new);
    }
    out
}

/// Samples of fresh boards of the same vehicle, pattern and window in the same protocol; each file counts once.
fn fresh<'a>(
    site: &'a Site,
    prepared: &'a [Vec<Prepared>],
    of: usize,
    (vehicle, build): (&Vehicle, &Build),
    aged: &Prepared,
) -> Vec<&'a Sample> {
    let protocol = |r: &'a Run| r.protocol.as_ref().map(|p| p.text.as_str());
    let mut seen: Vec<&str> = Vec::new();
    let mut out = Vec::new();
    for (j, sets) in prepared.iter().enumerate() {
        let run = &site.runs[j].run;
        let copy = digests(run).iter().any(|d| seen.contains(d));
        let planned = protocol(run).is_some() && protocol(run) == protocol(&site.runs[of].run);
        if j == of || copy || !sound(run) || !planned {
            continue;
        }
        seen.extend(digests(run));
        for p in sets.iter().filter(|p| p.set.quantity == "sir" && p.window == aged.window) {
            let same = site
                .build(&p.set.build)
                .is_some_and(|(v, b)| v.id.text == vehicle.id.text && !b.aged && built_alike(b, build));
            if same && p.set.place == aged.set.place && p.trouble.is_none() {
                out.extend(&p.set.samples);
            }
        }
    }
    out
}
