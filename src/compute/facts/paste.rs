//! Takes paste, apertures and bodies; gives area ratio, gap, fill and dose of residue.

use super::{Desk, written};
use crate::compute::calc::{
    area_ratio_circle, area_ratio_rectangle, btc_gap, paste_dose, paste_fractions, residue_fill,
};
use crate::compute::work::{Done, In};
use crate::model::assembly::{ApertureShape, Component};
use crate::model::workings::Origin;

/// Enters "area_ratio" per aperture (part, or part#number in the list when a part has several), "gap" (um) and "fill" (%) per part as written, or as predicted where nothing was
/// written, "gap_predicted" and "fill_predicted", and "paste_dose" (ug/cm2) per zone.
pub fn enter(desk: &mut Desk) {
    for (i, a) in desk.file.apertures.iter().enumerate() {
        let alone = desk.file.apertures.iter().filter(|x| x.refdes.text == a.refdes.text).count() == 1;
        let place = if alone { a.refdes.text.clone() } else { format!("{}#{}", a.refdes, i + 1) };
        let foil = written("T", &a.foil, "mm");
        let subject = format!("{}: area ratio", a.refdes);
        let done = match (a.shape, &a.width) {
            (ApertureShape::Circle, _) => {
                desk.work(&area_ratio_circle::CALC, &subject, "1", vec![written("D", &a.length, "mm"), foil])
            }
            (ApertureShape::Rectangle, Some(width)) => {
                let inputs = vec![written("L", &a.length, "mm"), written("W", width, "mm"), foil];
                desk.work(&area_ratio_rectangle::CALC, &subject, "1", inputs)
            }
            (ApertureShape::Rectangle, None) => None,
        };
        if let Some(done) = done {
            desk.fact("area_ratio", &place, "1", &done, 0);
        }
    }
    let fractions = fractions(desk);
    for c in &desk.file.components {
        if let Some(q) = &c.gap {
            desk.given("gap", &c.refdes, "um", q);
        }
        if let Some(q) = &c.fill {
            desk.given("fill", &c.refdes, "%", q);
        }
        if let Some(f) = &fractions {
            predict(desk, c, f);
        }
    }
    if let Some(f) = &fractions {
        doses(desk, f);
    }
}

/// Metal share, residue per paste and residue volume of the assembly's paste.
fn fractions(desk: &mut Desk) -> Option<Done> {
    let m = desk.paste()?;
    let inputs = vec![
        written("w", m.metal_share.as_ref()?, "1"),
        written("d_m", m.metal_density.as_ref()?, "g/cm3"),
        written("d_f", m.flux_density.as_ref()?, "g/cm3"),
        written("nv", m.solids.as_ref()?, "1"),
        written("d_r", m.residue_density.as_ref()?, "g/cm3"),
    ];
    desk.work(&paste_fractions::CALC, &format!("paste {}", m.id), "1", inputs)
}

/// Gap and fill under a body whose exposed pad carries it; nothing when a number is missing.
fn predict(desk: &mut Desk, c: &Component, f: &Done) -> Option<()> {
    let (paste, pad) = (c.paste_volume.as_ref()?, c.pad_area.as_ref()?);
    let void = c.void.as_ref()?;
    let inputs =
        vec![f.nth("v_m", 0), written("V_EP", paste, "mm3"), written("A_EP", pad, "mm2"), written("void", void, "1")];
    let gap = desk.work(&btc_gap::CALC, &format!("{}: gap predicted from paste", c.refdes), "um", inputs)?;
    desk.fact("gap_predicted", &c.refdes, "um", &gap, 0);
    if c.gap.is_none() {
        desk.fact("gap", &c.refdes, "um", &gap, 0);
    }
    let (x, y) = (c.body_x.as_ref()?, c.body_y.as_ref()?);
    let per: In = match &c.land_paste_volume {
        Some(q) => written("V_per", q, "mm3"),
        None => ("V_per", 0.0, Origin::Constant("no paste on other lands is stated")),
    };
    let inputs = vec![
        f.nth("psi", 2),
        written("V_EP", paste, "mm3"),
        per,
        ("A_body", x.in_unit("mm") * y.in_unit("mm"), Origin::Place(x.at)),
        written("A_EP", pad, "mm2"),
        written("A_lands", c.land_area.as_ref()?, "mm2"),
        gap.first("h"),
    ];
    let fill = desk.work(&residue_fill::CALC, &format!("{}: fill predicted from paste", c.refdes), "1", inputs)?;
    let share = Done { id: fill.id, values: vec![fill.values[0], fill.values[1] * 100.0] };
    desk.fact("fill_predicted", &c.refdes, "%", &share, 1);
    if c.fill.is_none() {
        desk.fact("fill", &c.refdes, "%", &share, 1);
    }
    Some(())
}

/// Dose of paste residue per zone in which the paste of every part is known.
fn doses(desk: &mut Desk, f: &Done) {
    for zone in &desk.file.zones {
        let parts: Vec<&Component> =
            desk.file.components.iter().filter(|c| c.zone.as_ref().is_some_and(|z| z.text == zone.id.text)).collect();
        let volume = |c: &Component| {
            let pads = c.paste_volume.as_ref()?.in_unit("mm3");
            let lands = c.land_paste_volume.as_ref().map_or(0.0, |q| q.in_unit("mm3"));
            Some((pads + lands) * (1 + c.like.len()) as f64)
        };
        let volumes: Option<Vec<f64>> = parts.iter().map(|c| volume(c)).collect();
        let (Some(volumes), Some(first)) = (volumes, parts.first()) else { continue };
        let at = first.paste_volume.as_ref().map_or(zone.id.at, |q| q.at);
        let total = ("V", volumes.iter().sum(), Origin::Rows(at, volumes.len()));
        let inputs = vec![f.nth("m_res", 1), total, written("A", &zone.area, "cm2")];
        if let Some(done) = desk.work(&paste_dose::CALC, &format!("zone {}: paste residue", zone.id), "ug/cm2", inputs)
        {
            desk.fact("paste_dose", &zone.id, "ug/cm2", &done, 0);
        }
    }
}
