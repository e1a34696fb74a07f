//! Coverage by board and pattern: body (K7), spacing (K8), field (K9), waveform (K10), finish (K11), mask (K12), laminate (K13).

use super::{Cell, Found};
use crate::judge::court::Case;
use crate::judge::places::Place;
use crate::model::assembly::{BodyClass, Geometry, NetPair, SourceKind};
use crate::model::evidence::{Pattern, PatternKind};
use crate::quantity::significant;

/// K7: the same body class over a gap no higher and no emptier. A bridge may carry a measured gap up to 10 % lower;
/// it carries neither another class nor an open comb.
pub fn k7_body(place: &Place, cell: &Cell) -> Found {
    let Some(c) = place.component else {
        let under = place.pairs.iter().any(|p| p.geometry == Geometry::BodyUnder);
        return if under {
            Found::single(false, "", "the body over the pair is not listed", false)
        } else {
            Found::not_needed("no body")
        };
    };
    let um = |q: &crate::quantity::Quantity| q.in_unit("um");
    let gap = c.gap.as_ref().map(um);
    let fill = c.fill.as_ref().map(|q| q.si * 100.0);
    let words = |class: &str, gap: Option<f64>, fill: Option<f64>| {
        format!(
            "{class}, gap {}, fill {}",
            gap.map_or("unknown".into(), |g| format!("{} um", significant(g, 3))),
            fill.map_or("unknown".into(), |f| format!("{} %", significant(f, 2)))
        )
    };
    let needed = words(c.body_class.word(), gap, fill);
    let Some(p) = cell.pattern.filter(|p| p.kind == PatternKind::Body) else {
        return Found::single(false, "no body over the pattern", needed, false);
    };
    let class = p.body_class == Some(c.body_class);
    let tg = p.gap.as_ref().map(um);
    let tf = p.fill.as_ref().map(|q| q.si * 100.0);
    let tested = words(p.body_class.map_or("no body", |b| b.word()), tg, tf);
    let lower = |by: f64| matches!((tg, gap), (Some(t), Some(a)) if t <= a * by);
    // Chips stand on their end joints: no pad fills their gap, so fill is not judged for them.
    let chip = c.body_class == BodyClass::Chip;
    let fuller = chip || matches!((tf, fill), (Some(t), Some(a)) if t >= a * 0.95);
    let no_more = class
        && matches!((tg, gap), (Some(t), Some(a)) if t >= a * 0.95)
        && (chip || matches!((tf, fill), (Some(t), Some(a)) if t <= a * 1.05));
    let measured = c.gap_source == Some(SourceKind::Measured);
    Found::single(class && lower(1.05) && fuller, tested, needed, no_more)
        .bridged_if(class && fuller && measured && lower(1.1))
}

/// Whether a pattern is no wider than a pair, or no wider than `by` times.
fn as_narrow(p: &Pattern, pair: &NetPair, by: f64) -> bool {
    p.space.si <= pair.spacing.si * by * (1.0 + 1e-9)
}

/// K8: for every pair of the place, a spacing no wider than its own; a bridge carries 15 %.
pub fn k8_spacing(case: &Case, place: &Place, cell: &Cell) -> Found {
    if place.pairs.is_empty() {
        return Found::not_needed("no pair is listed at this place");
    }
    let um = |q: &crate::quantity::Quantity| significant(q.in_unit("um"), 3);
    let need = |p: &NetPair| format!("{} at {} um", p.id, um(&p.spacing));
    let those = |by: f64, p: &Pattern| -> Vec<String> {
        place.pairs.iter().filter(|q| as_narrow(p, q, by)).map(|q| need(q)).collect()
    };
    let needs: Vec<String> = place.pairs.iter().map(|p| need(p)).collect();
    let Some(p) = cell.pattern else { return without_pattern(case, cell, needs) };
    let mild = place.pairs.iter().any(|q| p.space.si >= q.spacing.si * 0.999);
    Found::part(needs, those(1.0, p), format!("{} um", um(&p.space)), mild).bridged_for(those(1.15, p))
}

/// A cell without a pattern speaks of pairs only when it is the product itself.
fn without_pattern(case: &Case, cell: &Cell, needs: Vec<String>) -> Found {
    if cell.is_product(&case.a.assembly) {
        Found::part(needs.clone(), needs, "the product itself", true)
    } else {
        Found::part(needs, Vec::new(), "no pattern", false)
    }
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

/// K9: for every pair of the place, one cell with its field or more, in its regime, at its spacing or less. A bridge
/// carries 20 % of field within the regime, and never from one regime to another.
pub fn k9_field(case: &Case, place: &Place, cell: &Cell) -> Found {
    if place.pairs.is_empty() {
        return Found::not_needed("no pair is listed at this place");
    }
    let v_mm = |x: f64| significant(x / 1000.0, 3);
    let need = |p: &NetPair| format!("{} at {} V/mm, {} regime", p.id, v_mm(case.field(p)), regime(case, p.v_peak.si));
    let needs: Vec<String> = place.pairs.iter().map(|p| need(p)).collect();
    let Some(p) = cell.pattern else { return without_pattern(case, cell, needs) };
    let tested = p.v_bias.si / p.space.si;
    let same = regime(case, p.v_bias.si);
    let those = |more: f64, wider: f64| -> Vec<String> {
        let in_regime = |q: &&&NetPair| regime(case, q.v_peak.si) == same;
        let strong = |q: &&&NetPair| tested * more >= case.field(q) * (1.0 - 1e-9) && as_narrow(p, q, wider);
        place.pairs.iter().filter(in_regime).filter(strong).map(|q| need(q)).collect()
    };
    // Milder for a pair only when neither its field nor its spacing is exceeded.
    let mild = place.pairs.iter().any(|q| {
        regime(case, q.v_peak.si) == same && tested <= case.field(q) * 1.05 && p.space.si >= q.spacing.si * 0.999
    });
    let words = format!("{} V/mm, {} regime, {} um", v_mm(tested), same, significant(p.space.in_unit("um"), 3));
    Found::part(needs, those(1.0, 1.0), words, mild).bridged_for(those(1.2, 1.15))
}

/// K10: continuous direct voltage covers every waveform of the same peak. No reasoning carries alternating to direct.
pub fn k10_waveform(place: &Place, cell: &Cell) -> Found {
    // Where no pair is listed, nothing says that the bias alternates.
    let needs_dc = place.pairs.is_empty() || place.pairs.iter().any(|p| p.dc_fraction.si > 0.0);
    match cell.pattern {
        None => Found::single(cell.vehicle.assembly.is_some(), "the product itself", "as in use", true),
        Some(p) => {
            let word = |dc: bool| if dc { "direct voltage" } else { "alternating voltage" };
            Found::single(p.direct || !needs_dc, word(p.direct), word(needs_dc), needs_dc || !p.direct)
        }
    }
}

/// Finishes between which a bridge may carry evidence, either way.
const LIKE_FINISHES: &[(&str, &str)] = &[("enig", "enepig"), ("hasl", "imsn"), ("sac hasl", "imsn")];

/// K11: the same finish; bare copper speaks for copper under a preservative.
pub fn k11_finish(case: &Case, cell: &Cell) -> Found {
    let (a, t) = (&case.a.board.finish.text, &cell.vehicle.finish.text);
    let (la, lt) = (a.trim().to_lowercase(), t.trim().to_lowercase());
    let bare = la == "osp" && matches!(lt.as_str(), "bare cu" | "bare copper");
    let like = LIKE_FINISHES.iter().any(|(x, y)| (la == *x && lt == *y) || (la == *y && lt == *x));
    Found::single(la == lt || bare, t, a, la == lt).bridged_if(like)
}

/// K12: the same mask, product, cure and surface, with lands defined alike or more laminate bare. A bridge may carry
/// another mask; it never carries streets that the product leaves bare and the vehicle covered.
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
    .bridged_if(defined)
}

/// K13: the same laminate with the same halogen class, from a fabricator in use. A bridge may carry another fabricator
/// or laminate; never halogen-free to brominated.
pub fn k13_laminate(case: &Case, cell: &Cell) -> Found {
    let b = &case.a.board;
    let v = cell.vehicle;
    let in_use: Vec<&str> = b.fabricators.iter().map(|f| f.text.as_str()).filter(|f| !case.out_of_use(f)).collect();
    let fabricator = in_use.contains(&v.fabricator.text.as_str());
    let same = b.laminate.text == v.laminate.text && b.halogen_free == v.halogen_free;
    Found::single(
        same && fabricator,
        format!("{} of {}", v.laminate, v.fabricator),
        format!("{} of {}", b.laminate, in_use.join(" or ")),
        same,
    )
    .bridged_if(b.halogen_free == v.halogen_free)
}
