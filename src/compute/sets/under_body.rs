//! Takes what was seen under bodies; gives wet residue, gap and fill per part.

use super::{Ctx, Row, Sets, lot_of};

/// The part that stands for a group of like parts in an assembly that the run speaks to, or the part itself.
fn group<'a>(ctx: Ctx<'a>, refdes: &'a str) -> &'a str {
    let (_, assemblies) = ctx.site.targets(ctx.run());
    for a in assemblies.iter().filter_map(|a| ctx.site.assembly(a)) {
        if a.components.iter().any(|c| c.refdes.text == refdes) {
            return refdes;
        }
        if let Some(c) = a.components.iter().find(|c| c.like.iter().any(|l| l.text == refdes)) {
            return &c.refdes.text;
        }
    }
    refdes
}

/// Enters "wet" (0 or 1), "under_body_gap" (um) and "under_body_fill" (%).
pub fn collect(sets: &mut Sets) {
    let ctx = sets.ctx;
    for table in ctx.folder.tables("under_body") {
        for row in 0..table.rows() {
            let (board, refdes) = (table.text("board", row), table.text("refdes", row));
            let lot = lot_of(ctx, board);
            let here = Row { board, place: group(ctx, refdes), lot: &lot, at: table.at(row) };
            let wet = f64::from(u8::from(table.text("state", row) == "wet"));
            sets.add(here, "wet", "1", wet);
            for (column, quantity, unit) in [("gap", "under_body_gap", "um"), ("fill", "under_body_fill", "%")] {
                let value = table.number(column, row);
                if value.is_finite() {
                    sets.add(here, quantity, unit, value);
                }
            }
        }
    }
}
