//! Takes counts of the old and the new process; gives the set of their difference.

use super::{Row, Sets};

/// Enters "false_fail_difference": per lot the share of boards with the event, and the counts of both arms.
pub fn collect(sets: &mut Sets) {
    let ctx = sets.ctx;
    for table in ctx.folder.tables("arms") {
        for row in 0..table.rows() {
            let (arm, lot) = (table.text("arm", row), table.text("lot", row));
            let (boards, failures) = (table.number("boards", row), table.number("failures", row));
            let at = table.at(row);
            sets.add(Row { board: "", place: "all", lot, at }, "false_fail_difference", "%", 100.0 * failures / boards);
            let p = sets.of("", "all", "false_fail_difference", "%", None);
            if let Some(s) = p.set.samples.last_mut() {
                s.place = arm.to_string();
            }
            if failures > boards {
                p.trouble(|| format!("lot {lot} has more events than boards"));
            }
            let counts = &mut p.arms.get_or_insert([(0.0, 0.0); 2])[usize::from(arm == "new")];
            counts.0 += failures;
            counts.1 += boards;
        }
    }
}
