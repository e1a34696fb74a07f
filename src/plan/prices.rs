//! Takes what the site says of money; gives every price that plans are made of, each with its working.

use super::instance::{Instance, Kind, Line, Scheme, Test, Work};
use super::money::{Inputs, Ledger, Money};
use super::reach::{Pack, Reach};
use crate::compute::calc::{batch_machines, belt_year, month_factors, wash_hour};
use crate::model::economy::{Economy, LineKind, Paid, Programme, Treatment, TreatmentRoute, WashLine};
use crate::model::site::Site;
use crate::quantity::Quantity;

/// Most years that volumes are asked for.
const YEARS: usize = 31;

/// Prices of a line.
#[derive(Debug, Clone)]
pub struct LinePrices<'a> {
    pub line: &'a WashLine,
    /// Cost a year while it is kept (batch: of one machine).
    pub yearly: Money,
    /// Cost of an hour of a belt, without saponifier and with it.
    pub hour: Option<[Money; 2]>,
    /// Panels a year and hours, rising.
    pub shifts: Vec<(f64, Money)>,
    pub per_load: Option<Money>,
    pub machine: Money,
    pub conversion: Money,
    pub replace: Money,
    pub salvage: Money,
    pub decommission: Money,
    pub board: Money,
    pub transport: Money,
}

/// Prices of a programme.
#[derive(Debug, Clone)]
pub struct ProgrammePrices<'a> {
    pub programme: &'a Programme,
    pub yearly: Money,
    pub once: Money,
    /// Longest lead of its treatments, months.
    pub lead: u32,
}

/// Boards of an assembly.
#[derive(Debug, Clone)]
pub struct Boards<'a> {
    pub id: &'a str,
    /// By year of the plan.
    pub boards: Vec<Money>,
    pub panel_up: &'a Quantity,
}

/// All prices of a site.
#[derive(Debug, Clone)]
pub struct Prices<'a> {
    pub economy: &'a Economy,
    pub months: u32,
    /// Factors of a month on what is paid once and on what recurs.
    pub v: Money,
    pub w: Money,
    pub escalation: f64,
    pub lines: Vec<LinePrices<'a>>,
    pub treatments: &'a [Treatment],
    /// Cost of one board in a treatment, besides the line.
    pub per_board: Vec<Money>,
    pub programmes: Vec<ProgrammePrices<'a>>,
    pub packs: Vec<(&'a str, Money, Money)>,
    pub assemblies: Vec<Boards<'a>>,
    pub today: usize,
}

impl<'a> Prices<'a> {
    /// Works out all prices. `rate` takes the place of the site's discount rate.
    ///
    /// # Errors
    /// In words, when a calculation has no result.
    pub fn new(site: &'a Site, packs: &'a [Pack<'a>], rate: Option<f64>, b: &mut Ledger) -> Result<Self, String> {
        let plan = &site.plan;
        let economy = plan.economy.as_ref().ok_or("the site has no [economy] in plan/")?;
        let mut i = Money::stated(&economy.rate);
        if let Some(r) = rate {
            i = Money::fixed(r, "another discount rate");
        }
        let e = Money::or_none(&economy.escalation);
        let mut factors = b.work(&month_factors::CALC, "factors of a month", &vec![("i", &i), ("e", &e)])?;
        let (w, v) = (factors.swap_remove(1), factors.swap_remove(0));
        let mut lines = Vec::new();
        for line in &plan.lines {
            lines.push(line_prices(line, b)?);
        }
        let mut programmes = Vec::new();
        for p in &plan.programmes {
            let yearly = b.items(&format!("{} by the year", p.id), &p.yearly)?;
            let once = b.items(&format!("{} once", p.id), &p.once)?;
            let lead =
                p.treatments.iter().filter_map(|t| plan.treatment(t)).map(|t| t.lead.si as u32).max().unwrap_or(0);
            let (yearly, once) =
                (b.named(&format!("{}.yearly", p.id), yearly), b.named(&format!("{}.once", p.id), once));
            programmes.push(ProgrammePrices { programme: p, yearly, once, lead });
        }
        let mut priced = Vec::new();
        for p in packs {
            let parts: Vec<Money> = p.actions.iter().map(|a| Money::stated(&a.cost)).collect();
            let cost = b.first(
                &crate::compute::calc::cost_sum::CALC,
                &format!("{}: its actions", p.id),
                &parts.iter().map(|m| ("c", m)).collect(),
            )?;
            let stated = plan.package(&p.id).and_then(|x| x.chance.as_ref());
            let chance = match stated {
                Some(q) => Money::stated(q),
                None => {
                    let mut all = p.actions.iter().map(|a| Money::stated(&a.chance));
                    let mut product = all.next().unwrap_or_else(|| Money::fixed(1.0, "no action"));
                    for c in all {
                        let inputs: Inputs = vec![("p_1", &product), ("p_2", &c)];
                        product = b.first(
                            &crate::compute::calc::joint_chance::CALC,
                            &format!("{}: all succeed", p.id),
                            &inputs,
                        )?;
                    }
                    product
                }
            };
            priced.push((p.id.as_str(), cost, b.named(&format!("{}.chance", p.id), chance)));
        }
        let assemblies = site.assemblies.iter().map(|a| Boards {
            id: &a.assembly.id.text,
            boards: (0..YEARS).map(|y| boards(site, &a.assembly.id.text, &a.assembly.volume, y)).collect(),
            panel_up: &a.assembly.panel_up,
        });
        let mut per_board = Vec::new();
        for t in &plan.treatments {
            per_board.push(b.named(&format!("{}.per_board", t.id), Money::or_none(&t.per_board)));
        }
        Ok(Self {
            economy,
            months: economy.months.si as u32,
            v,
            w,
            escalation: e.value,
            lines,
            treatments: &plan.treatments,
            per_board,
            programmes,
            packs: priced,
            assemblies: assemblies.collect(),
            today: plan
                .treatments
                .iter()
                .position(|t| t.id.text == economy.today.text)
                .ok_or("no treatment of today")?,
        })
    }

    /// Index of a treatment, line, assembly or package by its id.
    pub fn treatment(&self, id: &str) -> Option<usize> {
        self.treatments.iter().position(|t| t.id.text == id)
    }
    pub fn line(&self, id: &str) -> Option<usize> {
        self.lines.iter().position(|l| l.line.id.text == id)
    }
    pub fn assembly(&self, id: &str) -> Option<usize> {
        self.assemblies.iter().position(|a| a.id == id)
    }
    pub fn pack(&self, id: &str) -> Option<usize> {
        self.packs.iter().position(|p| p.0 == id)
    }
    /// Line that a treatment needs.
    pub fn line_of(&self, treatment: usize) -> Option<usize> {
        self.treatments[treatment].line.as_ref().and_then(|l| self.line(l))
    }
    pub fn saponified(&self, treatment: usize) -> bool {
        self.treatments[treatment].saponified == Some(true)
    }
    /// Panels a year of an assembly.
    pub fn panels(&self, a: usize, year: usize) -> f64 {
        self.assemblies[a].boards[year].value / self.assemblies[a].panel_up.si
    }

    /// The same as plain numbers, for the search.
    pub fn instance(&self, packs: &[Pack], reach: &Reach) -> Instance {
        let years = self.months.div_ceil(12) as usize;
        let by_year = |f: &dyn Fn(usize, usize) -> f64| -> Vec<Vec<f64>> {
            (0..self.assemblies.len()).map(|a| (0..years).map(|y| f(a, y)).collect()).collect()
        };
        let list = |ids: &[crate::model::Text]| ids.iter().filter_map(|t| self.treatment(t)).collect();
        Instance {
            months: self.months,
            once: self.v.value,
            recurring: self.w.value,
            boards: by_year(&|a, y| self.assemblies[a].boards[y].value),
            panels: by_year(&|a, y| self.panels(a, y)),
            lines: self.lines.iter().map(|l| self.plain(l)).collect(),
            treatments: (0..self.treatments.len())
                .map(|t| Kind {
                    line: self.line_of(t),
                    saponified: self.saponified(t),
                    lead: self.treatments[t].lead.si as u32,
                    board: self.per_board[t].value,
                    contained: self.treatments[t].route == TreatmentRoute::Contained,
                })
                .collect(),
            programmes: self
                .programmes
                .iter()
                .map(|p| Scheme {
                    treatments: list(&p.programme.treatments),
                    beside: list(&p.programme.beside),
                    yearly: p.yearly.value,
                    once: p.once.value,
                })
                .collect(),
            packs: packs
                .iter()
                .zip(&self.packs)
                .map(|(p, (_, cost, chance))| Test {
                    cost: cost.value,
                    months: p.months(),
                    chance: chance.value,
                    paid_at_end: p.paid == Paid::End,
                })
                .collect(),
            today: self.today,
            after: reach.after().to_vec(),
        }
    }

    fn plain(&self, l: &LinePrices) -> Line {
        let value = |q: &Option<Quantity>| q.as_ref().map_or(0.0, |q| q.si);
        let (hour, saponifier) = l.hour.as_ref().map_or((0.0, 0.0), |[h, s]| (h.value, s.value - h.value));
        let work = match l.line.kind {
            LineKind::Belt => match &l.line.panels_an_hour {
                Some(q) if l.shifts.is_empty() => Work::Follows { panels_an_hour: q.si, hour, saponifier },
                _ => Work::Shifts { steps: l.shifts.iter().map(|(p, h)| (*p, h.value)).collect(), hour, saponifier },
            },
            LineKind::Batch => Work::Batch {
                boards: self
                    .assemblies
                    .iter()
                    .map(|a| l.line.load.iter().find(|x| x.assembly.text == a.id).map(|x| x.boards.si))
                    .collect(),
                load: l.per_load.as_ref().map_or(0.0, |m| m.value),
                capacity: l.capacity(),
                peak: value(&l.line.peak),
                price: l.machine.value,
            },
            LineKind::Outside => Work::Outside { board: l.board.value + l.transport.value },
        };
        Line {
            yearly: l.yearly.value,
            work,
            replace: l.line.replace_month.as_ref().map(|m| (m.si as u32, l.replace.value)),
            retire: l.decommission.value - l.salvage.value,
            conversion: l.conversion.value,
        }
    }
}

impl LinePrices<'_> {
    /// Loads a year of one batch machine.
    pub fn capacity(&self) -> f64 {
        let value = |q: &Option<Quantity>| q.as_ref().map_or(f64::NAN, |q| q.si);
        60.0 * value(&self.line.open_hours) * value(&self.line.uptime) / self.cycle()
    }
    /// Minutes of one load.
    pub fn cycle(&self) -> f64 {
        self.line.cycle.as_ref().map_or(f64::NAN, |q| q.in_unit("min"))
    }
    /// Machines that some loads a year need.
    pub fn machines(&self, loads: f64) -> u32 {
        let peak = self.line.peak.as_ref().map_or(1.0, |q| q.si);
        batch_machines::machines(loads * peak / self.capacity()) as u32
    }
}

/// Boards of an assembly in a year of the plan.
fn boards(site: &Site, id: &str, usual: &Quantity, year: usize) -> Money {
    let own = site.plan.volumes.iter().find(|v| v.assembly.text == id && v.year.si as usize == year + 1);
    Money::stated(own.map_or(usual, |v| &v.boards))
}

fn line_prices<'a>(line: &'a WashLine, b: &mut Ledger) -> Result<LinePrices<'a>, String> {
    let id = &line.id.text;
    let yearly = b.items(&format!("{id} by the year"), &line.yearly)?;
    let yearly = b.named(&format!("{id}.yearly"), yearly);
    let get = |name: &str, q: &Option<Quantity>, b: &mut Ledger| b.named(&format!("{id}.{name}"), Money::or_none(q));
    let hour = if line.kind == LineKind::Belt {
        let parts = [
            ("P", get("power", &line.power, b)),
            ("f", get("load_factor", &line.load_factor, b)),
            ("c_kwh", get("kwh_price", &line.kwh_price, b)),
            ("w", get("water", &line.water, b)),
            ("c_w", get("water_price", &line.water_price, b)),
            ("phi", get("effluent_share", &line.effluent_share, b)),
            ("c_e", get("effluent_price", &line.effluent_price, b)),
            ("c_r", get("resin", &line.resin, b)),
            ("c_p", get("parts", &line.parts, b)),
            ("k", get("crew", &line.crew, b)),
            ("c_k", get("wage", &line.wage, b)),
        ];
        let soap = get("saponifier", &line.saponifier, b);
        let none = Money::fixed(0.0, "no saponifier");
        let inputs = |s: &'_ Money| -> Vec<(&'static str, Money)> {
            parts.iter().cloned().chain([("c_s", s.clone())]).collect()
        };
        let run = |s: &Money, subject: String, b: &mut Ledger| {
            let all = inputs(s);
            b.first(&wash_hour::CALC, &subject, &all.iter().map(|(k, m)| (*k, m)).collect())
        };
        Some([run(&none, format!("{id}: an hour"), b)?, run(&soap, format!("{id}: an hour with saponifier"), b)?])
    } else {
        None
    };
    let mut shifts = Vec::new();
    for (n, s) in line.shift.iter().enumerate() {
        shifts.push((s.panels.si, b.named(&format!("{id}.hours_{}", n + 1), Money::stated(&s.hours))));
    }
    let per_load = if line.kind == LineKind::Batch {
        let sum = b.items(&format!("{id}: a load"), &line.per_load)?;
        Some(b.named(&format!("{id}.per_load"), sum))
    } else {
        None
    };
    Ok(LinePrices {
        yearly,
        hour,
        shifts,
        per_load,
        machine: get("machine_price", &line.machine_price, b),
        conversion: get("conversion", &line.conversion, b),
        replace: get("replace_price", &line.replace_price, b),
        salvage: get("salvage", &line.salvage, b),
        decommission: get("decommission", &line.decommission, b),
        board: get("per_board", &line.per_board, b),
        transport: get("transport", &line.transport, b),
        line,
    })
}

/// Cost of a year of a belt that runs these hours.
///
/// # Errors
/// As [`Ledger::work`].
pub fn belt(l: &LinePrices, hours: &Money, soaped: bool, subject: &str, b: &mut Ledger) -> Result<Money, String> {
    let hour = l.hour.as_ref().ok_or_else(|| format!("{} is no belt", l.line.id))?;
    let inputs: Inputs = vec![("F", &l.yearly), ("H", hours), ("c_h", &hour[usize::from(soaped)])];
    b.once(&belt_year::CALC, subject, &inputs)
}
