//! Takes what is done on one path, month by month; gives its cost in rows, its flows, machines and quantities.

use super::money::{Inputs, Ledger, Money};
use super::prices::{LinePrices, Prices, belt};
use crate::compute::calc::{
    batch_loads, batch_year, belt_hours, cost_item, outside_year, recurring_value, single_value, span_factor,
};
use crate::model::economy::LineKind;
use crate::model::planning::{CostRow, Used};
use std::collections::BTreeMap;

/// What is done on one path, by index of the site's lists.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Course {
    /// Package, success, month of payment.
    pub results: Vec<(usize, bool, u32)>,
    /// Assembly, treatment, first month.
    pub steps: Vec<(usize, usize, u32)>,
    /// Programme and month from which it is paid.
    pub programmes: Vec<(usize, u32)>,
    /// Line, month, machines bought then; none for its conversion.
    pub lines: Vec<(usize, u32, Option<u32>)>,
}

/// What a path costs.
#[derive(Debug, Clone)]
pub struct Priced {
    pub cost: Money,
    pub rows: Vec<CostRow>,
    pub machines: Vec<(String, u32, u32)>,
    pub lines: Vec<(String, u32, u32)>,
    pub used: Used,
    /// By month, month 0 first, not discounted.
    pub flows: Vec<f64>,
}

/// Treatment of an assembly in a month.
pub fn treatment_at(p: &Prices, c: &Course, a: usize, month: u32) -> usize {
    let last = c.steps.iter().filter(|s| s.0 == a && s.2 <= month).max_by_key(|s| s.2);
    last.map_or(p.today, |s| s.1)
}

/// Stretches of months with the same key.
fn stretches<K: PartialEq>(months: u32, key: &dyn Fn(u32) -> Option<K>) -> Vec<(u32, u32, K)> {
    let mut out: Vec<(u32, u32, K)> = Vec::new();
    for m in 1..=months {
        let Some(k) = key(m) else { continue };
        match out.last_mut() {
            Some(last) if last.1 + 1 == m && last.2 == k => last.1 = m,
            _ => out.push((m, m, k)),
        }
    }
    out
}

/// One path while it is priced.
struct Run<'p, 'b> {
    p: &'p Prices<'p>,
    c: &'p Course,
    b: &'b mut Ledger,
    /// Plan and path, for the subjects of workings.
    of: String,
    out: Vec<CostRow>,
    parts: Vec<Money>,
    used: Used,
    flows: Vec<f64>,
}

/// Prices a path. `of` names it in the workings.
///
/// # Errors
/// In words, when a line has too little room, or a calculation has no result.
pub fn price(p: &Prices, c: &Course, of: &str, b: &mut Ledger) -> Result<Priced, String> {
    let flows = vec![0.0; p.months as usize + 1];
    let mut run = Run { p, c, b, of: of.to_string(), out: Vec::new(), parts: Vec::new(), used: Used::default(), flows };
    let (mut machines, mut lines) = (Vec::new(), Vec::new());
    for l in 0..p.lines.len() {
        run.line(l, &mut machines, &mut lines)?;
    }
    run.boards()?;
    for g in 0..p.programmes.len() {
        run.programme(g)?;
    }
    for (pack, success, month) in &c.results {
        let (id, cost, _) = &p.packs[*pack];
        let text = if *success { "succeeds" } else { "fails" };
        run.single(id, &format!("package {id}, which {text}"), *month, cost)?;
    }
    let cost = run.b.sum(&format!("{of}: present value of its cost"), &run.parts)?;
    Ok(Priced { cost, rows: run.out, machines, lines, used: run.used, flows: run.flows })
}

impl Run<'_, '_> {
    fn row(&mut self, of: &str, text: String, (from, to): (u32, u32), amount: &Money, once: bool, present: Money) {
        self.out.push(CostRow {
            of: of.to_string(),
            text,
            from,
            to,
            amount: amount.amount(),
            once,
            present: present.amount(),
        });
        self.parts.push(present);
    }

    /// A cost of a year that recurs in every month of a stretch.
    fn recurring(&mut self, of: &str, text: String, (from, to): (u32, u32), amount: &Money) -> Result<(), String> {
        let (a, z) =
            (Money::fixed(f64::from(from), "month of the plan"), Money::fixed(f64::from(to), "month of the plan"));
        let months = format!("months {from} to {to}");
        let s = self.b.once(&span_factor::CALC, &months, &vec![("w", &self.p.w), ("a", &a), ("b", &z)])?;
        let subject = format!("{}: {text}, {months}", self.of);
        let present = self.b.once(&recurring_value::CALC, &subject, &vec![("C", amount), ("s", &s)])?;
        for m in from..=to {
            let rise = libm::pow(1.0 + self.p.escalation, f64::from(m) / 12.0);
            self.flows[m as usize] += amount.value / 12.0 * rise;
        }
        self.row(of, text, (from, to), amount, false, present);
        Ok(())
    }

    /// A payment in one month.
    fn single(&mut self, of: &str, text: &str, month: u32, amount: &Money) -> Result<(), String> {
        if amount.value == 0.0 && amount.poly.constant_value() == Some(0.0) {
            return Ok(());
        }
        let m = Money::fixed(f64::from(month), "month of the plan");
        let subject = format!("{}: {text}, month {month}", self.of);
        let amount = self.computed(text, amount)?;
        let present = self.b.once(&single_value::CALC, &subject, &vec![("C", &amount), ("v", &self.p.v), ("m", &m)])?;
        self.flows[month.min(self.p.months) as usize] += amount.value;
        self.row(of, text.to_string(), (month, month), &amount, true, present);
        Ok(())
    }

    /// A stated number as a working of its own, so that rows can link to it.
    fn computed(&mut self, text: &str, m: &Money) -> Result<Money, String> {
        if matches!(m.origin, crate::model::workings::Origin::Working(_)) {
            return Ok(m.clone());
        }
        self.b.once(&crate::compute::calc::cost_sum::CALC, &format!("{text}: as stated"), &vec![("c", m)])
    }

    fn on(&self, l: usize, month: u32) -> Vec<usize> {
        let p = self.p;
        (0..p.assemblies.len()).filter(|&a| p.line_of(treatment_at(p, self.c, a, month)) == Some(l)).collect()
    }

    fn line(
        &mut self,
        l: usize,
        machines: &mut Vec<(String, u32, u32)>,
        lines: &mut Vec<(String, u32, u32)>,
    ) -> Result<(), String> {
        let p = self.p;
        let line = &p.lines[l];
        let id = line.line.id.text.as_str();
        let months = p.months;
        let in_use: Vec<bool> = (0..=months).map(|m| m > 0 && !self.on(l, m).is_empty()).collect();
        let used = |m: u32| in_use[m as usize];
        for (from, to, ()) in stretches(months, &|m| used(m).then_some(())) {
            lines.push((id.to_string(), from, to));
        }
        match line.line.kind {
            LineKind::Belt => self.belt(l, line)?,
            LineKind::Batch => self.batch(l, line, machines)?,
            LineKind::Outside => self.outside(l, line)?,
        }
        if let Some(m) = line.line.replace_month.as_ref().map(|q| q.si as u32).filter(|m| used((*m).max(1).min(months)))
        {
            self.single(id, &format!("{id} is replaced"), m, &line.replace)?;
        }
        let today = p.line_of(p.today) == Some(l);
        let last = (1..=months).rev().find(|m| used(*m)).unwrap_or(0);
        if today && last < months {
            self.single(id, &format!("{id} is taken down"), last + 1, &line.decommission)?;
            let back = self.b.once(
                &cost_item::CALC,
                &format!("{id}: salvage"),
                &vec![("n", &line.salvage), ("p", &Money::fixed(-1.0, "what is got counts against the cost"))],
            )?;
            self.single(id, &format!("{id} is sold"), last + 1, &back)?;
        }
        Ok(())
    }

    /// Converts a belt when saponifier is first used on it.
    fn converted(&mut self, l: usize, line: &LinePrices, first: Option<u32>) -> Result<(), String> {
        let p = self.p;
        let id = line.line.id.text.as_str();
        let before = p.line_of(p.today) == Some(l) && p.saponified(p.today);
        let early = self.c.lines.iter().find(|e| e.0 == l && e.2.is_none()).map(|e| e.1);
        match early.or(first.filter(|_| !before)) {
            Some(m) => self.single(id, &format!("{id} is made fit for saponifier"), m, &line.conversion),
            None => Ok(()),
        }
    }

    fn belt(&mut self, l: usize, line: &LinePrices) -> Result<(), String> {
        let p = self.p;
        let id = line.line.id.text.as_str();
        let soaped = |run: &Self, on: &[usize], m: u32| on.iter().any(|&a| p.saponified(treatment_at(p, run.c, a, m)));
        let panels = |on: &[usize], m: u32| -> f64 { on.iter().map(|&a| p.panels(a, year(m))).sum() };
        let key = |run: &Self, m: u32| {
            let on = run.on(l, m);
            (!on.is_empty()).then(|| (panels(&on, m).to_bits(), soaped(run, &on, m), on))
        };
        let runs = stretches(p.months, &|m| key(self, m));
        let first = runs.iter().find(|r| r.2.1).map(|r| r.0);
        for (from, to, (bits, soap, on)) in runs {
            let panels = f64::from_bits(bits);
            let with = if soap { " with saponifier" } else { "" };
            let (hours, what) = match &line.line.panels_an_hour {
                Some(q) => {
                    let n = self.panels(&on, from)?;
                    let subject = format!("{id}: hours for {}", ids(p, &on));
                    (self.b.once(&belt_hours::CALC, &subject, &vec![("N", &n), ("q", &Money::stated(q))])?, subject)
                }
                None => {
                    let Some((_, h)) = line.shifts.iter().find(|s| s.0 >= panels * (1.0 - 1e-9)) else {
                        return Err(format!(
                            "{}: {id} has {panels} panels a year in month {from}, and its shifts are enough for {} at most",
                            self.of,
                            line.shifts.last().map_or(0.0, |s| s.0)
                        ));
                    };
                    (h.clone(), format!("{} h a year", crate::quantity::significant(h.value, 6)))
                }
            };
            let year_cost = belt(line, &hours, soap, &format!("{id}: a year, {what}{with}"), self.b)?;
            self.recurring(id, format!("{id} runs{with} for {}", ids(p, &on)), (from, to), &year_cost)?;
            let value = |q: &Option<crate::quantity::Quantity>| q.as_ref().map_or(0.0, |q| q.si);
            let h = hours.value * f64::from(to - from + 1) / 12.0;
            let water = h * value(&line.line.water);
            self.used.hours += h;
            self.used.water_m3 += water;
            self.used.effluent_m3 += water * value(&line.line.effluent_share);
            self.used.energy_kwh += h * value(&line.line.power) * value(&line.line.load_factor);
            self.used.saponifier_l += if soap { h * value(&line.line.saponifier_amount) } else { 0.0 };
        }
        self.converted(l, line, first)
    }

    /// Panels a year of some assemblies.
    fn panels(&mut self, on: &[usize], month: u32) -> Result<Money, String> {
        let p = self.p;
        let mut parts = Vec::new();
        for &a in on {
            let boards = &p.assemblies[a];
            let up = Money::stated(boards.panel_up);
            let inputs: Inputs = vec![("B", &boards.boards[year(month)]), ("b", &up)];
            parts.push(self.b.once(
                &batch_loads::CALC,
                &format!("{}: panels in year {}", boards.id, year(month) + 1),
                &inputs,
            )?);
        }
        self.b.count(&format!("panels of {}", ids(p, on)), &parts)
    }

    fn batch(&mut self, l: usize, line: &LinePrices, machines: &mut Vec<(String, u32, u32)>) -> Result<(), String> {
        let p = self.p;
        let id = line.line.id.text.as_str();
        let load = |a: usize| line.line.load.iter().find(|x| x.assembly.text == p.assemblies[a].id);
        let key = |run: &Self, m: u32| {
            let on = run.on(l, m);
            (!on.is_empty()).then(|| (year_key(p, &on, m), on))
        };
        let mut bought: u32 = 0;
        for (_, month, n) in self.c.lines.iter().filter(|e| e.0 == l) {
            if let Some(n) = n {
                bought += n;
                self.buy(line, *n, *month)?;
            }
        }
        for (from, to, (_, on)) in stretches(p.months, &|m| key(self, m)) {
            let mut parts = Vec::new();
            for &a in &on {
                let Some(x) = load(a) else {
                    return Err(format!("{id} does not say how many boards of {} it takes", p.assemblies[a].id));
                };
                let b = Money::stated(&x.boards);
                let inputs: Inputs = vec![("B", &p.assemblies[a].boards[year(from)]), ("b", &b)];
                let subject = format!("{id}: loads of {} in year {}", p.assemblies[a].id, year(from) + 1);
                parts.push(self.b.once(&batch_loads::CALC, &subject, &inputs)?);
            }
            let loads = self.b.count(&format!("{id}: loads of {}", ids(p, &on)), &parts)?;
            let n = machines_for(line, &loads, &format!("{id}: machines for {}", ids(p, &on)), self.b)?;
            let per_load = line.per_load.as_ref().ok_or_else(|| format!("{id} has no cost of a load"))?;
            let inputs: Inputs = vec![("n", &n), ("F", &line.yearly), ("L", &loads), ("c_L", per_load)];
            let count = n.value as u32;
            let year_cost = self.b.once(
                &batch_year::CALC,
                &format!("{id}: a year, {count} machines for {}", ids(p, &on)),
                &inputs,
            )?;
            if count > bought {
                self.buy(line, count - bought, from)?;
                bought = count;
            }
            machines.push((id.to_string(), from, count));
            self.recurring(id, format!("{id}, {count} machines, for {}", ids(p, &on)), (from, to), &year_cost)?;
            let value = |q: &Option<crate::quantity::Quantity>| q.as_ref().map_or(0.0, |q| q.si);
            let n = loads.value * f64::from(to - from + 1) / 12.0;
            self.used.hours += n * line.cycle() / 60.0;
            self.used.water_m3 += n * value(&line.line.load_water);
            self.used.effluent_m3 += n * value(&line.line.load_water);
            self.used.energy_kwh += n * value(&line.line.load_power);
            self.used.saponifier_l += n * value(&line.line.load_saponifier);
        }
        Ok(())
    }

    fn buy(&mut self, line: &LinePrices, n: u32, month: u32) -> Result<(), String> {
        let id = line.line.id.text.as_str();
        let count = Money::fixed(f64::from(n), "number of machines");
        let price = self.b.once(
            &cost_item::CALC,
            &format!("{id}: price of {n}"),
            &vec![("n", &count), ("p", &line.machine)],
        )?;
        self.single(id, &format!("{n} of {id} bought"), month, &price)
    }

    fn outside(&mut self, l: usize, line: &LinePrices) -> Result<(), String> {
        let p = self.p;
        let id = line.line.id.text.as_str();
        let key = |run: &Self, m: u32| {
            let on = run.on(l, m);
            (!on.is_empty()).then(|| (year_key(p, &on, m), on))
        };
        for (from, to, (_, on)) in stretches(p.months, &|m| key(self, m)) {
            let boards: Vec<Money> = on.iter().map(|&a| p.assemblies[a].boards[year(from)].clone()).collect();
            let all = self.b.count(&format!("{id}: boards of {}", ids(p, &on)), &boards)?;
            let inputs: Inputs = vec![("F", &line.yearly), ("B", &all), ("c_b", &line.board), ("c_t", &line.transport)];
            let year_cost = self.b.once(&outside_year::CALC, &format!("{id}: a year of {}", ids(p, &on)), &inputs)?;
            self.recurring(id, format!("{id} washes {}", ids(p, &on)), (from, to), &year_cost)?;
        }
        Ok(())
    }

    /// What every board costs in its treatment besides the line.
    fn boards(&mut self) -> Result<(), String> {
        let p = self.p;
        for a in 0..p.assemblies.len() {
            let key = |run: &Self, m: u32| {
                let t = treatment_at(p, run.c, a, m);
                let own = &p.per_board[t];
                let nothing = own.value == 0.0 && own.poly.constant_value() == Some(0.0);
                (!nothing).then_some((t, p.assemblies[a].boards[year(m)].value.to_bits()))
            };
            for (from, to, (t, _)) in stretches(p.months, &|m| key(self, m)) {
                let (id, of) = (p.assemblies[a].id, p.treatments[t].id.text.as_str());
                let inputs: Inputs = vec![("n", &p.assemblies[a].boards[year(from)]), ("p", &p.per_board[t])];
                let cost = self.b.once(
                    &cost_item::CALC,
                    &format!("{of}: boards of {id}, year {}", year(from) + 1),
                    &inputs,
                )?;
                self.recurring(of, format!("{of} for the boards of {id}"), (from, to), &cost)?;
            }
        }
        Ok(())
    }

    fn programme(&mut self, g: usize) -> Result<(), String> {
        let p = self.p;
        let own = &p.programmes[g];
        let id = own.programme.id.text.as_str();
        let any = |run: &Self, list: &[crate::model::Text], m: u32| {
            (0..p.assemblies.len()).any(|a| {
                let t = &p.treatments[treatment_at(p, run.c, a, m)].id.text;
                list.iter().any(|x| x.text == *t)
            })
        };
        let ruled = |run: &Self, m: u32| {
            let beside = &own.programme.beside;
            any(run, &own.programme.treatments, m) && (beside.is_empty() || any(run, beside, m))
        };
        let by_rule: Vec<bool> = (0..=p.months).map(|m| m > 0 && ruled(self, m)).collect();
        let first = by_rule.iter().position(|b| *b).map(|m| m as u32);
        let early = self.c.programmes.iter().find(|e| e.0 == g).map(|e| e.1);
        let active = |m: u32| by_rule[m as usize] || early.is_some_and(|e| m >= e && first.is_none_or(|f| m < f));
        if own.yearly.value != 0.0 || own.yearly.poly.constant_value().is_none() {
            for (from, to, ()) in stretches(p.months, &|m| active(m).then_some(())) {
                let yearly = self.computed(&format!("{id} by the year"), &own.yearly)?;
                self.recurring(id, own.programme.title.text.clone(), (from, to), &yearly)?;
            }
        }
        if let Some(first) = first {
            let text = format!("{}, once", own.programme.title);
            self.single(id, &text, first.saturating_sub(own.lead), &own.once)?;
        }
        Ok(())
    }
}

/// Machines that some loads need, with the working.
///
/// # Errors
/// As [`Ledger::work`].
pub fn machines_for(line: &LinePrices, loads: &Money, subject: &str, b: &mut Ledger) -> Result<Money, String> {
    let all = machine_use(line, loads, subject, b)?;
    all.into_iter().nth(2).ok_or_else(|| "no number of machines".to_string())
}

/// Loads of one machine, machines used at peak, machines needed.
///
/// # Errors
/// As [`Ledger::work`].
pub fn machine_use(line: &LinePrices, loads: &Money, subject: &str, b: &mut Ledger) -> Result<Vec<Money>, String> {
    let (h, u, p) =
        (Money::or_none(&line.line.open_hours), Money::or_none(&line.line.uptime), Money::or_none(&line.line.peak));
    let t = line.line.cycle.as_ref().map_or(Money::fixed(f64::NAN, "no cycle"), |q| Money {
        value: line.cycle(),
        poly: super::poly::Poly::constant(line.cycle()),
        origin: crate::model::workings::Origin::Place(q.at),
    });
    let inputs: Inputs = vec![("h", &h), ("u", &u), ("t", &t), ("L", loads), ("p", &p)];
    b.work(&crate::compute::calc::batch_machines::CALC, subject, &inputs)
}

/// Year of the plan, from 0, that a month belongs to.
pub fn year(month: u32) -> usize {
    (month.max(1) as usize - 1) / 12
}

/// Boards of some assemblies in the year of a month: what parts two stretches.
fn year_key(p: &Prices, on: &[usize], month: u32) -> Vec<u64> {
    on.iter().map(|&a| p.assemblies[a].boards[year(month)].value.to_bits()).collect()
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

/// By id: what a path costs, as one number for each.
pub fn by_cause(rows: &[CostRow]) -> BTreeMap<String, f64> {
    let mut out = BTreeMap::new();
    for r in rows {
        *out.entry(r.of.clone()).or_insert(0.0) += r.present.value;
    }
    out
}
