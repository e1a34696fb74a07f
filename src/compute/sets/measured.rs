//! Takes values with their units; gives them as sets, all values of a quantity in the unit seen first.

use super::{Row, Sets, lot_of};
use crate::quantity::Unit;
use std::collections::BTreeMap;

/// Enters a set per build, place and quantity. Values of another dimension than the first one spoil their set.
pub fn collect(sets: &mut Sets) {
    let ctx = sets.ctx;
    let mut units: BTreeMap<String, Unit> = BTreeMap::new();
    for table in ctx.folder.tables("measured") {
        for row in 0..table.rows() {
            let (board, place) = (table.text("board", row), table.text("place", row));
            let (quantity, written) = (table.text("quantity", row), table.text("unit", row));
            let Ok(unit) = Unit::parse(written) else { continue };
            let first = units.entry(quantity.to_string()).or_insert_with(|| unit.clone()).clone();
            if unit.dimension() != first.dimension() {
                sets.of(board, place, quantity, first.text(), None)
                    .trouble(|| format!("{quantity} is given in {} and in {}", first.text(), unit.text()));
                continue;
            }
            let value = first.from_si(unit.to_si(table.number("value", row)));
            let lot = match table.text("lot", row) {
                "none" | "" => lot_of(ctx, board),
                lot => lot.to_string(),
            };
            sets.add(Row { board, place, lot: &lot, at: table.at(row) }, quantity, first.text(), value);
        }
    }
}
