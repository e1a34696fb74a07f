//! Coverage by board and pattern: body (K7), spacing (K8), field (K9), waveform (K10), finish (K11), mask (K12), laminate (K13).

use super::{Cell, Found};
use crate::judge::court::Case;
use crate::judge::places::Place;
use crate::model::assembly::NetPair;
use crate::model::evidence::PatternKind;
use crate::quantity::significant;

/// K7: the same body class over a gap no higher and no emptier.
pub fn k7_body(place: &Place, cell: &Cell) -> Found {
    let Some(c) = place.component else { return Found::not_needed("no body") };
    if let Some(product) = &cell.vehicle.assembly
        && cell.pattern.is_none()
    {
        return Found::single(true, format!("{product} itself"), c.body_class.word(), true);
    }
    let um = |q: &crate::quantity::Quantity| q.in_unit("um");
    let gap = c.gap.as_ref().map(um);
    let fill = c.fill.as_ref().map(|q| q.si * 100.0);
    let needed = format!(
        "{}, gap {}, fill {}",
        c.body_class,
        gap.map_or("unknown".into(), |g| format!("{} um", significant(g, 3))),
        fill.map_or("unknown".into(), |f| format!("{} %", significant(f, 2)))
    );
    let Some(p) = cell.pattern.filter(|p| p.kind == PatternKind::Body) else {
        return Found::single(false, "no body over the pattern", needed, false);
    };
    let class = p.body_class == Some(c.body_class);
    let tg = p.gap.as_ref().map(um);
    let tf = p.fill.as_ref().map(|q| q.si * 100.0);
    let tested = format!(
        "{}, gap {}, fill {}",
        p.body_class.map_or("no body", |b| b.word()),
        tg.map_or("unknown".into(), |g| format!("{} um", significant(g, 3))),
        tf.map_or("unknown".into(), |f| format!("{} %", significant(f, 2)))
    );
    let gap_ok = matches!((tg, gap), (Some(t), Some(a)) if t <= a * 1.05);
    let fill_ok = match (tf, fill) {
        (Some(t), Some(a)) => t >= a * 0.95,
        (_, None) => false,
        (None, Some(_)) => false,
    };
    // Chips stand on their end joints: no pad fills their gap, so fill is not judged for them.
    let fill_ok = fill_ok || c.body_class == crate::model::assembly::BodyClass::Chip;
    let no_more = class
        && matches!((tg, gap), (Some(t), Some(a)) if t >= a * 0.95)
        && matches!((tf, fill), (Some(t), Some(a)) if t <= a * 1.05);
    Found::single(class && gap_ok && fill_ok, tested, needed, no_more)
}

/// K8: for every pair of the place, a spacing no wider than its own.
pub fn k8_spacing(place: &Place, cell: &Cell) -> Found {
    if place.pairs.is_empty() {
        return Found::not_needed("no pair is listed at this place");
    }
    let um = |q: &crate::quantity::Quantity| significant(q.in_unit("um"), 3);
    let need = |p: &NetPair| format!("{} at {} um", p.id, um(&p.spacing));
    let needs: Vec<String> = place.pairs.iter().map(|p| need(p)).collect();
    let Some(p) = cell.pattern else {
        let brings = if cell.vehicle.assembly.is_some() { needs.clone() } else { Vec::new() };
        return Found::part(needs, brings, "the product itself", true);
    };
    let brings = place.pairs.iter().filter(|q| p.space.si <= q.spacing.si * (1.0 + 1e-9)).map(|q| need(q)).collect();
    let mild = place.pairs.iter().any(|q| p.space.si >= q.spacing.si * 0.999);
    Found::part(needs, brings, format!("{} um", um(&p.space)), mild)
}

/// Voltage regime: below the first bound, up to and with the second, above.
pub fn regime(case: &Case, volts: f64) -> &'static str {
    let r = &case.site().facts.regimes;
    let low = r.first().map_or(10.0, |q| q.si);
    let high = r.get(1).map_or(60.0, |q| q.si);
    if volts < low {
        "low"
    } else if volts <= high {
        "middle"
    } else {
        "high"
    }
}

/// K9: for every pair of the place, one cell with its field or more, in its regime, at its spacing or less.
pub fn k9_field(case: &Case, place: &Place, cell: &Cell) -> Found {
    if place.pairs.is_empty() {
        return Found::not_needed("no pair is listed at this place");
    }
    let v_mm = |x: f64| significant(x / 1000.0, 3);
    let need = |p: &NetPair| format!("{} at {} V/mm, {} regime", p.id, v_mm(case.field(p)), regime(case, p.v_peak.si));
    let needs: Vec<String> = place.pairs.iter().map(|p| need(p)).collect();
    let Some(p) = cell.pattern else {
        let brings = if cell.vehicle.assembly.is_some() { needs.clone() } else { Vec::new() };
        return Found::part(needs, brings, "the product itself", true);
    };
    let tested = p.v_bias.si / p.space.si;
    let same = regime(case, p.v_bias.si);
    let brings = place
        .pairs
        .iter()
        .filter(|q| regime(case, q.v_peak.si) == same)
        .filter(|q| tested >= case.field(q) * (1.0 - 1e-9) && p.space.si <= q.spacing.si * (1.0 + 1e-9))
        .map(|q| need(q))
        .collect();
    let mild = place.pairs.iter().any(|q| regime(case, q.v_peak.si) == same && tested <= case.field(q) * 1.05);
    Found::part(
        needs,
        brings,
        format!("{} V/mm, {} regime, {} um", v_mm(tested), same, significant(p.space.in_unit("um"), 3)),
        mild,
    )
}

/// K10: continuous direct voltage covers every waveform of the same peak.
pub fn k10_waveform(place: &Place, cell: &Cell) -> Found {
    let needs_dc = place.pairs.iter().any(|p| p.dc_fraction.si > 0.0);
    match cell.pattern {
        None => Found::single(cell.vehicle.assembly.is_some(), "the product itself", "as in use", true),
        Some(p) => {
            let word = |dc: bool| if dc { "direct voltage" } else { "alternating voltage" };
            Found::single(p.direct || !needs_dc, word(p.direct), word(needs_dc), true)
        }
    }
}

/// K11: the same finish.
pub fn k11_finish(case: &Case, cell: &Cell) -> Found {
    let (a, t) = (&case.a.board.finish.text, &cell.vehicle.finish.text);
    Found::single(a == t, t, a, a == t)
}

/// K12: the same mask, product, cure and surface, with lands defined alike or more laminate bare.
pub fn k12_mask(case: &Case, cell: &Cell) -> Found {
    let b = &case.a.board;
    let v = cell.vehicle;
    let defined = b.mask_defined.text == v.mask_defined.text || v.mask_defined.text == "NSMD";
    let same = b.mask.text == v.mask.text;
    Found::single(
        same && defined,
        format!("{}, {}", v.mask, v.mask_defined),
        format!("{}, {}", b.mask, b.mask_defined),
        same && b.mask_defined.text == v.mask_defined.text,
    )
}

/// K13: the same laminate with the same halogen class, from a fabricator in use.
pub fn k13_laminate(case: &Case, cell: &Cell) -> Found {
    let b = &case.a.board;
    let v = cell.vehicle;
    let fabricator = b.fabricators.iter().any(|f| f.text == v.fabricator.text);
    let same = b.laminate.text == v.laminate.text && b.halogen_free == v.halogen_free;
    Found::single(
        same && fabricator,
        format!("{} of {}", v.laminate, v.fabricator),
        format!("{} of {}", b.laminate, b.fabricators.iter().map(|f| f.text.as_str()).collect::<Vec<_>>().join(" or ")),
        same,
    )
}
