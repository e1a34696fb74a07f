//! Takes frequencies of boards in two states; gives paired differences per structure.

use super::{Row, Sets, lot_of};
use std::collections::BTreeMap;

/// Enters "rf_shift" (as built less washed) and "rf_shift_washed" (humid less washed), in MHz.
pub fn collect(sets: &mut Sets) {
    let ctx = sets.ctx;
    let mut order: Vec<(String, String)> = Vec::new();
    let mut states: BTreeMap<(String, String), BTreeMap<String, (f64, crate::diag::At)>> = BTreeMap::new();
    for table in ctx.folder.tables("rf") {
        for row in 0..table.rows() {
            let key = (table.text("board", row).to_string(), table.text("structure", row).to_string());
            let entry = states.entry(key.clone()).or_insert_with(|| {
                order.push(key);
                BTreeMap::new()
            });
            entry.insert(table.text("state", row).to_string(), (table.number("f", row), table.at(row)));
        }
    }
    let any = |state: &str| states.values().any(|s| s.contains_key(state));
    let pairs = [("rf_shift", "as_built", "washed"), ("rf_shift_washed", "humid", "washed")];
    for (quantity, state, reference) in pairs.into_iter().filter(|p| any(p.1)) {
        for (board, structure) in &order {
            let of = &states[&(board.clone(), structure.clone())];
            match (of.get(state), of.get(reference)) {
                (Some(a), Some(b)) => {
                    let lot = lot_of(ctx, board);
                    sets.add(Row { board, place: structure, lot: &lot, at: a.1 }, quantity, "MHz", a.0 - b.0);
                }
                _ => sets
                    .of(board, structure, quantity, "MHz", None)
                    .trouble(|| format!("{board} was not measured both {state} and {reference}")),
            }
        }
    }
}
