//! Coverage by material: formulation (K1), alloy (K2), powder (K3), stack (K4), dose (K5), incoming ions (K20), lots (K21).

use super::{Cell, Found};
use crate::judge::court::Case;
use crate::judge::places::Place;
use crate::model::evidence::BuildFlux;
use crate::model::processes::MaterialKind;
use crate::quantity::significant;

fn flux_of<'a>(cell: &Cell<'a>, material: &str) -> Option<&'a BuildFlux> {
    cell.build.flux.iter().find(|f| f.material.text == material)
}

/// K1: every flux of the place is on the build, at the revision in use.
pub fn k1_formulation(case: &Case, place: &Place, cell: &Cell) -> Found {
    if place.fluxes.is_empty() {
        return Found::single(false, "", "no flux is listed for this place", false);
    }
    let mut covered = true;
    let mut tested = Vec::new();
    let mut needed = Vec::new();
    for f in &place.fluxes {
        let m = case.material(&f.flux);
        let rev = m.formulation_rev.as_ref().map(|r| r.text.as_str());
        needed.push(format!("{} rev {}", m.id, rev.unwrap_or("unknown")));
        match flux_of(cell, &m.id) {
            Some(b) if rev == Some(b.formulation_rev.text.as_str()) => {}
            Some(b) => {
                covered = false;
                tested.push(format!("{} rev {}", b.material, b.formulation_rev));
            }
            // A flux of an overlap may be missing from one cell: K4 asks for the stack as a whole.
            None if place.fluxes.len() > 1
                && cell.build.flux.iter().any(|b| place.fluxes.iter().any(|p| p.flux.text == b.material.text)) => {}
            None => covered = false,
        }
    }
    if tested.is_empty() {
        tested = cell.build.flux.iter().map(|b| format!("{} rev {}", b.material, b.formulation_rev)).collect();
    }
    Found::single(covered, tested.join(", "), needed.join(", "), covered)
}

/// The paste of the assembly and of the build.
fn pastes<'a>(
    case: &Case<'a>,
    cell: &Cell<'a>,
) -> Option<(&'a crate::model::processes::Material, Option<&'a crate::model::processes::Material>)> {
    let mine = case
        .a
        .flux_uses
        .iter()
        .filter(|f| f.order.si > 0.0)
        .map(|f| case.material(&f.flux))
        .find(|m| m.kind == MaterialKind::Paste)?;
    let tested = cell.build.flux.iter().map(|b| case.material(&b.material)).find(|m| m.kind == MaterialKind::Paste);
    Some((mine, tested))
}

/// K2: the same alloy family.
pub fn k2_alloy(case: &Case, cell: &Cell) -> Found {
    let Some((mine, tested)) = pastes(case, cell) else { return Found::not_needed("no paste") };
    let a = mine.alloy.as_ref().map_or("unknown", |t| t.text.as_str());
    let t = tested.and_then(|m| m.alloy.as_ref()).map_or("unknown", |t| t.text.as_str());
    Found::single(a == t && a != "unknown", t, a, a == t)
}

/// K3: the same powder or a finer one.
pub fn k3_powder(case: &Case, cell: &Cell) -> Found {
    let Some((mine, tested)) = pastes(case, cell) else { return Found::not_needed("no paste") };
    let number = |m: Option<&crate::model::processes::Material>| m.and_then(|m| m.powder_type.as_ref()).map(|q| q.si);
    match (number(Some(mine)), number(tested)) {
        (Some(a), Some(t)) => Found::single(t >= a, format!("type {t}"), format!("type {a} or finer"), t <= a),
        (a, t) => {
            let word = |x: Option<f64>| x.map_or("unknown".to_string(), |v| format!("type {v}"));
            Found::single(false, word(t), word(a), false)
        }
    }
}

/// K4: every overlap of fluxes of the place, in its order.
pub fn k4_stack(place: &Place, cell: &Cell) -> Found {
    let mine: Vec<&str> = place.fluxes.iter().map(|f| f.flux.text.as_str()).collect();
    let theirs: Vec<&str> = cell.build.flux.iter().map(|f| f.material.text.as_str()).collect();
    let position = |m: &str| theirs.iter().position(|t| *t == m);
    let mut needs = Vec::new();
    let mut brings = Vec::new();
    if mine.len() == 1 {
        needs.push(format!("{} alone", mine[0]));
        if theirs == mine {
            brings.push(needs[0].clone());
        }
    }
    for pair in mine.windows(2) {
        let need = format!("{} on {}", pair[1], pair[0]);
        if let (Some(a), Some(b)) = (position(pair[0]), position(pair[1]))
            && a < b
        {
            brings.push(need.clone());
        }
        needs.push(need);
    }
    let same = theirs.iter().all(|t| mine.contains(t));
    Found::part(needs, brings, theirs.join(" then "), same)
}

/// K5: the dose at its upper control limit, and unheated flux where flux stays unheated.
pub fn k5_dose(case: &Case, place: &Place, cell: &Cell) -> Found {
    let mut needs = Vec::new();
    let mut brings = Vec::new();
    let mut tested = Vec::new();
    let mut no_more_severe = true;
    for f in &place.fluxes {
        if case.material(&f.flux).kind == MaterialKind::Paste {
            continue;
        }
        let theirs = flux_of(cell, &f.flux);
        let dose = theirs.and_then(|b| b.dose.as_ref()).map(|q| q.in_unit("ug/cm2"));
        if let (Some(b), Some(d)) = (theirs, dose) {
            let heat = if b.heated { "" } else { " unheated" };
            tested.push(format!("{} {} ug/cm2{heat}", f.flux, significant(d, 3)));
        }
        match &f.dose_ucl {
            Some(ucl) => {
                let u = ucl.in_unit("ug/cm2");
                let need = format!("{} at {} ug/cm2", f.flux, significant(u, 3));
                if dose.is_some_and(|d| d >= u * (1.0 - 1e-9)) {
                    brings.push(need.clone());
                }
                no_more_severe &= dose.is_none_or(|d| d <= u * 1.05);
                needs.push(need);
            }
            None => needs.push(format!("{} at an upper control limit that is not stated", f.flux)),
        }
        if f.heated_fraction.as_ref().is_none_or(|h| h.si < 1.0) {
            let need = format!("{} unheated", f.flux);
            if theirs.is_some_and(|b| !b.heated) {
                brings.push(need.clone());
            }
            needs.push(need);
        }
    }
    if needs.is_empty() {
        return Found::not_needed("paste only: its amount is set by the print");
    }
    Found::part(needs, brings, tested.join(", "), no_more_severe)
}

/// K20: the vehicle's bare board was no cleaner than the boards that production uses.
pub fn k20_incoming(case: &Case, cell: &Cell) -> Found {
    let mut values: Vec<f64> = case
        .court
        .workings
        .sets
        .iter()
        .filter(|s| s.quantity.eq_ignore_ascii_case("ionic_cl"))
        .filter(|s| case.a.board.fabricators.iter().any(|f| f.text == s.place) && !case.excluded(&s.place))
        .flat_map(|s| s.samples.iter().map(|x| x.value))
        .collect();
    values.sort_by(f64::total_cmp);
    let Some(median) = values.get(values.len() / 2).copied() else {
        return Found::single(false, "", "bare boards of production were not measured", true);
    };
    let needed =
        format!("chloride of the bare board at least {} ug/cm2 (median of production)", significant(median, 2));
    match &cell.vehicle.bare_ionic {
        Some(q) => {
            let v = q.in_unit("ug/cm2");
            Found::single(v >= median * 0.999, format!("{} ug/cm2", significant(v, 2)), needed, v <= median * 1.05)
        }
        None => Found::single(false, "not measured", needed, true),
    }
}

/// K21: three lots of every flux that is judged by lots, over all runs together.
pub fn k21_lots(place: &Place, cell: &Cell) -> Found {
    let needs: Vec<String> = (1..=3).map(|i| format!("lot {i}")).collect();
    let Some(first) = place.fluxes.first() else { return Found::part(needs, Vec::new(), "", true) };
    let lots: Vec<String> =
        cell.build.flux.iter().filter(|f| f.material.text == first.flux.text).map(|f| f.lot.text.clone()).collect();
    // The needs are counted, not named: `together` renumbers the distinct lots that all cells bring.
    let tested = lots.join(", ");
    let mut f = Found::part(needs, Vec::new(), tested, true);
    f.needed = "three lots over all runs".into();
    f.brings = lots;
    f
}
