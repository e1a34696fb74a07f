//! Takes plans that were weighed; gives sums over them that the page tells: what is committed, which boards are no longer washed.

use super::money::{Inputs, Ledger, Money};
use super::reach::packs;
use crate::compute::calc::{cost_sum, yearly_count};
use crate::model::economy::Paid;
use crate::model::planning::{BEST, Committed, CostRow, PathResult, PlanResult, Planning, Sums, Unwashed};
use crate::model::site::Site;
use crate::model::workings::Origin;

/// Adds the sums and their workings.
///
/// # Errors
/// In words, when a sum cannot be worked out.
pub fn enter(site: &Site, mut p: Planning) -> Result<Planning, String> {
    let mut b = Ledger::new(&p.currency, &[]);
    std::mem::swap(&mut b.workings, &mut p.workings);
    let committed = match p.plans.iter().find(|x| x.id == BEST) {
        Some(best) => committed(site, best, &mut b)?,
        None => None,
    };
    let mut unwashed = Vec::new();
    for plan in p.plans.iter().filter(|x| x.saving.value < 0.0) {
        unwashed.extend(left(site, plan, &mut b)?);
    }
    std::mem::swap(&mut b.workings, &mut p.workings);
    p.sums = Sums { committed, unwashed };
    Ok(p)
}

/// First month in which the result of a test of a path is known; none on a path without any.
fn first_result(site: &Site, path: &PathResult) -> Option<u32> {
    let packs = packs(&site.plan);
    let known = path.results.iter().filter_map(|(id, _, month)| {
        let pack = packs.iter().find(|p| p.id == *id)?;
        Some(match pack.paid {
            Paid::Start => month + pack.months(),
            Paid::End => (*month).max(pack.months()),
        })
    });
    known.min()
}

/// Until the first result is known all paths are one, so what is paid before it stands on each of them.
fn committed(site: &Site, best: &PlanResult, b: &mut Ledger) -> Result<Option<Committed>, String> {
    let Some(known) = best.paths.iter().filter_map(|path| first_result(site, path)).min() else { return Ok(None) };
    let paid = |r: &&CostRow| r.once && r.from < known;
    let same = |r: &&CostRow| {
        let like =
            |x: &CostRow| x.of == r.of && x.cause == r.cause && x.from == r.from && x.amount.value == r.amount.value;
        best.paths.iter().all(|path| path.rows.iter().any(like))
    };
    let rows: Vec<CostRow> = best.paths[0].rows.iter().filter(paid).filter(same).cloned().collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let parts: Vec<Money> = rows
        .iter()
        .map(|r| Money { origin: Origin::Working(r.amount.working), ..Money::fixed(r.amount.value, "a payment") })
        .collect();
    let inputs: Inputs = parts.iter().map(|m| ("c", m)).collect();
    let all = b.first(&cost_sum::CALC, &format!("{BEST}: paid before the first result is known"), &inputs)?.amount();
    Ok(Some(Committed { known, rows, all }))
}

/// Boards of the assemblies that end without a line; none where all stay on one.
fn left(site: &Site, plan: &PlanResult, b: &mut Ledger) -> Result<Option<Unwashed>, String> {
    let today = site.plan.economy.as_ref().map_or("", |e| e.today.text.as_str());
    let dry = |path: &PathResult, id: &str| {
        let end = path.steps.iter().rev().find(|s| s.0 == id).map_or(today, |s| s.1.as_str());
        end != today && site.plan.treatment(end).is_some_and(|t| t.line.is_none())
    };
    let boards = |path: Option<&PathResult>| -> Vec<Money> {
        let of = site.assemblies.iter().filter(|a| path.is_none_or(|p| dry(p, &a.assembly.id.text)));
        of.map(|a| Money::stated(&a.assembly.volume)).collect()
    };
    let most = plan.paths.iter().map(|path| boards(Some(path))).max_by_key(Vec::len).filter(|all| !all.is_empty());
    let Some(some) = most else { return Ok(None) };
    let mut count = |subject: &str, parts: &[Money]| {
        let inputs: Inputs = parts.iter().map(|m| ("N", m)).collect();
        b.once(&yearly_count::CALC, subject, &inputs).map(|m| m.amount())
    };
    let all = count("boards a year of all assemblies", &boards(None))?;
    let boards = count(&format!("{}: boards a year that are no longer washed", plan.id), &some)?;
    Ok(Some(Unwashed { plan: plan.id.clone(), boards, of: all }))
}
