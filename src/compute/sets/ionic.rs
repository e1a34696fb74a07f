//! Takes concentrations in extracts; gives ions per area, and measured over predicted content.

use super::{Row, Sets, lot_of};
use crate::compute::calc::ionic_content;
use crate::model::workings::{RunFact, Sample, Workings};
use std::collections::BTreeMap;

/// Enters a set "ionic_<ion>" per ion and place, and "ionic_balance" where a content is predicted.
pub fn collect(sets: &mut Sets, w: &mut Workings) {
    let ctx = sets.ctx;
    let mut bases: BTreeMap<(String, String), String> = BTreeMap::new();
    let mut detection: BTreeMap<String, (f64, crate::diag::At)> = BTreeMap::new();
    for table in ctx.folder.tables("ionic") {
        for row in 0..table.rows() {
            let (board, place, ion) = (table.text("board", row), table.text("place", row), table.text("ion", row));
            let (volume, dilution, area) =
                (table.number("volume", row), table.number("dilution", row), table.number("area", row));
            let (blank, lod) = (table.number("blank", row), table.number("lod", row));
            // A cell left empty is below detection.
            let conc = Some(table.number("conc", row)).filter(|c| c.is_finite()).unwrap_or(0.0);
            let c = ionic_content::c(conc, blank, lod, volume, dilution, area);
            let at = table.at(row);
            let quantity = format!("ionic_{ion}");
            let lot = lot_of(ctx, board);
            sets.add(Row { board, place, lot: &lot, at }, &quantity, "ug/cm2", c);
            let basis = table.text("area_basis", row);
            let first = bases.entry((place.to_string(), ion.to_string())).or_insert_with(|| basis.to_string());
            if first != basis {
                let text = format!("{place} counts its area as {first} and as {basis}");
                sets.of(board, place, &quantity, "ug/cm2", None).trouble(|| text);
            }
            let least = ionic_content::c(0.0, 0.0, lod, volume, dilution, area);
            let highest = detection.entry(ion.to_string()).or_insert((least, at));
            if least > highest.0 {
                *highest = (least, at);
            }
            let expected = table.number("expected", row);
            if expected.is_finite() {
                let p = sets.of(board, place, "ionic_balance", "1", None);
                if expected > 0.0 {
                    p.set.samples.push(Sample {
                        board: board.to_string(),
                        place: format!("{place}/{ion}"),
                        lot,
                        value: c / expected,
                        censored: false,
                        at,
                    });
                } else {
                    p.trouble(|| format!("the predicted content of {ion} on {board} is zero"));
                }
            }
        }
    }
    for (ion, (value, at)) in detection {
        let run = ctx.run().id.text.clone();
        w.run_facts.push(RunFact { run, name: "lod", place: ion, value, unit: "ug/cm2".into(), working: None, at });
    }
}
