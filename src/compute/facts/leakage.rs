//! Takes pairs with a leakage need and the resistance of combs; gives what each pair would have, and needs.

use super::{Desk, written};
use crate::compute::calc::{comb_squares, guard_leakage, leakage_need, pair_leakage};
use crate::compute::work::{In, rows};
use crate::model::assembly::{Geometry, NetPair};
use crate::model::evidence::{Build, Pattern, PatternKind, Run, Washed};
use crate::model::governance::Statistic;
use crate::model::workings::{Origin, Outcome, SampleSet};
use crate::quantity::Quantity;

/// Enters "leakage_ltb" and "leakage_mean" (ohm of the pair by the worst bound and by the mean of that set),
/// "leakage_need" (ohm), and with a guard "guard_leakage" (A) and "leakage_guard" (the ohm that this current means at
/// the working voltage), per pair that states a need.
pub fn enter(desk: &mut Desk) {
    for pair in &desk.file.pairs {
        let Some((need, at)) = need(desk, pair) else { continue };
        let Some((set, outcome)) = worst(desk, pair) else {
            resistance_needed(desk, pair, need, at, 1.0, Origin::Constant("no comb to compare with"));
            continue;
        };
        let Some(squares) = squares(desk, set) else { continue };
        resistance_needed(desk, pair, need, at, squares.1, squares.2.clone());
        let set = &desk.w.sets[set];
        let values: Vec<f64> = set.samples.iter().map(|s| s.value).collect();
        let mean = crate::compute::maths::mean(&values);
        let first = set.samples.first().map_or(at, |s| s.at);
        let origin = format!("{} {} {}", set.run, set.cell, set.place);
        let (ltb, ltb_origin) = outcome;
        let cases = [
            ("leakage_ltb", ltb, ltb_origin, "by the tolerance bound"),
            ("leakage_mean", mean, rows(first, values.len()), "by the mean"),
        ];
        for (name, lg, from, words) in cases {
            let inputs = vec![
                ("R_comb", libm::pow(10.0, lg), from),
                squares.clone(),
                written("spacing", &pair.spacing, "mm"),
                written("facing", &pair.facing, "mm"),
                written("V", &pair.v_work, "V"),
            ];
            let subject = format!("{}: leakage {words} of {origin}", pair.id);
            let Some(done) = desk.work(&pair_leakage::CALC, &subject, "ohm", inputs) else { continue };
            desk.fact(name, &pair.id, "ohm", &done, 1);
            if name == "leakage_ltb"
                && pair.guard == Some(true)
                && let Some(dv) = &pair.guard_dv
            {
                let inputs = vec![written("dV", dv, "V"), written("V", &pair.v_work, "V"), done.nth("R_pair", 1)];
                let subject = format!("{}: leakage across the guard", pair.id);
                if let Some(g) = desk.work(&guard_leakage::CALC, &subject, "A", inputs) {
                    desk.fact("guard_leakage", &pair.id, "A", &g, 0);
                    desk.fact("leakage_guard", &pair.id, "ohm", &g, 1);
                }
            }
        }
    }
}

/// What a pair states of its need.
#[derive(Clone, Copy)]
enum Need {
    Ohm,
    Ampere(f64),
}

/// Need of a pair with its place: its own resistance or current, else the budget of its node.
fn need(desk: &Desk, pair: &NetPair) -> Option<(Need, crate::diag::At)> {
    if let Some(r) = &pair.r_need {
        return Some((Need::Ohm, r.at));
    }
    if let Some(i) = &pair.i_leak_max {
        return Some((Need::Ampere(i.si), i.at));
    }
    let node = pair.node.as_ref()?;
    let node = desk.file.nodes.iter().find(|n| n.id.text == node.text)?;
    Some((Need::Ampere(node.budget.si), node.budget.at))
}

fn resistance_needed(desk: &mut Desk, pair: &NetPair, need: Need, at: crate::diag::At, n: f64, n_origin: Origin) {
    match need {
        Need::Ohm => {
            if let Some(q) = &pair.r_need {
                desk.given("leakage_need", &pair.id, "ohm", q);
            }
        }
        Need::Ampere(i) => {
            let inputs = vec![
                written("V", &pair.v_work, "V"),
                ("I_max", i, Origin::Place(at)),
                written("spacing", &pair.spacing, "mm"),
                written("facing", &pair.facing, "mm"),
                ("N", n, n_origin),
            ];
            let subject = format!("{}: resistance needed", pair.id);
            if let Some(done) = desk.work(&leakage_need::CALC, &subject, "ohm", inputs) {
                desk.fact("leakage_need", &pair.id, "ohm", &done, 0);
            }
        }
    }
}

/// Squares of the pattern of a set: as stated, else from gaps, overlap and spacing.
fn squares(desk: &mut Desk, set: usize) -> Option<In> {
    let site = desk.site;
    let set = &desk.w.sets[set];
    let (vehicle, _) = site.build(&set.build)?;
    let p: &Pattern = site.pattern(&vehicle.id, &set.place)?;
    if let Some(q) = &p.squares {
        return Some(("N", q.si, Origin::Place(q.at)));
    }
    let (gaps, overlap): (&Quantity, &Quantity) = (p.gaps.as_ref()?, p.overlap.as_ref()?);
    let inputs = vec![written("gaps", gaps, "1"), written("overlap", overlap, "mm"), written("space", &p.space, "mm")];
    let done = desk.work(&comb_squares::CALC, &format!("pattern {}: squares", p.id), "1", inputs)?;
    Some(done.first("N"))
}

/// Whether the set was measured on residue that the pair will bear: same paste, no flux that never comes there, no dose
/// above that of the assembly, not washed, and on a pattern of the same sort.
fn speaks(desk: &Desk, pair: &NetPair, set: &SampleSet) -> bool {
    let Some((vehicle, build)) = desk.site.build(&set.build) else { return false };
    let Some(folder) = desk.site.run(&set.run) else { return false };
    let run = &folder.run;
    if vehicle.assembly.is_some() || build.washed != Washed::No || build.coated {
        return false;
    }
    if run.excluded == Some(true) || run.informative == Some(true) || run.condensation_seen || run.condensing {
        return false;
    }
    if !planned_and_in_scope(desk, run) {
        return false;
    }
    let Some(paste) = desk.paste() else { return false };
    if !build.flux.iter().any(|f| f.material.text == paste.id.text) || !within(desk, pair, build) {
        return false;
    }
    let pattern = desk.site.pattern(&vehicle.id, &set.place);
    if pair.geometry == Geometry::BodyUnder {
        let class = desk
            .file
            .components
            .iter()
            .find(|c| c.refdes.text == pair.place.text || c.like.iter().any(|l| l.text == pair.place.text));
        set.pattern == Some(PatternKind::Body)
            && class.is_some_and(|c| pattern.is_some_and(|p| p.body_class == Some(c.body_class)))
    } else {
        matches!(set.pattern, Some(PatternKind::Comb | PatternKind::Mixed))
    }
}

/// The run was planned in a protocol signed before it began, in a laboratory with the method in its scope throughout or
/// with a validated method. Other gates are for the judge.
fn planned_and_in_scope(desk: &Desk, run: &Run) -> bool {
    let protocol = run.protocol.as_ref().and_then(|p| desk.site.protocols.iter().find(|x| x.id.text == p.text));
    let Some(lab) = desk.site.lab(&run.lab) else { return false };
    let scope = lab.scope.iter().any(|s| {
        s.method.text == run.method.text
            && s.edition.text == run.method_edition.text
            && s.valid_from <= run.start.day
            && run.end.day <= s.valid_to
    });
    protocol.is_some_and(|p| p.signed_on <= run.start.day)
        && (scope || (lab.method_validation.is_some() && lab.approved_by.is_some()))
}

/// Every flux of the build comes to the zone of the pair, in no smaller a dose.
fn within(desk: &Desk, pair: &NetPair, build: &Build) -> bool {
    let uses = || {
        desk.file
            .flux_uses
            .iter()
            .filter(|u| u.order.si > 0.0 && pair.zone.as_ref().is_none_or(|z| z.text == u.zone.text))
    };
    build.flux.iter().all(|f| {
        let mut here = uses().filter(|u| u.flux.text == f.material.text).peekable();
        let none_listed = desk.file.flux_uses.is_empty();
        if none_listed {
            return true;
        }
        here.peek().is_some()
            && here.any(|u| match (&f.dose, u.dose_ucl.as_ref().or(u.dose.as_ref())) {
                (Some(tested), Some(used)) => tested.si <= used.si * (1.0 + 1e-9),
                _ => true,
            })
    })
}

/// Index of the set with the lowest tolerance bound, with that bound.
fn worst(desk: &Desk, pair: &NetPair) -> Option<(usize, (f64, Origin))> {
    let bound = |o: &&Outcome| o.statistic == Statistic::Ltb && o.refused.is_none();
    let best = desk
        .w
        .outcomes
        .iter()
        .filter(bound)
        .filter(|o| {
            let set = &desk.w.sets[o.set];
            set.quantity == "sir" && speaks(desk, pair, set)
        })
        .min_by(|a, b| a.value.total_cmp(&b.value))?;
    Some((best.set, (best.value, Origin::Working(best.working))))
}
