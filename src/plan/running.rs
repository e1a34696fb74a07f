//! Takes a line and the assemblies on it; gives a year of it: cost, work, machines, and what it uses beside money.

use super::money::{Inputs, Ledger, Money};
use super::prices::{LinePrices, Prices, belt};
use crate::compute::calc::{batch_loads, batch_machines, batch_year, belt_hours, outside_year, use_sum, wash_use};
use crate::model::economy::LineKind;
use crate::model::planning::Used;
use crate::quantity::significant;

/// A year of a line with some assemblies on it.
#[derive(Debug, Clone)]
pub struct Running {
    pub cost: Money,
    /// Panels a year on a belt; loads of a batch machine; boards outside.
    pub work: Money,
    /// Hours that a belt is kept running.
    pub hours: Option<Money>,
    /// Batch machines used at peak, and needed.
    pub machines: Option<[Money; 2]>,
    /// "with saponifier", where a belt has it.
    pub soap: bool,
}

/// A year of the plan, counted from 0, of a line with some assemblies on it.
///
/// # Errors
/// In words, when the line is too small for them, or a calculation has no result.
pub fn running(
    p: &Prices,
    l: &LinePrices,
    on: &[usize],
    soap: bool,
    year: usize,
    b: &mut Ledger,
) -> Result<Running, String> {
    let (id, names, soap) = (l.line.id.text.as_str(), ids(p, on), soap && l.line.kind == LineKind::Belt);
    let plain = |cost, work| Running { cost, work, hours: None, machines: None, soap };
    match l.line.kind {
        LineKind::Belt => {
            let panels = counts(p, on, year, "panels", &mut |a| Ok(Money::stated(p.assemblies[a].panel_up)), b)?;
            let hours = belt_time(l, &panels, &names, b)?;
            let with = if soap { " with saponifier" } else { "" };
            let subject = format!("{id}: a year, {} h a year{with}", significant(hours.value, 6));
            Ok(Running { hours: Some(hours.clone()), ..plain(belt(l, &hours, soap, &subject, b)?, panels) })
        }
        LineKind::Batch => {
            let loads = counts(p, on, year, &format!("loads of {id}"), &mut |a| load(p, l, a), b)?;
            let [_, peak, n] = machines(l, &loads, &format!("{id}: machines for {names}"), b)?;
            let per_load = l.per_load.as_ref().ok_or_else(|| format!("{id} has no cost of a load"))?;
            let inputs: Inputs = vec![("n", &n), ("F", &l.yearly), ("L", &loads), ("c_L", per_load)];
            let noun = if n.value == 1.0 { "machine" } else { "machines" };
            let subject = format!("{id}: a year, {} {noun} for {names}", n.value);
            let cost = b.once(&batch_year::CALC, &subject, &inputs)?;
            Ok(Running { machines: Some([peak, n]), ..plain(cost, loads) })
        }
        LineKind::Outside => {
            let boards: Vec<Money> = on.iter().map(|&a| p.assemblies[a].boards[year].clone()).collect();
            let boards = b.count(&format!("{id}: boards of {names}"), &boards)?;
            let inputs: Inputs = vec![("F", &l.yearly), ("B", &boards), ("c_b", &l.board), ("c_t", &l.transport)];
            let cost = b.once(&outside_year::CALC, &format!("{id}: a year of {names}"), &inputs)?;
            Ok(plain(cost, boards))
        }
    }
}

/// Panels or loads a year of some assemblies, each with as many boards as `together` says.
fn counts(
    p: &Prices,
    on: &[usize],
    year: usize,
    what: &str,
    together: &mut dyn FnMut(usize) -> Result<Money, String>,
    b: &mut Ledger,
) -> Result<Money, String> {
    let mut parts = Vec::new();
    for &a in on {
        let (of, one) = (&p.assemblies[a], together(a)?);
        let subject = format!("{}: {what} in year {}", of.id, year + 1);
        parts.push(b.once(&batch_loads::CALC, &subject, &vec![("B", &of.boards[year]), ("b", &one)])?);
    }
    b.count(&format!("{what} for {}", ids(p, on)), &parts)
}

/// Hours that a belt truly needs for some panels; none where the site does not say how many it washes in an hour.
///
/// # Errors
/// As [`Ledger::work`].
pub fn needed_hours(l: &LinePrices, panels: &Money, names: &str, b: &mut Ledger) -> Result<Option<Money>, String> {
    let Some(q) = &l.line.panels_an_hour else { return Ok(None) };
    let rate = Money::stated(q);
    let subject = format!("{}: hours for {names}", l.line.id);
    b.once(&belt_hours::CALC, &subject, &vec![("N", panels), ("q", &rate)]).map(Some)
}

/// Hours that a belt is kept running: those of its shifts, or those that its panels need.
fn belt_time(l: &LinePrices, panels: &Money, names: &str, b: &mut Ledger) -> Result<Money, String> {
    let id = &l.line.id;
    if l.shifts.is_empty() {
        return needed_hours(l, panels, names, b)?.ok_or_else(|| format!("{id} has no hours"));
    }
    let enough = l.shifts.iter().find(|s| s.0 >= panels.value * (1.0 - 1e-9));
    enough.map(|s| s.1.clone()).ok_or_else(|| {
        let most = l.shifts.last().map_or(0.0, |s| s.0);
        format!("{id} has {} panels a year, and its shifts are enough for {most} at most", panels.value)
    })
}

/// Loads a year of one machine, machines used at peak, machines needed.
fn machines(l: &LinePrices, loads: &Money, subject: &str, b: &mut Ledger) -> Result<[Money; 3], String> {
    let line = l.line;
    let (h, u, p) = (Money::or_none(&line.open_hours), Money::or_none(&line.uptime), Money::or_none(&line.peak));
    let t = cycle(l, 1.0);
    let inputs: Inputs = vec![("h", &h), ("u", &u), ("t", &t), ("L", loads), ("p", &p)];
    b.all_once(&batch_machines::CALC, subject, &inputs)?.try_into().map_err(|_| "no number of machines".to_string())
}

/// Minutes of one load over `by`.
fn cycle(l: &LinePrices, by: f64) -> Money {
    let of = |q| Money::counted(l.cycle() / by, q);
    l.line.cycle.as_ref().map_or(Money::fixed(f64::NAN, "no cycle"), of)
}

/// Boards of an assembly in one load.
pub fn load(p: &Prices, l: &LinePrices, a: usize) -> Result<Money, String> {
    let own = l.line.load.iter().find(|x| x.assembly.text == p.assemblies[a].id).map(|x| Money::stated(&x.boards));
    own.ok_or_else(|| format!("{} does not say how many boards of {} it takes", l.line.id, p.assemblies[a].id))
}

impl Running {
    /// What some months of such a year use beside money; none for a house outside, whose use is its own.
    ///
    /// # Errors
    /// As [`Ledger::work`].
    pub fn used(
        &self,
        l: &LinePrices,
        months: u32,
        subject: &str,
        b: &mut Ledger,
    ) -> Result<Option<Vec<Money>>, String> {
        let (line, all) = (l.line, || Money::fixed(1.0, "all of it"));
        let share = line.effluent_share.as_ref().map_or_else(all, Money::stated);
        let of = [
            ("T", Money::fixed(f64::from(months), "months")),
            ("phi", share),
            match line.kind {
                LineKind::Belt => ("f", Money::or_none(&line.load_factor)),
                _ => ("f", Money::fixed(1.0, "what a load uses is stated as it is used")),
            },
        ];
        let none = || Money::fixed(0.0, "no saponifier");
        let one = match line.kind {
            LineKind::Belt => [
                ("n", self.hours.clone().unwrap_or_else(none)),
                ("h", Money::fixed(1.0, "an hour")),
                ("w", Money::or_none(&line.water)),
                ("P", Money::or_none(&line.power)),
                ("s", if self.soap { Money::or_none(&line.saponifier_amount) } else { none() }),
            ],
            LineKind::Batch => [
                ("n", self.work.clone()),
                ("h", cycle(l, 60.0)),
                ("w", Money::or_none(&line.load_water)),
                ("P", Money::or_none(&line.load_power)),
                ("s", Money::or_none(&line.load_saponifier)),
            ],
            LineKind::Outside => return Ok(None),
        };
        let inputs: Inputs = one.iter().chain(&of).map(|(s, m)| (*s, m)).collect();
        b.all_once(&wash_use::CALC, subject, &inputs).map(Some)
    }
}

/// The use of all parts together, in the order of [`wash_use`]; none of no part.
///
/// # Errors
/// As [`Ledger::work`].
pub fn together(parts: &[Vec<Money>], subject: &str, b: &mut Ledger) -> Result<Option<Vec<Money>>, String> {
    if parts.len() < 2 {
        return Ok(parts.first().cloned());
    }
    let inputs = parts.iter().flat_map(|part| ["H", "W", "E", "K", "S"].into_iter().zip(part)).collect();
    b.work(&use_sum::CALC, subject, &inputs).map(Some)
}

/// The same as pages and machines read it.
pub fn told(use_of: &[Money]) -> Option<Used> {
    let [hours, water, effluent, energy, saponifier] = use_of else { return None };
    Some(Used {
        hours: hours.amount(),
        water_m3: water.amount(),
        effluent_m3: effluent.amount(),
        energy_kwh: energy.amount(),
        saponifier_l: saponifier.amount(),
    })
}

/// Ids of assemblies in words.
pub fn ids(p: &Prices, on: &[usize]) -> String {
    let ids: Vec<&str> = on.iter().map(|&a| p.assemblies[a].id).collect();
    match ids.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}
