//! Takes a sample set and a criterion of its quantity; gives statistic, guard band, margin and what fails.

mod case;
mod counts;
mod means;
mod plain;
mod scale;
mod tolerance;

use super::calc::{margin_lower, margin_range, margin_upper};
use super::sets::{Ctx, Prepared};
use super::work::{In, work};
use crate::model::governance::{Criterion, Sense, Statistic};
use crate::model::workings::{Origin, Outcome, WorkingId, Workings};
use case::{Case, Found, Refusal};

/// First and last hour that a criterion names.
pub fn window(c: &Criterion) -> Option<(f64, f64)> {
    let hour = |q: &crate::quantity::Quantity| q.si / 3600.0;
    match c.window.as_slice() {
        [] => None,
        [from] => Some((hour(from), 1e5)),
        [from, to, ..] => Some((hour(from), hour(to))),
    }
}

/// Whether a criterion speaks of a set: same quantity, agreed geometry, same window.
fn speaks(c: &Criterion, p: &Prepared) -> bool {
    if c.quantity.text != p.set.quantity {
        return false;
    }
    if !c.geometry.is_empty() && !c.geometry.iter().any(|g| g.text == p.set.design) {
        return false;
    }
    match (p.window, p.set.quantity.as_str()) {
        (Some(w), "sir" | "drops") => window(c).unwrap_or((-1e5, 1e5)) == w,
        _ => true,
    }
}

/// Every outcome of a run, in order of set and criterion.
pub fn of_run(ctx: Ctx, prepared: &[Prepared], w: &mut Workings) -> Vec<Outcome> {
    let mut out = Vec::new();
    for (i, p) in prepared.iter().enumerate() {
        for c in ctx.site.criteria.iter().filter(|c| speaks(c, p)) {
            out.push(outcome(ctx, i, p, c, w));
        }
    }
    out
}

fn statistic(case: &Case, w: &mut Workings) -> Result<Found, Refusal> {
    Ok(match case.criterion.statistic {
        Statistic::Each => plain::each(case)?,
        Statistic::Mean => means::mean(case, w)?,
        Statistic::Ratio => means::ratio(case, w)?,
        Statistic::Ltb => tolerance::lower(case, w)?,
        Statistic::Utb => tolerance::upper(case, w)?,
        Statistic::Cpk => plain::capability(case, w)?,
        Statistic::Difference => counts::difference(case, w)?,
        Statistic::Shift => means::shift(case, w)?,
        Statistic::UpperLimit => means::upper_limit(case, w)?,
    })
}

fn outcome(ctx: Ctx, set: usize, p: &Prepared, c: &Criterion, w: &mut Workings) -> Outcome {
    let run = ctx.run();
    let mut out = Outcome {
        run: run.id.text.clone(),
        run_kind: run.kind,
        set,
        criterion: c.id.text.clone(),
        statistic: c.statistic,
        value: f64::NAN,
        guard: 0.0,
        limit: c.value.number(),
        upper: c.upper.as_ref().map_or(f64::NAN, crate::quantity::Quantity::number),
        unit: c.value.unit.text().to_string(),
        margin: f64::NAN,
        worst: f64::NAN,
        worst_place: String::new(),
        worst_at: p.set.samples.first().map_or(ctx.at(), |s| s.at),
        single_fails: false,
        bound_fails: false,
        n: p.n(),
        n_eff: 0,
        refused: None,
        needed: None,
        hard_events: p.set.hard_events.clone(),
        open_events: p.set.open_events.clone(),
        working: WorkingId(0),
    };
    out.n_eff = out.n;
    let found = Case::new(ctx, p, c, w).map_err(Refusal::from).and_then(|case| {
        out.guard = case.guard;
        out.limit = case.limit;
        out.upper = case.upper;
        out.unit = case.unit.clone();
        if let Some(worst) = case.worst() {
            out.worst = worst.value;
            out.worst_place.clone_from(&worst.place);
            out.worst_at = worst.at;
            out.single_fails = case.single_fails();
        }
        // Whatever can't be computed is refused only now, so that a value beyond the limit is never hidden.
        if let Some(why) = case.refusal() {
            return Err(why.into());
        }
        let found = statistic(&case, w)?;
        let margin = margin(&case, &found, w)?;
        Ok((found, margin))
    });
    match found {
        Ok((found, (margin, working))) => {
            out.value = found.value;
            out.margin = margin;
            out.working = working;
            out.bound_fails = found.bound_fails;
            out.n_eff = found.n_eff.unwrap_or(out.n);
            out.needed = found.needed.filter(|_| margin < 0.0);
        }
        Err(refusal) => {
            out.refused = Some(refusal.why);
            out.working = refusal.working.unwrap_or_else(|| nothing(ctx, p, c, w));
        }
    }
    out
}

/// The margin of a statistic with the working behind it.
fn margin(case: &Case, found: &Found, w: &mut Workings) -> Result<(f64, WorkingId), String> {
    let c = case.criterion;
    let limit = |symbol, value| (symbol, value, Origin::Place(c.value.at));
    let mut inputs: Vec<In> =
        vec![("x", found.value, found.origin.clone()), ("g", case.guard, case.guard_origin.clone())];
    let calc = match c.operator {
        Sense::Ge => {
            inputs.push(limit("LIM", case.limit));
            &margin_lower::CALC
        }
        Sense::Le => {
            inputs.push(limit("LIM", case.limit));
            &margin_upper::CALC
        }
        Sense::In => {
            inputs.push(limit("LOW", case.limit));
            inputs.push(("HIGH", case.upper, Origin::Place(c.upper.as_ref().map_or(c.value.at, |u| u.at))));
            &margin_range::CALC
        }
    };
    let subject = format!("{}, against {}", case.subject, c.id.text);
    let done = work(w, calc, &subject, case.n(), &case.unit, inputs)?;
    Ok((done.values[0], done.id))
}

/// A working without a result, so that even a refusal points at its readings and its criterion.
fn nothing(ctx: Ctx, p: &Prepared, c: &Criterion, w: &mut Workings) -> WorkingId {
    use crate::model::workings::{Input, Working};
    let origin = match p.set.samples.first() {
        Some(s) => super::work::rows(s.at, p.set.samples.len()),
        None => Origin::Place(ctx.at()),
    };
    w.push(Working {
        calc: "mean_value",
        subject: format!(
            "{} {} {}: {}, no statistic for {}",
            ctx.run().id.text,
            p.set.cell,
            p.set.place,
            p.set.quantity,
            c.id.text
        ),
        assemblies: Vec::new(),
        inputs: vec![Input { symbol: "n", value: p.set.samples.len() as f64, unit: "1".into(), origin }],
        outputs: Vec::new(),
        n: p.set.samples.len(),
    })
}
