//! Coverage by material: formulation (K1), alloy (K2), powder (K3), stack (K4), dose (K5), incoming ions (K20), lots (K21).

use super::{Cell, Found};
use crate::judge::court::Case;
use crate::judge::places::Place;
use crate::model::evidence::{BuildFlux, RunKind};
use crate::model::processes::{Material, MaterialKind};
use crate::quantity::significant;

fn flux_of<'a>(cell: &Cell<'a>, material: &str) -> Option<&'a BuildFlux> {
    cell.build.flux.iter().find(|f| f.material.text == material)
}

/// K1: every flux of the place is on the build, at the revision in use. Where `stack` asks for the overlap as a whole
/// (K4), a cell with some of the fluxes speaks of its part.
pub fn k1_formulation(case: &Case, place: &Place, cell: &Cell, stack: bool) -> Found {
    if place.fluxes.is_empty() {
        return Found::single(false, "", "no flux is listed for this place", false);
    }
    let mut covered = true;
    let mut other_site = true;
    let mut tested = Vec::new();
    let mut needed = Vec::new();
    let any = cell.build.flux.iter().any(|b| place.fluxes.iter().any(|p| p.flux.text == b.material.text));
    for f in &place.fluxes {
        let m = case.material(&f.flux);
        let rev = m.formulation_rev.as_ref().map(|r| r.text.as_str());
        needed.push(format!("{} rev {}", m.id, rev.unwrap_or("unknown")));
        match flux_of(cell, &m.id) {
            Some(b) if rev == Some(b.formulation_rev.text.as_str()) => {}
            Some(b) => {
                covered = false;
                other_site = false;
                tested.push(format!("{} rev {}", b.material, b.formulation_rev));
            }
            None if stack && place.fluxes.len() > 1 && any => {}
            None => {
                covered = false;
                other_site &= cell.build.flux.iter().any(|b| same_formula(m, case.material(&b.material), b));
            }
        }
    }
    if tested.is_empty() {
        tested = cell.build.flux.iter().map(|b| format!("{} rev {}", b.material, b.formulation_rev)).collect();
    }
    Found::single(covered, tested.join(", "), needed.join(", "), covered).bridged_if(other_site)
}

/// The same formula from another site of its maker: alike in everything that is stated of a flux.
fn same_formula(a: &Material, b: &Material, on: &BuildFlux) -> bool {
    let sites = matches!((&a.maker_site, &b.maker_site), (Some(x), Some(y)) if x.text != y.text);
    let text = |t: &Option<crate::model::Text>| t.as_ref().map(|t| t.text.clone());
    let q = |x: &Option<crate::quantity::Quantity>| x.as_ref().map(|q| q.si.to_bits());
    let acids = |m: &Material| {
        let mut list: Vec<_> = m.acid.iter().map(|a| (a.name.text.clone(), q(&a.share))).collect();
        list.sort();
        list
    };
    sites
        && a.kind == b.kind
        && a.water_soluble == b.water_soluble
        && a.formulation_rev.as_ref().is_some_and(|r| r.text == on.formulation_rev.text)
        && text(&a.class_letters) == text(&b.class_letters)
        && text(&a.alloy) == text(&b.alloy)
        && q(&a.solids) == q(&b.solids)
        && q(&a.halogen) == q(&b.halogen)
        && acids(a) == acids(b)
}

/// The paste of the place, else that of the assembly, and the paste of the build.
fn pastes<'a>(case: &Case<'a>, place: &Place<'a>, cell: &Cell<'a>) -> Option<(&'a Material, Option<&'a Material>)> {
    let paste = |f: &&'a crate::model::assembly::FluxUse| case.material(&f.flux).kind == MaterialKind::Paste;
    let mine = place
        .fluxes
        .iter()
        .copied()
        .find(|f| paste(f))
        .or_else(|| case.a.flux_uses.iter().filter(|f| f.order.si > 0.0).find(paste))
        .map(|f| case.material(&f.flux))?;
    let tested = cell.build.flux.iter().map(|b| case.material(&b.material)).find(|m| m.kind == MaterialKind::Paste);
    // A cell of liquid flux alone speaks of its part of an overlap; K4 asks for the paste under it.
    let part = tested.is_none() && place.fluxes.len() > 1;
    (!part).then_some((mine, tested))
}

/// K2: the same alloy family. Reasoning may carry neither bismuth nor lead in or out.
pub fn k2_alloy(case: &Case, place: &Place, cell: &Cell) -> Found {
    let Some((mine, tested)) = pastes(case, place, cell) else { return Found::not_needed("no paste") };
    let word = |m: Option<&Material>| m.and_then(|m| m.alloy.as_ref()).map(|t| t.text.trim().to_string());
    let (a, t) = (word(Some(mine)), word(tested));
    let same = a.is_some() && a == t;
    let parts = |x: &Option<String>| {
        let has = |metal: &str| x.as_ref().is_some_and(|x| x.split(['-', ' ', '/']).any(|p| p.starts_with(metal)));
        (has("Bi"), has("Pb"))
    };
    let show = |x: &Option<String>| x.clone().unwrap_or("unknown".into());
    let admissible = a.is_some() && t.is_some() && parts(&a) == parts(&t);
    Found::single(same, show(&t), show(&a), same).bridged_if(admissible)
}

/// K3: the same powder or a finer one; a bridge carries one step and no more.
pub fn k3_powder(case: &Case, place: &Place, cell: &Cell) -> Found {
    let Some((mine, tested)) = pastes(case, place, cell) else { return Found::not_needed("no paste") };
    let number = |m: Option<&Material>| m.and_then(|m| m.powder_type.as_ref()).map(|q| q.si);
    match (number(Some(mine)), number(tested)) {
        (Some(a), Some(t)) => {
            Found::single(t >= a, format!("type {t}"), format!("type {a} or finer"), t <= a).bridged_if(t >= a - 1.0)
        }
        (a, t) => {
            let word = |x: Option<f64>| x.map_or("unknown".to_string(), |v| format!("type {v}"));
            Found::single(false, word(t), word(a), false)
        }
    }
}

/// The flux of the place that a flux of the build stands for: itself, or the same formula from another site (whether
/// that counts is for K1 to say).
fn stands_for<'a>(case: &Case<'a>, place: &Place<'a>, b: &'a BuildFlux) -> &'a str {
    let own = place.fluxes.iter().any(|f| f.flux.text == b.material.text);
    let like = || place.fluxes.iter().find(|f| same_formula(case.material(&f.flux), case.material(&b.material), b));
    match if own { None } else { like() } {
        Some(f) => &f.flux.text,
        None => &b.material.text,
    }
}

/// K4: every overlap of fluxes of the place, in its order. A bridge may carry an overlap whose fluxes a cell both
/// holds, in another order; a flux that a cell lacks is carried by none.
pub fn k4_stack<'a>(case: &Case<'a>, place: &Place<'a>, cell: &Cell<'a>) -> Found {
    let mine: Vec<&str> = place.fluxes.iter().map(|f| f.flux.text.as_str()).collect();
    let theirs: Vec<&str> = cell.build.flux.iter().map(|f| stands_for(case, place, f)).collect();
    let position = |m: &str| theirs.iter().position(|t| *t == m);
    let mut needs = Vec::new();
    let mut brings = Vec::new();
    let mut carry = Vec::new();
    if mine.len() == 1 {
        needs.push(format!("{} alone", mine[0]));
        if theirs == mine {
            brings.push(needs[0].clone());
        }
    }
    for (i, under) in mine.iter().enumerate() {
        for over in &mine[i + 1..] {
            let need = format!("{over} on {under}");
            match (position(under), position(over)) {
                (Some(a), Some(b)) if a < b => brings.push(need.clone()),
                (Some(_), Some(_)) => carry.push(need.clone()),
                _ => {}
            }
            needs.push(need);
        }
    }
    // Milder when it holds some of the fluxes, in the order of the place.
    let order: Vec<Option<usize>> = theirs.iter().map(|t| mine.iter().position(|m| m == t)).collect();
    let same = order.iter().all(Option::is_some) && order.is_sorted();
    Found::part(needs, brings, theirs.join(" then "), same).bridged_for(carry)
}

/// K5: the dose at its upper control limit, and unheated flux where flux stays unheated.
pub fn k5_dose<'a>(case: &Case<'a>, place: &Place<'a>, cell: &Cell<'a>) -> Found {
    let mut needs = Vec::new();
    let mut brings = Vec::new();
    let mut carry = Vec::new();
    let mut tested = Vec::new();
    let mut no_more_severe = true;
    for f in &place.fluxes {
        if case.material(&f.flux).kind == MaterialKind::Paste {
            continue;
        }
        let theirs = cell.build.flux.iter().find(|b| stands_for(case, place, b) == f.flux.text);
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
                } else if dose.is_some_and(|d| d > 0.0 && u <= d * 1.15) {
                    carry.push(need.clone());
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
        } else if theirs.is_some_and(|b| !b.heated) {
            // Unheated flux where the product heats all of it.
            no_more_severe = false;
        }
    }
    if needs.is_empty() {
        return Found::not_needed("paste only: its amount is set by the print");
    }
    Found::part(needs, brings, tested.join(", "), no_more_severe).bridged_for(carry)
}

/// K20: the vehicle's bare board was no cleaner than the boards that production uses. Where those are measured, a
/// bridge may carry a coupon that was cleaned before building.
pub fn k20_incoming(case: &Case, cell: &Cell) -> Found {
    let counts = |run: &str| {
        case.site().run(run).is_some_and(|r| r.run.kind == RunKind::IncomingIonic)
            && case.court.standing(run).role == "used"
    };
    let mut values: Vec<f64> = case
        .court
        .workings
        .sets
        .iter()
        .filter(|s| s.quantity.eq_ignore_ascii_case("ionic_cl") && s.unit == "ug/cm2" && counts(&s.run))
        .filter(|s| case.a.board.fabricators.iter().any(|f| f.text == s.place) && !case.out_of_use(&s.place))
        .flat_map(|s| s.samples.iter().map(|x| x.value))
        .filter(|v| v.is_finite())
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
    .bridged_if(true)
}

/// K21: three lots of every flux that is judged by lots, over all runs together. One lot with a witness of every lot
/// may be carried by a bridge; none may not.
pub fn k21_lots<'a>(case: &Case<'a>, place: &Place<'a>, cell: &Cell<'a>) -> Found {
    let needs: Vec<String> = (1..=3).map(|i| format!("lot {i}")).collect();
    let Some(first) = place.fluxes.first() else { return Found::part(needs, Vec::new(), "", true) };
    let of = |f: &&'a BuildFlux| stands_for(case, place, f) == first.flux.text;
    let lots: Vec<String> = cell.build.flux.iter().filter(of).map(|f| f.lot.text.clone()).collect();
    // The needs are counted, not named: `lacking` counts the distinct lots that all cells bring.
    let tested = lots.join(", ");
    let mut f = Found::part(needs, Vec::new(), tested, true).bridged_if(!lots.is_empty());
    f.needed = "three lots over all runs".into();
    f.brings = lots;
    f
}
