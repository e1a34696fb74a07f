//! Takes prices; gives what every line costs as it is used today: by the year, average, marginal and avoidable apart.

use super::course::{ids, machine_use};
use super::money::{Inputs, Ledger, Money};
use super::prices::{LinePrices, Prices, belt};
use crate::compute::calc::{
    batch_loads, batch_year, belt_hours, cost_by_share, cost_item, cost_per_board, last_machine, outside_year, saving,
};
use crate::model::economy::LineKind;
use crate::model::planning::{LineCost, LineShare, Used};
use crate::quantity::{Quantity, compact, significant};

/// How much dearer than the average a board may be when it stays alone, before it is said.
const DEARER: f64 = 1.5;
/// Share of the last machine below which it is said that it is hardly used.
const HARDLY: f64 = 0.25;

/// A year of a line with some assemblies on it.
struct Year {
    cost: Money,
    /// The part that follows hours, loads or boards.
    running: Money,
    /// Panels a year; loads of a batch machine; boards outside.
    work: Money,
    /// Hours that a belt is kept running.
    hours: Option<Money>,
    used: Used,
}

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
    let whole = if on.is_empty() { None } else { year(p, prices, &on, soap, b).ok().filter(|_| !in_use) };
    let whole = if in_use { Some(year(p, prices, &on, soap, b)?) } else { whole };
    let now: &[usize] = if in_use { &on } else { &[] };
    let boards = b.count(&format!("{id}: boards of {}", ids(p, &on)), &boards_of(p, &on))?;
    let per = |m: &Money, what: &str, b: &mut Ledger| {
        b.first(&cost_per_board::CALC, &format!("{id}: {what}"), &vec![("C", m), ("B", &boards)])
    };
    let (mut average, mut marginal) = (None, None);
    if let Some(y) = whole.as_ref().filter(|_| in_use && boards.value > 0.0) {
        average = Some(per(&y.cost, "average of a board", b)?.amount());
        let more = match line.panels_an_hour {
            None if line.kind == LineKind::Belt => {
                Money::fixed(0.0, "the hours are those of the shift: one board more costs none")
            }
            _ => y.running.clone(),
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
    if let (LineKind::Batch, Some(y)) = (line.kind, &whole) {
        let all = machine_use(prices, &y.work, &format!("{id}: machines for {}", ids(p, &on)), b)?;
        let last =
            b.first(&last_machine::CALC, &format!("{id}: the last machine"), &vec![("x", &all[1]), ("n", &all[2])])?;
        machines = Some((all[2].value as u32, last.amount()));
    }
    let year = whole.as_ref().filter(|_| in_use).map(|y| y.cost.amount());
    let unit_cost = unit(prices, soap, b)?;
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
        used: whole.as_ref().filter(|_| in_use).map_or_else(Used::default, |y| y.used),
        shares,
        machines,
        needed_hours: whole.filter(|_| line.panels_an_hour.is_some()).and_then(|y| y.hours).map(|h| h.amount()),
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
    (whole, soap): (&Year, bool),
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
        rest => year(p, l, rest, soap, b)?.cost,
    };
    let inputs = vec![("C_0", &whole.cost), ("C", &less)];
    let saved = b.first(&saving::CALC, &format!("{id}: a year without {}", assembly.id), &inputs)?;
    let alone = year(p, l, &[a], soap, b)?.cost;
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

/// Boards of an assembly in one load.
fn load(p: &Prices, l: &LinePrices, a: usize) -> Result<Money, String> {
    let own = l.line.load.iter().find(|x| x.assembly.text == p.assemblies[a].id).map(|x| Money::stated(&x.boards));
    own.ok_or_else(|| format!("{} does not say how many boards of {} it takes", l.line.id, p.assemblies[a].id))
}

/// A first year of a line with some assemblies on it.
fn year(p: &Prices, l: &LinePrices, on: &[usize], soap: bool, b: &mut Ledger) -> Result<Year, String> {
    let (id, names) = (l.line.id.text.as_str(), ids(p, on));
    let value = |q: &Option<Quantity>| q.as_ref().map_or(0.0, |q| q.si);
    let times = |n: &Money, price: &Money, what: &str, b: &mut Ledger| {
        b.once(&cost_item::CALC, &format!("{id}: {what} of {names}"), &vec![("n", n), ("p", price)])
    };
    let with = if soap { " with saponifier" } else { "" };
    Ok(match l.line.kind {
        LineKind::Belt => {
            let mut parts = Vec::new();
            for &a in on {
                let (of, up) = (&p.assemblies[a], Money::stated(p.assemblies[a].panel_up));
                let inputs: Inputs = vec![("B", &of.boards[0]), ("b", &up)];
                parts.push(b.once(&batch_loads::CALC, &format!("{}: panels in year 1", of.id), &inputs)?);
            }
            let panels = b.count(&format!("panels of {names}"), &parts)?;
            let hours = match &l.line.panels_an_hour {
                Some(q) => {
                    let rate = Money::stated(q);
                    let inputs: Inputs = vec![("N", &panels), ("q", &rate)];
                    b.once(&belt_hours::CALC, &format!("{id}: hours for {names}"), &inputs)?
                }
                None => {
                    let enough = l.shifts.iter().find(|s| s.0 >= panels.value * (1.0 - 1e-9));
                    enough.map(|s| s.1.clone()).ok_or_else(|| {
                        let most = l.shifts.last().map_or(0.0, |s| s.0);
                        format!("{id} has {} panels a year, and its shifts are enough for {most} at most", panels.value)
                    })?
                }
            };
            let subject = format!("{id}: a year, {} h a year{with}", significant(hours.value, 6));
            let cost = belt(l, &hours, soap, &subject, b)?;
            let hour = unit(l, soap, b)?;
            let (h, water) = (hours.value, hours.value * value(&l.line.water));
            Year {
                running: times(&hours, &hour, "hours", b)?,
                used: Used {
                    hours: h,
                    water_m3: water,
                    effluent_m3: water * value(&l.line.effluent_share),
                    energy_kwh: h * value(&l.line.power) * value(&l.line.load_factor),
                    saponifier_l: if soap { h * value(&l.line.saponifier_amount) } else { 0.0 },
                },
                cost,
                work: panels,
                hours: Some(hours),
            }
        }
        LineKind::Batch => {
            let mut parts = Vec::new();
            for &a in on {
                let (of, one) = (&p.assemblies[a], load(p, l, a)?);
                let inputs: Inputs = vec![("B", &of.boards[0]), ("b", &one)];
                parts.push(b.once(&batch_loads::CALC, &format!("{id}: loads of {} in year 1", of.id), &inputs)?);
            }
            let loads = b.count(&format!("{id}: loads of {names}"), &parts)?;
            let n = super::course::machines_for(l, &loads, &format!("{id}: machines for {names}"), b)?;
            let per_load = unit(l, soap, b)?;
            let inputs: Inputs = vec![("n", &n), ("F", &l.yearly), ("L", &loads), ("c_L", &per_load)];
            let subject = format!("{id}: a year, {} machines for {names}", n.value);
            let x = loads.value;
            Year {
                cost: b.once(&batch_year::CALC, &subject, &inputs)?,
                running: times(&loads, &per_load, "loads", b)?,
                hours: None,
                used: Used {
                    hours: 0.0,
                    water_m3: x * value(&l.line.load_water),
                    effluent_m3: x * value(&l.line.load_water),
                    energy_kwh: x * value(&l.line.load_power),
                    saponifier_l: x * value(&l.line.load_saponifier),
                },
                work: loads,
            }
        }
        LineKind::Outside => {
            let boards = b.count(&format!("{id}: boards of {names}"), &boards_of(p, on))?;
            let inputs: Inputs = vec![("F", &l.yearly), ("B", &boards), ("c_b", &l.board), ("c_t", &l.transport)];
            let cost = b.once(&outside_year::CALC, &format!("{id}: a year of {names}"), &inputs)?;
            let board = unit(l, soap, b)?;
            Year {
                running: times(&boards, &board, "boards", b)?,
                work: boards,
                hours: None,
                used: Used::default(),
                cost,
            }
        }
    })
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
