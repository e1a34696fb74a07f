//! Takes the best plan; gives what must be done now: what to contain, what is paid before the first result, what waits.

use super::ledger::Ledger;
use crate::compose::ink::{self, Cell, strong, text};
use crate::model::assessment::AssemblyResult;
use crate::model::document::{Block, Inline};
use crate::model::planning::{PathResult, PlanResult};

/// Whether an assembly must be contained now: no route of it is supported, or its unwashed lots must not ship.
pub fn contain(a: &AssemblyResult) -> bool {
    a.interim == Some("no-supported-interim") || !a.stop_ship.is_empty()
}

/// Why an assembly is contained, in short.
pub fn contain_why(a: &AssemblyResult) -> String {
    let mut why = Vec::new();
    if a.interim == Some("no-supported-interim") {
        why.push("no route of it is supported today, the present process included");
    }
    if !a.stop_ship.is_empty() {
        why.push("STOP SHIPMENT of unwashed lots");
    }
    why.join("; ")
}

/// Packages that are bought in the same month on every path, as the first path has them.
pub fn bought_now(best: &PlanResult) -> impl Iterator<Item = &(String, bool, u32)> {
    let first = best.paths.first().map_or(&[][..], |p| &p.results);
    first.iter().filter(|r| best.paths.iter().all(|p| p.results.iter().any(|x| x.0 == r.0 && x.2 == r.2)))
}

/// Whether tests decide over an assembly.
pub fn open(l: &Ledger, best: &PlanResult, assembly: &str) -> bool {
    best.paths.windows(2).any(|w| l.end(&w[0], assembly) != l.end(&w[1], assembly))
}

/// The list: containment first, then payments, then what every path shares, then what waits on a treatment without support.
pub fn decide(l: &Ledger, best: &PlanResult) -> Vec<Block> {
    let Some(first) = best.paths.first() else { return Vec::new() };
    let mut items: Vec<Cell> = l.assessment.assemblies.iter().filter(|a| contain(a)).map(contained).collect();
    for (package, _, month) in bought_now(best) {
        let shown = month.to_string();
        let month = l.package_at(package).map_or_else(|| text(shown.clone()), |at| l.at(shown.clone(), at));
        items.push(vec![text(format!("Buy {package}: {}, paid in month ", l.title(package))), month, text(".")]);
    }
    items.extend(committed(l));
    for (assembly, treatment, month) in &first.steps {
        let everywhere =
            best.paths.iter().all(|p| p.steps.iter().any(|s| s.0 == *assembly && s.1 == *treatment && s.2 == *month));
        if everywhere {
            let lead = l.site.plan.treatment(treatment).map(|t| t.lead.at);
            let shown = month.to_string();
            let month = lead.map_or_else(|| text(shown.clone()), |at| l.at(shown.clone(), at));
            let words = format!("Begin the change of {assembly}: {}, first boards in month ", l.title(treatment));
            items.push(vec![text(words), month, text(".")]);
        }
    }
    items.extend(l.assessment.assemblies.iter().filter_map(|a| waits(l, best, a)));
    let mut out = ink::list_or(items, "Nothing is the same on every path: the first test decides over all of it.");
    let later: Vec<&str> = l.assessment.assemblies.iter().map(|a| a.id.as_str()).filter(|a| open(l, best, a)).collect();
    if !later.is_empty() {
        let but = if l.p.sums.committed.is_some() { ", beyond what is committed above" } else { "" };
        out.push(ink::says(format!(
            "Tests decide over {}: for these nothing irreversible before their results{but}.",
            later.join(", ")
        )));
    }
    out
}

fn contained(a: &AssemblyResult) -> Cell {
    let mut line = vec![strong(format!("Contain {} now: ", a.id)), text(contain_why(a))];
    if a.interim == Some("no-supported-interim") {
        line.extend([text(" (present process: "), Inline::State(a.present_state), text(")")]);
        line.push(text(". Do not pretend that the present process is harmless because it is the present one"));
    }
    if !a.stop_ship.is_empty() {
        line.push(text(format!(". Why: {}", a.stop_ship.join("; "))));
    }
    line.push(text("."));
    line
}

/// What is paid before the first result is known, each payment and all.
fn committed(l: &Ledger) -> Option<Cell> {
    let c = l.p.sums.committed.as_ref()?;
    let mut line = vec![
        strong("Committed before the first result: "),
        l.k_unit(c.all),
        text(format!(" are paid once in months 0 to {}, whatever the tests say: ", c.known.saturating_sub(1))),
    ];
    let each = c.rows.iter().map(|r| {
        let what = if r.text.contains(&r.of) { r.of.clone() } else { format!("{} ({})", r.of, r.text) };
        vec![text(format!("{what} ")), l.k(r.amount), text(format!(" in month {}", r.from))]
    });
    line.extend(ink::joined(each, ", "));
    line.push(text(". What runs by the year is not in it."));
    Some(line)
}

/// An assembly that stays on a treatment which its claims do not support, though another one is supported today.
fn waits(l: &Ledger, best: &PlanResult, a: &AssemblyResult) -> Option<Cell> {
    let until = |path: &PathResult| l.unsupported_until(path, &a.id);
    let months: Vec<u32> = best.paths.iter().filter_map(until).collect();
    let (least, most) = (months.iter().min()?, months.iter().max()?);
    let other: Vec<String> =
        l.today_supported(&a.id).into_iter().filter(|t| *t != l.today()).map(str::to_string).collect();
    if other.is_empty() {
        return None;
    }
    let when = if least == most { format!("month {most}") } else { format!("month {least} to {most}, by path") };
    let leads = other.iter().filter_map(|t| l.site.plan.treatment(t)).map(|t| {
        vec![
            text(format!("{} takes ", t.id)),
            l.at(t.lead.written.clone(), t.lead.at),
            text(" months from its decision"),
        ]
    });
    let mut line = vec![strong(format!("{} waits until {when}: ", a.id))];
    line.push(text(format!("until then it is made with {}, whose claims are not supported", l.today())));
    if let Some(s) = l.state(&a.id, l.today()) {
        line.extend([text(" ("), Inline::State(s), text(")")]);
    }
    line.push(text(format!(", though {} supported today. ", verb(&other))));
    line.extend(ink::joined(leads, "; "));
    line.push(text("."));
    Some(line)
}

fn verb(ids: &[String]) -> String {
    format!("{} {}", ids.join(" and "), if ids.len() == 1 { "is" } else { "are" })
}
