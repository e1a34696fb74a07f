//! Checks of the line (C6, C7): apertures, lots, repair, hidden functions of the wash, time to coat.

use super::lacks;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::judge::rules::threshold;
use crate::model::assessment::{ClaimResult, Code};
use crate::model::evidence::Washed;
use crate::model::governance::ClaimSpec;
use crate::model::processes::StepKind;
use crate::quantity::significant;

/// Every aperture has the agreed area ratio, or a measured transfer.
pub fn apertures_release(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let Some(limit) = threshold(case, spec, "area_ratio", out) else { return };
    if case.a.apertures.is_empty() {
        return lacks(out, Code::Missing, "", "no aperture is listed", Some(case.a.assembly.at));
    }
    let wanted = limit.value.si;
    for (i, ap) in case.a.apertures.iter().enumerate() {
        let name = format!("{}#{}", ap.refdes, i + 1);
        let fact = case
            .court
            .workings
            .fact(case.id(), "area_ratio", &name)
            .or_else(|| case.court.workings.fact(case.id(), "area_ratio", &ap.refdes));
        let Some(f) = fact else {
            lacks(out, Code::Missing, &ap.refdes, format!("no area ratio for {}", ap.refdes), Some(ap.at));
            continue;
        };
        if !out.workings.contains(&f.working) {
            out.workings.push(f.working);
        }
        if out.value.is_nan() || f.value < out.value {
            out.value = f.value;
            out.limit = wanted;
            out.margin = f.value - wanted;
            out.unit = "1".into();
            out.place = ap.refdes.text.clone();
        }
        if f.value < wanted && ap.transfer.is_none() {
            lacks(
                out,
                Code::NotShown,
                &ap.refdes,
                format!(
                    "{}: area ratio {}, agreed {}, transfer not measured",
                    ap.refdes,
                    significant(f.value, 2),
                    significant(wanted, 2)
                ),
                Some(ap.at),
            );
        } else {
            out.saw(format!("{}: area ratio {}", ap.refdes, significant(f.value, 2)), ap.at);
        }
    }
}

/// Enough lots were tested, and lots differ no more than readings within a lot.
pub fn lots_alike(case: &Case, spec: &ClaimSpec, out: &mut ClaimResult) {
    let (Some(lots), Some(spread)) = (threshold(case, spec, "lots", out), threshold(case, spec, "lot_spread", out))
    else {
        return;
    };
    let paste: Option<&str> = case
        .a
        .flux_uses
        .iter()
        .filter(|f| f.order.si > 0.0)
        .find(|f| case.material(&f.flux).kind == crate::model::processes::MaterialKind::Paste)
        .map(|f| f.flux.text.as_str());
    let Some(paste) = paste else {
        return lacks(out, Code::Missing, "", "no paste is listed", Some(case.a.assembly.at));
    };
    // (lot, mean, variance) of the open-comb readings of every admissible run that names one lot.
    let mut means: Vec<(String, f64, f64)> = Vec::new();
    for r in case.runs(&spec.id) {
        if case.court.standing(&r.run.id).role != "used" {
            continue;
        }
        for set in case.court.workings.sets.iter().filter(|s| s.run == r.run.id.text && s.quantity == "sir") {
            let Some((_, b)) = case.site().build(&set.build) else { continue };
            if b.flux.len() != 1
                || b.flux[0].material.text != paste
                || set.samples.len() < 2
                || b.aged
                || b.washed != Washed::No
            {
                continue;
            }
            if set.pattern != Some(crate::model::evidence::PatternKind::Comb) {
                continue;
            }
            let n = set.samples.len() as f64;
            let mean = set.samples.iter().map(|s| s.value).sum::<f64>() / n;
            let var = set.samples.iter().map(|s| (s.value - mean) * (s.value - mean)).sum::<f64>() / (n - 1.0);
            out.saw(
                format!(
                    "lot {}: mean {}, sd {} in {}",
                    b.flux[0].lot,
                    significant(mean, 3),
                    significant(var.sqrt(), 2),
                    r.run.id
                ),
                b.at,
            );
            if !out.runs.contains(&r.run.id.text) {
                out.runs.push(r.run.id.text.clone());
            }
            means.push((b.flux[0].lot.text.clone(), mean, var));
        }
    }
    let mut names: Vec<&str> = means.iter().map(|m| m.0.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    out.n = names.len();
    if (names.len() as f64) < lots.value.si {
        return lacks(
            out,
            Code::LotMismatch,
            "K21",
            format!("{} lots of {paste} were tested, agreed {}", names.len(), significant(lots.value.si, 2)),
            Some(lots.at),
        );
    }
    let k = means.len() as f64;
    let grand = means.iter().map(|m| m.1).sum::<f64>() / k;
    let between = (means.iter().map(|m| (m.1 - grand) * (m.1 - grand)).sum::<f64>() / (k - 1.0)).sqrt();
    let within = (means.iter().map(|m| m.2).sum::<f64>() / k).sqrt();
    let ratio = between / within;
    out.value = ratio;
    out.limit = spread.value.si;
    out.margin = spread.value.si - ratio;
    out.unit = "1".into();
    out.criterion = spread.id.text.clone();
    out.statistic = "sd between lots over sd within lots".into();
    if ratio > spread.value.si || !ratio.is_finite() {
        lacks(
            out,
            Code::NotShown,
            "K21",
            format!(
                "lots differ by {} times the spread within a lot, agreed {}",
                significant(ratio, 2),
                significant(spread.value.si, 2)
            ),
            Some(spread.at),
        );
    }
}

/// It is written down how units built with the old flux are repaired.
pub fn legacy_repair(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    match case.site().repair_routes.iter().find(|r| r.assemblies.iter().any(|a| a.text == case.id())) {
        Some(r) => out.saw(format!("{}: {} ({})", r.id, r.route, r.document), r.at),
        None => lacks(out, Code::Missing, "", "no repair route is written down", Some(case.a.assembly.at)),
    }
}

/// What else the wash did is listed, and each has a replacement with evidence.
pub fn hidden_functions_replaced(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let all = &case.site().hidden_functions;
    if all.is_empty() {
        return lacks(out, Code::Missing, "", "nobody listed what else the wash does today", None);
    }
    out.n = all.len();
    for h in all {
        match (&h.replacement, &h.evidence) {
            (Some(r), Some(e)) => out.saw(format!("{}: {} -> {r} ({e})", h.id, h.what), h.at),
            (None, _) => lacks(out, Code::Missing, &h.id, format!("{}: nothing replaces it", h.what), Some(h.at)),
            (_, None) => {
                lacks(out, Code::Missing, &h.id, format!("{}: its replacement has no evidence", h.what), Some(h.at))
            }
        }
    }
}

/// Time and storage until coating or packing are stated and within what was tested.
pub fn time_to_coat(case: &Case, _: &ClaimSpec, out: &mut ClaimResult) {
    let p = case.process();
    if p.storage.is_none() {
        lacks(out, Code::Missing, "storage", "how boards are kept until coat or pack is not stated", Some(p.at));
    }
    let Some(limit) = &p.coat_within else {
        return lacks(out, Code::Missing, "coat_within", "the longest time to coat or pack is not stated", Some(p.at));
    };
    out.saw(format!("coat or pack within {limit}"), limit.at);
    let coats = p.step.iter().any(|s| s.kind == StepKind::Coat);
    match (&case.a.coating, coats) {
        (Some(c), true) => {
            out.saw(format!("coating stated within {}", c.applied_within), c.applied_within.at);
            if limit.si > c.applied_within.si * (1.0 + 1e-9) {
                lacks(
                    out,
                    Code::NotCovered,
                    "coat_within",
                    format!("the process allows {limit}, coating was shown within {}", c.applied_within),
                    Some(limit.at),
                );
            }
        }
        (Some(c), false) => {
            lacks(
                out,
                Code::Conflict,
                "coating",
                "the assembly is coated and the process has no coating step",
                Some(c.at),
            );
        }
        (None, true) => {
            lacks(out, Code::Conflict, "coating", "the process coats and the assembly states no coating", Some(p.at));
        }
        (None, false) => {}
    }
}
