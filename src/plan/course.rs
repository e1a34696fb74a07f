//! Takes what is done on one path, month by month; gives its cost in rows, its flows, machines and quantities.

use super::money::{Inputs, Ledger, Money};
use super::prices::{LinePrices, Prices};
use super::running::{ids, running, together};
use crate::compute::calc::{cost_item, cost_sum, recurring_value, single_value, span_factor};
use crate::model::Text;
use crate::model::economy::LineKind;
use crate::model::planning::{Cause, CostRow};
use crate::model::workings::Origin;

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
    /// What its lines use beside money over all months, in the order of `wash_use`; none where they use nothing.
    pub used: Option<Vec<Money>>,
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
    used: Vec<Vec<Money>>,
    flows: Vec<f64>,
}

/// Prices a path. `of` names it in the workings.
///
/// # Errors
/// In words, when a line has too little room, or a calculation has no result.
pub fn price(p: &Prices, c: &Course, of: &str, b: &mut Ledger) -> Result<Priced, String> {
    let flows = vec![0.0; p.months as usize + 1];
    let mut run = Run { p, c, b, of: of.to_string(), out: Vec::new(), parts: Vec::new(), used: Vec::new(), flows };
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
        run.single((id, Cause::Test), &format!("package {id}, which {text}"), *month, cost)?;
    }
    let used = together(&run.used, &format!("{of}: used beside money"), run.b)?;
    let cost = run.b.sum(&format!("{of}: present value of its cost"), &run.parts)?;
    Ok(Priced { cost, rows: run.out, machines, lines, used, flows: run.flows })
}

impl Run<'_, '_> {
    fn row(
        &mut self,
        (of, cause): (&str, Cause),
        text: String,
        (from, to): (u32, u32),
        amount: &Money,
        once: bool,
        present: Money,
    ) {
        self.out.push(CostRow {
            of: of.to_string(),
            cause,
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
    fn recurring(
        &mut self,
        of: (&str, Cause),
        text: String,
        (from, to): (u32, u32),
        amount: &Money,
    ) -> Result<(), String> {
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
    fn single(&mut self, of: (&str, Cause), text: &str, month: u32, amount: &Money) -> Result<(), String> {
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
        if matches!(m.origin, Origin::Working(_)) {
            return Ok(m.clone());
        }
        self.b.once(&cost_sum::CALC, &format!("{text}: as stated"), &vec![("c", m)])
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
        self.on_line(l, machines)?;
        if let Some(m) =
            line.line.replace_month.as_ref().map(|q| q.si as u32).filter(|m| *m <= months && used((*m).max(1)))
        {
            self.single((id, Cause::Replaced), &format!("{id} is replaced"), m, &line.replace)?;
        }
        let today = p.line_of(p.today) == Some(l);
        let last = (1..=months).rev().find(|m| used(*m)).unwrap_or(0);
        if today && last < months {
            self.single((id, Cause::Retired), &format!("{id} is taken down"), last + 1, &line.decommission)?;
            let back = self.b.once(
                &cost_item::CALC,
                &format!("{id}: salvage"),
                &vec![("n", &line.salvage), ("p", &Money::fixed(-1.0, "what is got counts against the cost"))],
            )?;
            self.single((id, Cause::Retired), &format!("{id} is sold"), last + 1, &back)?;
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
            Some(m) => {
                self.single((id, Cause::Converted), &format!("{id} is made fit for saponifier"), m, &line.conversion)
            }
            None => Ok(()),
        }
    }

    /// What a line costs in every stretch of months with the same work on it.
    fn on_line(&mut self, l: usize, machines: &mut Vec<(String, u32, u32)>) -> Result<(), String> {
        let p = self.p;
        let line = &p.lines[l];
        let id = line.line.id.text.as_str();
        let belt = line.line.kind == LineKind::Belt;
        let key = |run: &Self, m: u32| {
            let on = run.on(l, m);
            let soap = belt && on.iter().any(|&a| p.saponified(treatment_at(p, run.c, a, m)));
            let boards: Vec<u64> = on.iter().map(|&a| p.assemblies[a].boards[year(m)].value.to_bits()).collect();
            (!on.is_empty()).then_some((boards, soap, on))
        };
        let runs = stretches(p.months, &|m| key(self, m));
        let mut bought: u32 = 0;
        for (_, month, n) in self.c.lines.iter().filter(|e| e.0 == l) {
            if let Some(n) = n {
                bought += n;
                self.buy(line, *n, *month)?;
            }
        }
        for (from, to, (_, soap, on)) in &runs {
            let names = ids(p, on);
            let a_year = running(p, line, on, *soap, year(*from), self.b)
                .map_err(|e| format!("{}, months {from} to {to}: {e}", self.of))?;
            let text = match (&a_year.machines, line.line.kind) {
                (Some([_, n]), _) => {
                    let count = n.value as u32;
                    if count > bought {
                        self.buy(line, count - bought, *from)?;
                        bought = count;
                    }
                    machines.push((id.to_string(), *from, count));
                    let noun = if count == 1 { "machine" } else { "machines" };
                    format!("{id}, {count} {noun}, for {names}")
                }
                (None, LineKind::Outside) => format!("{id} washes {names}"),
                (None, _) => format!("{id} runs{} for {names}", if *soap { " with saponifier" } else { "" }),
            };
            self.recurring((id, Cause::Running), text, (*from, *to), &a_year.cost)?;
            let subject = format!("{}: used by {id} in months {from} to {to}", self.of);
            self.used.extend(a_year.used(line, to + 1 - from, &subject, self.b)?);
        }
        match belt {
            true => self.converted(l, line, runs.iter().find(|r| r.2.1).map(|r| r.0)),
            false => Ok(()),
        }
    }

    fn buy(&mut self, line: &LinePrices, n: u32, month: u32) -> Result<(), String> {
        let id = line.line.id.text.as_str();
        let count = Money::fixed(f64::from(n), "number of machines");
        let price = self.b.once(
            &cost_item::CALC,
            &format!("{id}: price of {n}"),
            &vec![("n", &count), ("p", &line.machine)],
        )?;
        self.single((id, Cause::Bought), &format!("{n} of {id} bought"), month, &price)
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
                self.recurring((of, Cause::Boards), format!("{of} for the boards of {id}"), (from, to), &cost)?;
            }
        }
        Ok(())
    }

    fn programme(&mut self, g: usize) -> Result<(), String> {
        let p = self.p;
        let own = &p.programmes[g];
        let id = own.programme.id.text.as_str();
        let any = |run: &Self, list: &[Text], m: u32| {
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
                self.recurring((id, Cause::Programme), own.programme.title.text.clone(), (from, to), &yearly)?;
            }
        }
        if let Some(first) = first {
            let text = format!("{}, once", own.programme.title);
            self.single((id, Cause::Programme), &text, first.saturating_sub(own.lead), &own.once)?;
        }
        Ok(())
    }
}

/// Year of the plan, from 0, that a month belongs to.
pub fn year(month: u32) -> usize {
    (month.max(1) as usize - 1) / 12
}
