//! Takes prices; gives what every line costs as it is used today: by the year, average, marginal and avoidable apart.

use super::money::{Ledger, Money};
use super::prices::{LinePrices, Prices};
use super::running::{Running, ids, load, needed_hours, running, told};
use crate::compute::calc::{cost_by_share, cost_item, cost_per_board, last_machine, saving};
use crate::model::economy::LineKind;
use crate::model::planning::{LineCost, LineShare};
use crate::quantity::{compact, significant};

/// How much dearer than the average a board may be when it stays alone, before it is said.
const DEARER: f64 = 1.5;
/// Share of the last machine below which it is said that it is hardly used.
const HARDLY: f64 = 0.25;

/// Every line of a site, in its order.
///
/// # Errors
/// In words, when a line cannot take what is on it today.
pub fn lines(p: &Prices, b: &mut Ledger) -> Result<Vec<LineCost>, String> {
    (0..p.lines.len()).map(|l| line(p, l, b)).collect()
}

/// Assemblies that a line could have by the treatments that need it, and by its loads.
fn possible(p: &Prices, l: usize) -> Vec<usize> {
    let fits = |a: usize, t: usize| {
        let meant = &p.treatments[t].assemblies;
        p.line_of(t) == Some(l) && (meant.is_empty() || meant.iter().any(|x| x.text == p.assemblies[a].id))
    };
    let line = p.lines[l].line;
    let load =
        |a: usize| line.kind != LineKind::Batch || line.load.iter().any(|x| x.assembly.text == p.assemblies[a].id);
    (0..p.assemblies.len()).filter(|&a| load(a) && (0..p.treatments.len()).any(|t| fits(a, t))).collect()
}

fn line(p: &Prices, l: usize, b: &mut Ledger) -> Result<LineCost, String> {
    let prices = &p.lines[l];
    let line = prices.line;
    let id = line.id.text.as_str();
    let in_use = p.line_of(p.today) == Some(l);
    let all: Vec<usize> = (0..p.assemblies.len()).collect();
    // A line that nothing uses today is shown with all that it could have.
    let on = if in_use { all } else { possible(p, l) };
    let soap = soaped(p, l, in_use);
    let whole = match (in_use, on.is_empty()) {
        (true, _) => Some(running(p, prices, &on, soap, 0, b)?),
        (false, true) => None,
        // Too small for all of them together: then it is shown without.
        (false, false) => running(p, prices, &on, soap, 0, b).ok(),
    };
    let now: &[usize] = if in_use { &on } else { &[] };
    let boards = b.count(&format!("{id}: boards of {}", ids(p, &on)), &boards_of(p, &on))?;
    let per = |m: &Money, what: &str, b: &mut Ledger| {
        b.first(&cost_per_board::CALC, &format!("{id}: {what}"), &vec![("C", m), ("B", &boards)])
    };
    let unit_cost = unit(prices, soap, b)?;
    let (mut average, mut marginal) = (None, None);
    if let Some(y) = whole.as_ref().filter(|_| in_use && boards.value > 0.0) {
        average = Some(per(&y.cost, "average of a board", b)?.amount());
        let more = if prices.shifts.is_empty() {
            let n = y.hours.as_ref().unwrap_or(&y.work);
            let inputs = vec![("n", n), ("p", &unit_cost)];
            b.first(&cost_item::CALC, &format!("{id}: what follows the boards"), &inputs)?
        } else {
            Money::fixed(0.0, "the hours are those of the shift: one board more costs none")
        };
        marginal = Some(per(&more, "one more board", b)?.amount());
    }
    let mut shares = Vec::new();
    for &a in &on {
        if let Some(y) = &whole {
            shares.extend(share(p, prices, (a, &on), (y, soap), b)?);
        }
    }
    let mut machines = None;
    if let Some([peak, n]) = whole.as_ref().and_then(|y| y.machines.as_ref()) {
        let last = b.first(&last_machine::CALC, &format!("{id}: the last machine"), &vec![("x", peak), ("n", n)])?;
        machines = Some((n.value as u32, last.amount()));
    }
    let year = whole.as_ref().filter(|_| in_use).map(|y| y.cost.amount());
    let used = match whole.as_ref().filter(|_| in_use) {
        Some(y) => y.used(prices, 12, &format!("{id}: used in a year"), b)?,
        None => None,
    };
    let needed = match whole.as_ref().filter(|_| line.kind == LineKind::Belt) {
        Some(y) => needed_hours(prices, &y.work, &ids(p, &on), b)?,
        None => None,
    };
    let mut out = LineCost {
        line: id.to_string(),
        title: line.title.text.clone(),
        in_use,
        boards: now.iter().fold(0.0, |sum, &a| sum + p.assemblies[a].boards[0].value),
        panels: now.iter().fold(0.0, |sum, &a| sum + p.panels(a, 0)),
        yearly: prices.yearly.amount(),
        unit_cost: unit_cost.amount(),
        unit: match line.kind {
            LineKind::Belt => "hour",
            LineKind::Batch => "load",
            LineKind::Outside => "board",
        },
        year,
        average,
        marginal,
        avoidable: year,
        used: used.as_deref().and_then(told),
        shares,
        machines,
        needed_hours: needed.map(|h| h.amount()),
        warnings: Vec::new(),
        at: line.at,
    };
    out.warnings = warnings(prices, &out);
    Ok(out)
}

/// Whether a line runs with saponifier: as today, or as any treatment that would need it.
fn soaped(p: &Prices, l: usize, in_use: bool) -> bool {
    match in_use {
        true => p.saponified(p.today),
        false => (0..p.treatments.len()).any(|t| p.line_of(t) == Some(l) && p.saponified(t)),
    }
}

fn boards_of(p: &Prices, on: &[usize]) -> Vec<Money> {
    on.iter().map(|&a| p.assemblies[a].boards[0].clone()).collect()
}

/// Cost of an hour, of a load, of a board outside.
fn unit(l: &LinePrices, soap: bool, b: &mut Ledger) -> Result<Money, String> {
    let id = &l.line.id;
    match (&l.hour, &l.per_load) {
        (Some(hour), _) => Ok(hour[usize::from(soap)].clone()),
        (_, Some(load)) => Ok(load.clone()),
        _ => b.sum(&format!("{id}: a board, there and back"), &[l.board.clone(), l.transport.clone()]),
    }
}

/// What one assembly means for a line; nothing for one without a board in the first year.
fn share(
    p: &Prices,
    l: &LinePrices,
    (a, on): (usize, &[usize]),
    (whole, soap): (&Running, bool),
    b: &mut Ledger,
) -> Result<Option<LineShare>, String> {
    let (id, assembly) = (l.line.id.text.as_str(), &p.assemblies[a]);
    let boards = &assembly.boards[0];
    if boards.value <= 0.0 {
        return Ok(None);
    }
    let rest: Vec<usize> = on.iter().copied().filter(|&x| x != a).collect();
    let less = match rest.as_slice() {
        [] => Money::fixed(0.0, "nothing is left on it"),
        rest => running(p, l, rest, soap, 0, b)?.cost,
    };
    let inputs = vec![("C_0", &whole.cost), ("C", &less)];
    let saved = b.first(&saving::CALC, &format!("{id}: a year without {}", assembly.id), &inputs)?;
    let alone = running(p, l, &[a], soap, 0, b)?.cost;
    let alone =
        b.first(&cost_per_board::CALC, &format!("{id}: {} alone", assembly.id), &vec![("C", &alone), ("B", boards)])?;
    let together = match l.line.kind {
        LineKind::Belt => Money::stated(assembly.panel_up),
        LineKind::Batch => load(p, l, a)?,
        LineKind::Outside => Money::fixed(1.0, "boards are counted one by one"),
    };
    let inputs = vec![("C", &whole.cost), ("N", &whole.work), ("b", &together)];
    let average = b.first(&cost_by_share::CALC, &format!("{id}: average of {}", assembly.id), &inputs)?;
    Ok(Some(LineShare {
        assembly: assembly.id.to_string(),
        boards: boards.value,
        average: average.amount(),
        saved_if_it_leaves: saved.amount(),
        alone: alone.amount(),
    }))
}

/// Where an average, or a sum, would mislead.
fn warnings(l: &LinePrices, x: &LineCost) -> Vec<String> {
    let id = &x.line;
    let mut out = Vec::new();
    for s in &x.shares {
        let fair = s.average.value * s.boards;
        let (saved, times) = (s.saved_if_it_leaves.value, s.alone.value / s.average.value);
        let stays = x.in_use && x.shares.len() > 1 && saved < 0.9 * fair;
        if !stays && times <= DEARER {
            continue;
        }
        let mut text = format!("{} costs {} a board on average", s.assembly, cents(s.average.value));
        if x.in_use {
            text.push_str(&format!(
                ", {} a year; {} a year is saved when it alone leaves {id}",
                whole(fair),
                whole(saved)
            ));
        }
        if times > DEARER {
            text.push_str(&format!(
                "; alone on {id} it costs {} a board, {} times as much",
                cents(s.alone.value),
                significant(times, 2)
            ));
        }
        out.push(text);
    }
    if let (Some(year), true) = (x.year, l.line.replace_month.is_some()) {
        let month = l.line.replace_month.as_ref().map_or(0.0, |q| q.si);
        out.push(format!(
            "{} a year falls, and {} in month {}, as long as one board needs {id}: only the last one saves them",
            whole(year.value),
            whole(l.replace.value),
            compact(month)
        ));
    }
    if let Some((n, last)) = x.machines.filter(|m| m.0 > 1 && m.1.value < HARDLY) {
        out.push(format!(
            "machine {n} of {id} would be used to {} % in the busiest week: work that can wait saves a machine",
            significant(100.0 * last.value, 2)
        ));
    }
    out
}

fn whole(x: f64) -> String {
    format!("{x:.0}")
}

fn cents(x: f64) -> String {
    format!("{x:.2}")
}
