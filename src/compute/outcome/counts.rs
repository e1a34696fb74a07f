//! Takes the counts of two arms; gives the upper bound of their difference.

use super::case::{Case, Found};
use crate::compute::calc::non_inferiority;
use crate::compute::work::work;
use crate::model::governance::Sense;
use crate::model::workings::{Origin, Workings};

/// Upper bound of new less old in percent; for a set of one computed difference that difference.
pub fn difference(case: &Case, w: &mut Workings) -> Result<Found, String> {
    if case.criterion.operator != Sense::Le {
        return Err("a difference is compared with an upper limit".into());
    }
    let Some([(x1, n1), (x2, n2)]) = case.prepared.arms else {
        let Some((done, _)) = &case.prepared.done else {
            return Err("a difference needs two arms, or fresh boards beside aged ones".into());
        };
        return Ok(Found::new(done, 0, done.values[0] - case.guard > case.limit));
    };
    if n1 < 1.0 || n2 < 1.0 {
        return Err("one of the two arms has no boards".into());
    }
    let (conf, origin) = match &case.criterion.conf {
        Some(q) => (q.si, Origin::Place(q.at)),
        None => (0.95, Origin::Constant("usual confidence")),
    };
    let rows = || case.rows();
    let inputs =
        vec![("x1", x1, rows()), ("n1", n1, rows()), ("x2", x2, rows()), ("n2", n2, rows()), ("conf", conf, origin)];
    let done = work(w, &non_inferiority::CALC, &case.subject, (n1 + n2) as usize, "%", inputs)?;
    // In percent; the limit may be written as a share.
    let to = |percent: f64| case.scale.reading(percent);
    let swapped = non_inferiority::newcombe(x2, n2, x1, n1, conf);
    let least = to(-swapped[5]);
    let mut found = Found::new(&done, 5, least - case.guard > case.limit);
    found.value = to(found.value);
    let room = case.limit - case.guard;
    let shown = |k: f64| to(non_inferiority::newcombe(k * x1, k * n1, k * x2, k * n2, conf)[5]) <= room;
    found.needed = Some(if to(done.values[4]) >= room || !shown(1e6) {
        "no number of readings".to_string()
    } else {
        let (mut low, mut high) = (1.0, 1e6);
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            if shown(mid) { high = mid } else { low = mid }
        }
        format!("n {} in each arm", (high * n1.min(n2)).ceil())
    });
    Ok(found)
}
