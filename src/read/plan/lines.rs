//! Takes wash lines and treatments; reports prices and capacities that are missing or at odds.

use super::{boards, contradiction, whole};
use crate::diag::{Diagnostic, Log, codes};
use crate::model::Text;
use crate::model::economy::{Economy, Item, LineKind, Treatment, TreatmentRoute, WashLine};
use crate::model::site::Site;
use crate::quantity::Quantity;

/// Numbers of a line by name, for belts, batch machines and houses outside.
fn needed(l: &WashLine) -> Vec<(&'static str, &Option<Quantity>)> {
    match l.kind {
        LineKind::Belt => vec![
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
        ],
        LineKind::Batch => vec![
            ("cycle", &l.cycle),
            ("open_hours", &l.open_hours),
            ("uptime", &l.uptime),
            ("peak", &l.peak),
            ("machine_price", &l.machine_price),
        ],
        LineKind::Outside => vec![("per_board", &l.per_board)],
    }
}

fn missing(l: &WashLine, field: &str, why: &str, log: &mut Log) {
    log.push(
        Diagnostic::error(
            codes::MISSING_FIELD,
            format!("the wash line {} is of kind {} and has no `{field}`", l.id, l.kind),
            format!("write `{field}`: {why}"),
        )
        .at(l.id.at, format!("no `{field}`")),
    );
}

pub fn line(l: &WashLine, log: &mut Log) {
    for (field, _) in needed(l).iter().filter(|(_, q)| q.is_none()) {
        missing(l, field, "every plan with this line needs it", log);
    }
    if l.kind == LineKind::Batch {
        if l.load.is_empty() {
            missing(l, "load", "boards of each assembly that the machine takes at once", log);
        }
        if l.per_load.is_empty() {
            missing(l, "per_load", "what one load costs", log);
        }
    }
    if l.kind == LineKind::Belt {
        hours(l, log);
    }
    if let (Some(q), None) | (None, Some(q)) = (&l.replace_month, &l.replace_price) {
        let text = format!("the wash line {} has one of `replace_month` and `replace_price`", l.id);
        log.push(contradiction(text, "write both, or none of them", q.at, "without the other"));
    }
    l.replace_month.iter().for_each(|q| whole("replace_month", q, log));
    for (i, x) in l.load.iter().enumerate() {
        if let Some(first) = l.load[..i].iter().find(|y| y.assembly.text == x.assembly.text) {
            let text = format!("the wash line {} has two loads of {}", l.id, x.assembly);
            let d = Diagnostic::error(codes::DUPLICATE_ID, text, "keep one of them, and remove the other");
            log.push(d.at(x.assembly.at, "second").at(first.assembly.at, "first"));
        }
    }
    sum(&l.yearly, "yearly", &l.id, log);
    sum(&l.per_load, "per_load", &l.id, log);
}

/// A belt runs by its shifts, or by its boards.
fn hours(l: &WashLine, log: &mut Log) {
    if l.shift.is_empty() && l.panels_an_hour.is_none() {
        missing(l, "shift", "its running hours by load, or `panels_an_hour`", log);
    }
    if let Some(q) = &l.panels_an_hour
        && let Some(s) = l.shift.iter().find(|s| s.panels.si > s.hours.si * q.si)
    {
        let text = format!("{} washes {} panels an hour, too few for this shift", l.id, q.written);
        let hint = "correct `panels_an_hour`, or the panels that the shift is enough for";
        log.push(contradiction(text, hint, s.panels.at, "more than its hours allow").at(q.at, "panels in an hour"));
    }
    for w in l.shift.windows(2) {
        if w[1].panels.si <= w[0].panels.si || w[1].hours.si <= w[0].hours.si {
            let text = format!("the shifts of {} do not rise", l.id);
            let hint = "write the shift with the fewest hours first; more hours are enough for more panels";
            log.push(contradiction(text, hint, w[1].hours.at, "not above the one before"));
        }
    }
}

/// Items may hold a refund; their sum is a cost.
pub fn sum(items: &[Item], field: &str, id: &Text, log: &mut Log) {
    let sum: f64 = items.iter().map(|i| i.amount.as_ref().map_or(1.0, |a| a.si) * i.price.si).sum();
    if let Some(i) = items.first().filter(|_| sum < 0.0) {
        let text = format!("the items of `{field}` of {id} sum to {sum}, below 0");
        let hint = "check the signs: a cost is above 0, a refund below";
        log.push(Diagnostic::error(codes::OUT_OF_RANGE, text, hint).at(i.price.at, "first of these items"));
    }
}

pub fn treatment(t: &Treatment, site: &Site, log: &mut Log) {
    let line = t.line.as_ref().and_then(|l| site.plan.line(l));
    whole("lead", &t.lead, log);
    match (&t.line, t.route) {
        (Some(l), TreatmentRoute::Leave) => {
            let text = format!("the treatment {} leaves the residue and has a `line`", t.id);
            log.push(contradiction(text, "remove `line`, or correct `route`", l.at, "nothing is washed"));
        }
        (None, TreatmentRoute::Wash | TreatmentRoute::Present) => log.push(
            Diagnostic::error(
                codes::MISSING_FIELD,
                format!("the treatment {} washes and has no `line`", t.id),
                "write the id of a wash line",
            )
            .at(t.id.at, "no `line`"),
        ),
        _ => {}
    }
    if let (Some(l), Some(true)) = (line, t.saponified)
        && l.kind == LineKind::Belt
        && l.conversion.is_none()
    {
        let text = format!("the treatment {} is saponified on {}, which has no `conversion`", t.id, l.id);
        let hint = "write what it costs to make the line fit for saponifier; 0 where it is fit already";
        log.push(Diagnostic::error(codes::MISSING_FIELD, text, hint).at(l.id.at, "no `conversion`"));
    }
    let Some(l) = line.filter(|l| l.kind == LineKind::Batch) else { return };
    for a in site.assemblies.iter().map(|a| &a.assembly.id) {
        let may = t.assemblies.is_empty() || t.assemblies.iter().any(|x| x.text == a.text);
        if may && !l.load.is_empty() && !l.load.iter().any(|x| x.assembly.text == a.text) {
            let text = format!("the treatment {} is for {a}, and {} has no `load` of it", t.id, l.id);
            let hint = "add its boards to `load`, or name the assemblies of the treatment in `assemblies`";
            log.push(Diagnostic::error(codes::MISSING_FIELD, text, hint).at(l.load[0].at, "no such assembly here"));
        }
    }
}

/// The belt of today can do what it does today.
pub fn enough_shifts(today: &Treatment, e: &Economy, site: &Site, log: &mut Log) {
    let line = today.line.as_ref().and_then(|l| site.plan.line(l)).filter(|l| l.kind == LineKind::Belt);
    let Some((l, last)) = line.and_then(|l| Some((l, l.shift.last()?))) else { return };
    let panels = |year| -> f64 { site.assemblies.iter().map(|a| boards(site, a, year) / a.assembly.panel_up.si).sum() };
    let years = (e.months.si / 12.0).ceil() as usize;
    if let Some(year) = (1..=years).find(|y| panels(*y) > last.panels.si) {
        let text = format!(
            "all assemblies need {} panels on {} in year {year}, more than its last shift is enough for",
            panels(year).ceil(),
            l.id
        );
        let hint = "add a shift that is enough, or correct the volumes";
        log.push(contradiction(text, hint, last.panels.at, "not enough"));
    }
}
