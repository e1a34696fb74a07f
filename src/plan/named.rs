//! Takes plans, path by path; gives each one's expected cost, saving and payback, and why the states forbid it.

use super::course::{Course, Priced, price, treatment_at};
use super::money::{Ledger, Money};
use super::poly::Poly;
use super::prices::Prices;
use super::reach::{Reach, Won};
use super::running::{together, told};
use crate::compute::calc::{chance_of_failure, cost_sum, joint_chance, saving, share_of, weighted_cost, weighted_use};
use crate::diag::At;
use crate::model::economy::{Paid, Plan, TreatmentRoute};
use crate::model::planning::{PathResult, PlanResult};
use crate::model::workings::Origin;

/// A plan as it is weighed: its paths, each with its words.
#[derive(Debug, Clone)]
pub struct Draft {
    pub id: String,
    pub title: String,
    pub at: Option<At>,
    pub paths: Vec<(String, Course)>,
}

/// A path as the simulation sees it: outcomes of packages, and the cost.
pub type Outcome = (Vec<(usize, bool)>, Poly);

/// A plan that was weighed.
#[derive(Debug, Clone)]
pub struct Weighed {
    pub result: PlanResult,
    pub paths: Vec<Outcome>,
    /// Expected cost as a sum of products.
    pub cost: Poly,
}

impl Weighed {
    /// Its expected cost, for other calculations.
    pub fn money(&self) -> Money {
        let cost = self.result.cost;
        Money { value: cost.value, poly: self.cost.clone(), origin: Origin::Working(cost.working) }
    }
}

/// A plan of the site as a draft.
pub fn draft(p: &Prices, plan: &Plan) -> Draft {
    let month = |q: &crate::quantity::Quantity| q.si as u32;
    let paths = plan.path.iter().map(|path| {
        let steps = path
            .step
            .iter()
            .filter_map(|s| Some((p.assembly(&s.assembly)?, p.treatment(&s.treatment)?, month(&s.month))));
        let results = path.result.iter().filter_map(|r| Some((p.pack(&r.package)?, r.success, month(&r.month))));
        let programme = |id: &str| p.programmes.iter().position(|g| g.programme.id.text == id);
        let programmes = path.early.iter().filter_map(|e| Some((programme(&e.what)?, month(&e.month))));
        let machines = |e: &crate::model::economy::Early| e.machines.as_ref().map(|n| n.si as u32);
        let lines = path.early.iter().filter_map(|e| Some((p.line(&e.what)?, month(&e.month), machines(e))));
        let course = Course {
            results: results.collect(),
            steps: steps.collect(),
            programmes: programmes.collect(),
            lines: lines.collect(),
        };
        (path.text.text.clone(), course)
    });
    Draft { id: plan.id.text.clone(), title: plan.title.text.clone(), at: Some(plan.at), paths: paths.collect() }
}

/// Weighs a plan against the cost of keeping everything, which is its own cost for that plan itself.
///
/// # Errors
/// In words, when a path cannot be priced.
pub fn weigh(
    p: &Prices,
    reach: &Reach,
    d: &Draft,
    keep: Option<(&Money, &[f64])>,
    b: &mut Ledger,
) -> Result<Weighed, String> {
    let mut paths = Vec::new();
    let mut parts = Vec::new();
    let mut outcomes = Vec::new();
    let mut flows = vec![0.0; p.months as usize + 1];
    let (mut contained, mut uses) = (0.0, Vec::new());
    for (i, (text, course)) in d.paths.iter().enumerate() {
        let of = if d.paths.len() > 1 { format!("{}, path {}", d.id, i + 1) } else { d.id.clone() };
        let Priced { cost, rows, machines, lines, used, flows: own } = price(p, course, &of, b)?;
        let chance = chance(p, course, &of, b)?;
        let part = b.first(&weighted_cost::CALC, &format!("{of}: its part"), &vec![("p", &chance), ("C", &cost)])?;
        if let Some(used) = used.as_ref().filter(|_| chance.value > 0.0) {
            let inputs = [("p", &chance)].into_iter().chain(["H", "W", "E", "K", "S"].into_iter().zip(used)).collect();
            uses.push(b.work(&weighted_use::CALC, &format!("{of}: its part of what is used"), &inputs)?);
        }
        flows.iter_mut().zip(&own).for_each(|(f, x)| *f += chance.value * x);
        let won = course.results.iter().filter(|r| r.1).fold(0, |w: Won, r| w | 1 << r.0);
        let none =
            |(a, t): &(usize, usize)| p.treatments[*t].route == TreatmentRoute::Contained || !reach.may(*a, *t, won);
        contained += chance.value * ends(p, course).filter(none).count() as f64;
        outcomes.push((course.results.iter().map(|r| (r.0, r.1)).collect(), cost.poly.clone()));
        parts.push(part);
        let mut steps: Vec<(usize, usize, u32)> = course.steps.clone();
        steps.sort_by_key(|s| (s.2, s.0));
        paths.push(PathResult {
            text: text.clone(),
            chance: chance.amount(),
            results: course.results.iter().map(|r| (p.packs[r.0].0.to_string(), r.1, r.2)).collect(),
            steps: steps
                .iter()
                .map(|s| (p.assemblies[s.0].id.to_string(), p.treatments[s.1].id.text.clone(), s.2))
                .collect(),
            cost: cost.amount(),
            rows,
            machines,
            lines,
            used: used.as_deref().and_then(told),
            flows: own,
        });
    }
    let cost =
        b.first(&cost_sum::CALC, &format!("{}: expected cost", d.id), &parts.iter().map(|m| ("c", m)).collect())?;
    let (against, keep_flows) = keep.unwrap_or((&cost, &flows));
    let saved = b.first(&saving::CALC, &format!("{}: saving", d.id), &vec![("C_0", against), ("C", &cost)])?;
    let given_back = match &p.economy.giveback {
        Some(g) if saved.value > 0.0 => {
            let inputs = vec![("g", &Money::stated(g)), ("S", &saved)]
                .into_iter()
                .map(|(s, m)| (s, m.clone()))
                .collect::<Vec<_>>();
            let inputs = inputs.iter().map(|(s, m)| (*s, m)).collect();
            Some(b.first(&share_of::CALC, &format!("{}: given back to customers", d.id), &inputs)?.amount())
        }
        _ => None,
    };
    let used = together(&uses, &format!("{}: expected use beside money", d.id), b)?;
    let payback = if keep.is_some() { payback(p, keep_flows, &flows) } else { None };
    let result = PlanResult {
        id: d.id.clone(),
        title: d.title.clone(),
        at: d.at,
        paths,
        cost: cost.amount(),
        saving: saved.amount(),
        given_back,
        forbidden: forbidden(p, reach, d),
        alike: Vec::new(),
        spread: None,
        tornado: Vec::new(),
        payback,
        contained,
        used: used.as_deref().and_then(told),
    };
    Ok(Weighed { result, paths: outcomes, cost: cost.poly })
}

/// Last treatment of every assembly.
fn ends<'a>(p: &'a Prices, c: &'a Course) -> impl Iterator<Item = (usize, usize)> + 'a {
    (0..p.assemblies.len()).map(|a| (a, treatment_at(p, c, a, p.months)))
}

/// Chance of a path: of all its outcomes.
fn chance(p: &Prices, c: &Course, of: &str, b: &mut Ledger) -> Result<Money, String> {
    let mut all: Option<Money> = None;
    for (pack, success, _) in &c.results {
        let (id, _, chance) = &p.packs[*pack];
        let one = if *success {
            chance.clone()
        } else {
            b.once(&chance_of_failure::CALC, &format!("{id} fails"), &vec![("p", chance)])?
        };
        all = Some(match all {
            None => one,
            Some(before) => {
                b.first(&joint_chance::CALC, &format!("{of}: its chance"), &vec![("p_1", &before), ("p_2", &one)])?
            }
        });
    }
    let all = all.unwrap_or_else(|| Money::fixed(1.0, "the only path"));
    if matches!(all.origin, Origin::Working(_)) {
        return Ok(all);
    }
    let one = Money::fixed(1.0, "nothing else has to come out");
    b.first(&joint_chance::CALC, &format!("{of}: its chance"), &vec![("p_1", &all), ("p_2", &one)])
}

/// First month from which on the discounted saving stays above nothing; none for a plan that saves nothing.
fn payback(p: &Prices, keep: &[f64], plan: &[f64]) -> Option<f64> {
    let mut sum = 0.0;
    let mut since = None;
    for (m, (k, x)) in keep.iter().zip(plan).enumerate() {
        sum += (k - x) * libm::pow(p.v.value, m as f64);
        // Amounts below a thousandth are rounding.
        match (sum > -1e-3, since) {
            (true, None) => since = Some(m as f64),
            (false, _) => since = None,
            _ => {}
        }
    }
    since.filter(|_| sum > 1e-3)
}

/// Month from which the result of a package is known: [`Course::results`] says when it is paid.
fn known(reach: &Reach, result: &(usize, bool, u32)) -> u32 {
    let pack = &reach.packs[result.0];
    match pack.paid {
        Paid::Start => result.2 + pack.months(),
        Paid::End => result.2.max(pack.months()),
    }
}

/// Why the states do not allow a plan: where an assembly ends, and every change on the way, by what is known when it is
/// decided, as many months before its first board as its treatment needs.
fn forbidden(p: &Prices, reach: &Reach, d: &Draft) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for (_, c) in &d.paths {
        let succeeded = |until: Option<u32>| -> Won {
            let in_time = |r: &&(usize, bool, u32)| until.is_none_or(|m| known(reach, r) <= m);
            c.results.iter().filter(|r| r.1).filter(in_time).fold(0, |w, r| w | 1 << r.0)
        };
        let all = succeeded(None);
        let mut told: Vec<(usize, usize)> = Vec::new();
        let mut tell = |a: usize, t: usize, what: String, won: Won, why: String| {
            let names: Vec<&str> = (0..p.packs.len()).filter(|i| won >> i & 1 == 1).map(|i| p.packs[i].0).collect();
            let after =
                if names.is_empty() { String::new() } else { format!(" after success of {}", names.join(" and ")) };
            let text = format!("{} {what} {}{after}: {why}", p.assemblies[a].id, p.treatments[t].id);
            if !told.contains(&(a, t)) && !out.contains(&text) {
                out.push(text);
            }
            told.push((a, t));
        };
        let why = |a: usize, t: usize| match p.treatments[t].route {
            TreatmentRoute::Contained => "a route is supported".to_string(),
            _ => reach.why(a, t).to_string(),
        };
        for (a, t) in ends(p, c).filter(|(a, t)| !reach.may(*a, *t, all)) {
            tell(a, t, "ends with".into(), all, why(a, t));
        }
        for &(a, t, month) in c.steps.iter().filter(|s| treatment_at(p, c, s.0, s.2) == s.1) {
            let lead = p.treatments[t].lead.si as u32;
            let contained = p.treatments[t].route == TreatmentRoute::Contained;
            let known_then = succeeded(Some(month.saturating_sub(lead)));
            let what = format!("from month {month} has");
            if contained || reach.may(a, t, known_then) && month.max(1) >= lead.max(1) {
                if contained && !reach.may(a, t, succeeded(Some(month))) {
                    tell(a, t, what, succeeded(Some(month)), why(a, t));
                }
            } else if !reach.may(a, t, all) {
                tell(a, t, what, all, why(a, t));
            } else {
                let first = (0..=p.months).find(|m| reach.may(a, t, succeeded(Some(*m)))).unwrap_or(p.months);
                let why = format!("it may be decided in month {first} at the earliest, and its lead is {lead}");
                tell(a, t, what, succeeded(Some(first)), why);
            }
        }
    }
    out
}
