//! Takes a case; gives the worst single value, or the capability of all.

use super::case::{Case, Found};
use crate::compute::calc::capability;
use crate::compute::maths::{mean, normal_quantile, sd};
use crate::compute::work::work;
use crate::model::workings::{Origin, Workings};

/// The worst single value.
pub fn each(case: &Case) -> Result<Found, String> {
    let worst = case.worst().ok_or("no readings")?;
    let origin = match &case.prepared.done {
        Some((done, _)) => Origin::Working(done.id),
        None => Origin::Place(worst.at),
    };
    Ok(Found { value: worst.value, origin, bound_fails: false, n_eff: None, needed: None })
}

/// Far enough for a specification that has one end only.
const OPEN: f64 = 1e15;

/// Lower confidence bound of the capability over all lots.
pub fn capability(case: &Case, w: &mut Workings) -> Result<Found, String> {
    let c = case.criterion;
    let x = case.values();
    let (m, s, n) = (mean(&x), sd(&x), x.len() as f64);
    if x.len() < 2 || s <= 0.0 {
        return Err("a capability needs two different readings at least".into());
    }
    let conf = c.conf.as_ref().map_or(0.95, |q| q.si);
    let place = |q: &Option<crate::quantity::Quantity>| {
        q.as_ref().map_or(Origin::Constant("no limit on this side"), |q| Origin::Place(q.at))
    };
    let end = |q: &Option<crate::quantity::Quantity>, open: f64| q.as_ref().map_or(open, |q| case.scale.limit(q));
    let conf_origin = c.conf.as_ref().map_or(Origin::Constant("usual confidence"), |q| Origin::Place(q.at));
    let inputs = vec![
        ("mean", m, case.rows()),
        ("s", s, case.rows()),
        ("n", n, case.rows()),
        ("LSL", end(&c.spec_low, -OPEN), place(&c.spec_low)),
        ("USL", end(&c.spec_high, OPEN), place(&c.spec_high)),
        ("conf", conf, conf_origin),
    ];
    let done = work(w, &capability::CALC, &case.subject, x.len(), case.scale.unit(), inputs)?;
    let index = done.values[0];
    let error = (1.0 / (9.0 * n) + index * index / (2.0 * (n - 1.0))).sqrt();
    let favourable = index + normal_quantile(conf) * error;
    Ok(Found::new(&done, 1, favourable < case.limit))
}
