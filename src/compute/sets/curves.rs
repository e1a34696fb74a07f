//! Takes one series; gives its picture, thinned so that no minimum is lost.

use super::Ctx;
use super::series::Series;
use crate::model::workings::Curve;

/// Most points of a curve.
const POINTS: usize = 170;

/// The curve of one comb: of each stretch of readings the lowest is kept.
pub fn curve(ctx: Ctx, s: &Series, control: bool, drops: Vec<f64>) -> Curve {
    let n = s.t.len();
    let buckets = n.min(POINTS);
    let points = (0..buckets)
        .filter_map(|b| {
            let stretch = b * n / buckets..(b + 1) * n / buckets;
            stretch.min_by(|i, j| s.x[*i].total_cmp(&s.x[*j])).map(|i| (s.t[i], s.x[i]))
        })
        .collect();
    Curve {
        run: ctx.run().id.text.clone(),
        cell: ctx.home(&s.board).map_or(String::new(), |(_, b)| b.cell.text.clone()),
        board: s.board.clone(),
        pattern: s.pattern.clone(),
        control,
        points,
        at_ceiling: s.ceiling.iter().filter(|c| **c).count(),
        drops,
        at: s.first,
    }
}
