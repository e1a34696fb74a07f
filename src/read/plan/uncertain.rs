//! Takes how sure numbers are; reports unknown parameters, and distributions that are incomplete or impossible.

use super::{alone, contradiction};
use crate::diag::{Diagnostic, Log, codes, nearest};
use crate::model::economy::{Economy, Item, LineKind, PlanInputs, Shape, Shift, Treatment, Uncertain, WashLine};
use crate::model::{FieldSpec, Record};
use crate::quantity::Quantity;

pub fn check(plan: &PlanInputs, log: &mut Log) {
    let known = parameters(plan);
    for (i, u) in plan.uncertain.iter().enumerate() {
        if let Some(first) = plan.uncertain[..i].iter().find(|x| x.parameter.text == u.parameter.text) {
            let text = format!("two records say how sure {} is", u.parameter);
            let d = Diagnostic::error(codes::DUPLICATE_ID, text, "keep one of them, and remove the other");
            log.push(d.at(u.parameter.at, "second").at(first.parameter.at, "first"));
        }
        let found = known.iter().find(|k| k.0 == u.parameter.text);
        if found.is_none() {
            let hint = match nearest(&u.parameter, known.iter().map(|k| k.0.as_str())) {
                Some(n) => format!("did you mean `{n}`?"),
                None => {
                    "write an id and the name of a number that the site states there; docs/plan.md lists them".into()
                }
            };
            let text = format!("no number of plan/ is called `{}`", u.parameter.escape_debug());
            log.push(Diagnostic::error(codes::DANGLING_REFERENCE, text, hint).at(u.parameter.at, "no such number"));
        }
        if shape(u, log)
            && let Some((name, number)) = found
        {
            match name.ends_with(".chance") {
                true => chance(u, number.base, log),
                false => range(u, number, log),
            }
        }
    }
}

/// A number that the site states, and between what it lies.
struct Number {
    base: f64,
    low: f64,
    high: f64,
}

impl Number {
    /// With the range that its field has.
    fn of(base: f64, fields: &[FieldSpec], name: &str) -> Self {
        let spec = fields.iter().find(|f| f.name == name).map(|f| f.spec);
        Self { base, low: spec.map_or(f64::NEG_INFINITY, |s| s.low), high: spec.map_or(f64::INFINITY, |s| s.high) }
    }
    /// A sum of items is a cost.
    fn sum(items: &[Item]) -> Self {
        let base = items.iter().map(|i| i.amount.as_ref().map_or(1.0, |a| a.si) * i.price.si).sum();
        Self { base, low: 0.0, high: f64::INFINITY }
    }
    fn chance(base: f64) -> Self {
        Self { base, low: 0.0, high: 1.0 }
    }
}

/// All parameters that the site has a number for.
fn parameters(plan: &PlanInputs) -> Vec<(String, Number)> {
    let mut out: Vec<(String, Number)> = plan.lines.iter().flat_map(of_line).collect();
    for t in &plan.treatments {
        let number = t.per_board.as_ref().map(|q| Number::of(q.si, Treatment::FIELDS, "per_board"));
        out.extend(number.map(|n| (format!("{}.per_board", t.id), n)));
    }
    for p in &plan.programmes {
        for (name, items) in [("yearly", &p.yearly), ("once", &p.once)] {
            if !items.is_empty() {
                out.push((format!("{}.{name}", p.id), Number::sum(items)));
            }
        }
    }
    for p in &plan.packages {
        let actions = p.actions.iter().filter_map(|a| plan.action(a)).map(|a| a.chance.si);
        let chance = p.chance.as_ref().map_or_else(|| actions.product(), |q| q.si);
        out.push((format!("{}.chance", p.id), Number::chance(chance)));
    }
    out.extend(alone(plan).map(|a| (format!("{}.chance", a.id), Number::chance(a.chance.si))));
    let rate = |e: &Economy| ("economy.rate".to_string(), Number::of(e.rate.si, Economy::FIELDS, "rate"));
    out.extend(plan.economy.iter().map(rate));
    out
}

fn of_line(l: &WashLine) -> Vec<(String, Number)> {
    let mut named: Vec<(&str, &Option<Quantity>)> = vec![
        ("replace_price", &l.replace_price),
        ("conversion", &l.conversion),
        ("salvage", &l.salvage),
        ("decommission", &l.decommission),
    ];
    match l.kind {
        LineKind::Belt => named.extend([
            ("power", &l.power),
            ("load_factor", &l.load_factor),
            ("kwh_price", &l.kwh_price),
            ("water", &l.water),
            ("water_price", &l.water_price),
            ("effluent_share", &l.effluent_share),
            ("effluent_price", &l.effluent_price),
            ("resin", &l.resin),
            ("parts", &l.parts),
            ("crew", &l.crew),
            ("wage", &l.wage),
            ("saponifier", &l.saponifier),
        ]),
        LineKind::Batch => named.push(("machine_price", &l.machine_price)),
        LineKind::Outside => named.extend([("per_board", &l.per_board), ("transport", &l.transport)]),
    }
    let stated = named.iter().filter_map(|(name, q)| {
        q.as_ref().map(|q| (format!("{}.{name}", l.id), Number::of(q.si, WashLine::FIELDS, name)))
    });
    let mut out: Vec<(String, Number)> = stated.collect();
    let loads: &[Item] = if l.kind == LineKind::Batch { &l.per_load } else { &[] };
    let lists = [("yearly", l.yearly.as_slice()), ("per_load", loads)];
    out.extend(lists.iter().filter(|x| !x.1.is_empty()).map(|x| (format!("{}.{}", l.id, x.0), Number::sum(x.1))));
    let hours = l.shift.iter().enumerate();
    out.extend(
        hours.map(|(n, s)| (format!("{}.hours_{}", l.id, n + 1), Number::of(s.hours.si, Shift::FIELDS, "hours"))),
    );
    out
}

/// Whether the numbers of a distribution are the right ones, in order.
fn shape(u: &Uncertain, log: &mut Log) -> bool {
    let all = [("low", &u.low), ("mode", &u.mode), ("high", &u.high), ("mean", &u.mean), ("sd", &u.sd)];
    let wanted: &[&str] = match u.shape {
        Shape::Triangular | Shape::Pert => &["low", "mode", "high"],
        Shape::Uniform => &["low", "high"],
        Shape::Normal | Shape::Lognormal => &["mean", "sd"],
        Shape::Fixed => &["mode"],
    };
    let mut sound = true;
    for (name, q) in all {
        match (wanted.contains(&name), q) {
            (true, None) => {
                sound = false;
                let text = format!("{} is {} and has no `{name}`", u.parameter, u.shape);
                let d = Diagnostic::error(codes::MISSING_FIELD, text, format!("write {}", listed(wanted)));
                log.push(d.at(u.parameter.at, format!("no `{name}`")));
            }
            (false, Some(q)) => {
                sound = false;
                let text = format!("{} is {} and has `{name}`", u.parameter, u.shape);
                let hint = format!("remove `{name}`: this shape has {}", listed(wanted));
                log.push(contradiction(text, &hint, q.at, "of another shape"));
            }
            _ => {}
        }
    }
    if !sound {
        return false;
    }
    let present: Vec<&Quantity> = [&u.low, &u.mode, &u.high].into_iter().flatten().collect();
    if present.windows(2).any(|w| w[0].si > w[1].si)
        || (present.len() > 1 && present[0].si >= present[present.len() - 1].si)
    {
        let text = format!("the values of {} do not rise", u.parameter);
        let hint = "write low, mode and high in rising order, low below high; a value that is sure is fixed";
        log.push(contradiction(text, hint, present[0].at, "first of them"));
        return false;
    }
    if let Some(sd) = u.sd.as_ref().filter(|q| q.si <= 0.0) {
        let text = format!("the standard deviation of {} is {}", u.parameter, sd.written);
        log.push(contradiction(text, "write one above 0; a value that is sure is fixed", sd.at, "not above 0"));
        return false;
    }
    if let Some(mean) = u.mean.as_ref().filter(|q| u.shape == Shape::Lognormal && q.si <= 0.0) {
        let text = format!("{} is lognormal, and its mean is {}", u.parameter, mean.written);
        log.push(contradiction(text, "write a mean above 0, or another shape", mean.at, "not above 0"));
        return false;
    }
    true
}

/// "`low`, `mode` and `high`".
fn listed(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
    match quoted.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => quoted.concat(),
    }
}

/// Nearly all that may be drawn lies where the number itself may lie.
fn range(u: &Uncertain, number: &Number, log: &mut Log) {
    // Two standard deviations: one draw in forty lies below.
    let spread = u.mean.as_ref().zip(u.sd.as_ref()).filter(|_| u.shape == Shape::Normal);
    let tails = spread.map_or(Vec::new(), |(m, s)| vec![(m.si - 2.0 * s.si, s), (m.si + 2.0 * s.si, s)]);
    let ends = [&u.low, &u.mode, &u.high, &u.mean].into_iter().flatten().map(|q| (q.si, q)).chain(tails);
    let factor = if u.relative == Some(true) { number.base } else { 1.0 };
    let outside = |x: f64| x < number.low || x > number.high;
    if let Some((x, q)) = ends.map(|(x, q)| (x * factor, q)).find(|(x, _)| outside(*x)) {
        let text =
            format!("{} would be {} in some draws, and it lies from {} to {}", u.parameter, x, number.low, number.high);
        let hint = "narrow the distribution, or write another shape; with `relative` its numbers are factors";
        log.push(Diagnostic::error(codes::OUT_OF_RANGE, text, hint).at(q.at, "reaches outside"));
    }
}

/// A chance stays between 0 and 1, whatever is drawn.
fn chance(u: &Uncertain, base: f64, log: &mut Log) {
    if matches!(u.shape, Shape::Normal | Shape::Lognormal) {
        let text = format!("{} lies between 0 and 1, and a {} shape has no such ends", u.parameter, u.shape);
        log.push(contradiction(text, "write triangular, pert or uniform", u.parameter.at, "a chance"));
        return;
    }
    let factor = if u.relative == Some(true) { base } else { 1.0 };
    for q in [&u.low, &u.mode, &u.high].into_iter().flatten() {
        if !(0.0..=1.0).contains(&(q.si * factor)) {
            let text = format!("{} would be {}, and it lies between 0 and 1", u.parameter, q.si * factor);
            let hint = "write 0.65 for 65 %; with `relative` a factor on the chance of the site";
            log.push(Diagnostic::error(codes::OUT_OF_RANGE, text, hint).at(q.at, "outside 0 to 1"));
        }
    }
}
