//! Takes what was looked for and found; gives 0 or 1 per row, the quantity being what was looked for.

use super::{Row, Sets, lot_of};

/// Enters a set per build, place and thing looked for.
pub fn collect(sets: &mut Sets) {
    let ctx = sets.ctx;
    for table in ctx.folder.tables("findings") {
        for row in 0..table.rows() {
            let (board, place) = (table.text("board", row), table.text("place", row));
            let found = f64::from(u8::from(table.text("found", row) == "yes"));
            let lot = lot_of(ctx, board);
            sets.add(Row { board, place, lot: &lot, at: table.at(row) }, table.text("looked_for", row), "1", found);
        }
    }
}
