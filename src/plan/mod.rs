//! Takes site and assessment; gives the site plan: what every plan costs, the best one, closing sets, gates.

pub mod bars;
pub mod closing;
pub mod counts;
pub mod course;
pub mod drawn;
pub mod gaps;
pub mod gates;
pub mod induction;
pub mod instance;
pub mod lines;
pub mod moments;
pub mod money;
pub mod named;
pub mod policy;
pub mod poly;
pub mod prices;
pub mod products;
pub mod program;
pub mod reach;
pub mod running;
pub mod search;
pub mod spread;
pub mod staged;
pub mod sums;
pub mod tree;
pub mod worth;

use course::Course;
use money::Ledger;
use named::{Draft, Weighed};
use prices::Prices;
use reach::{Pack, Reach};
use search::{Ends, Limits};
use staged::Followed;
use worth::Worth;

use crate::compute::calc::saving;
use crate::compute::maths::random::GENERATOR;
use crate::diag::{Diagnostic, codes};
use crate::model::assessment::Assessment;
use crate::model::economy::Uncertain;
use crate::model::planning::{BEST, EvidenceValue, KEEP, PathResult, Planning, Sums};
use crate::model::site::Site;

/// Parameter that is a choice: it is varied in the tornado, and never drawn.
pub const RATE: &str = "economy.rate";

/// Weighs what is planned. `stop` ends the search early, with the best plan found until then.
///
/// # Errors
/// When the site has no plan, or a plan cannot be priced.
pub fn plan(
    site: &Site,
    assessment: &Assessment,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Planning, Vec<Diagnostic>> {
    weigh_all(site, assessment, stop).and_then(|p| sums::enter(site, p)).map_err(|e| {
        let d = Diagnostic::error(codes::MISSING_TABLE, e, "see docs/plan.md for what a plan needs");
        vec![match &site.plan.economy {
            Some(e) => d.at(e.at, "for this plan"),
            None => d,
        }]
    })
}

fn weigh_all(site: &Site, assessment: &Assessment, stop: &(dyn Fn() -> bool + Sync)) -> Result<Planning, String> {
    let economy = site.plan.economy.as_ref().ok_or("the site has no [economy]: nothing is planned")?;
    let currency = site.facts.currency.as_ref().map_or("", |c| c.text.as_str());
    let uncertain: Vec<&Uncertain> = site.plan.uncertain.iter().filter(|u| u.parameter.text != RATE).collect();
    let reach = Reach::new(site, assessment)?;
    let packs = reach.packs.clone();
    let mut b = Ledger::new(currency, &uncertain);
    let p = Prices::new(site, &packs, None, &mut b)?;
    let unchanged = Draft {
        id: KEEP.into(),
        title: "Nothing changes".into(),
        at: None,
        paths: vec![("Everything goes on as today".into(), Course::default())],
    };
    let lines = lines::lines(&p, &mut b)?;
    let keep = named::weigh(&p, &reach, &unchanged, None, &mut b)?;
    let against = keep.money();
    let flows = keep.result.paths[0].flows.clone();
    let mut weighed = vec![keep];
    let mut drafts = vec![unchanged];
    drafts.extend(site.plan.plans.iter().map(|plan| named::draft(&p, plan)));
    for d in &drafts[1..] {
        weighed.push(named::weigh(&p, &reach, d, Some((&against, &flows)), &mut b)?);
    }
    let of = p.instance(&packs, &reach);
    let all: Vec<usize> = (0..packs.len()).collect();
    let (limits, mut ends) = (Limits::default(), Ends::new());
    let mut best = search::best_knowing(&of, &all, None, &limits, stop, &mut ends)?;
    let weigh = |f: &Followed, id: &str, title: &str, b: &mut Ledger| -> Result<Weighed, String> {
        let w = named::weigh(&p, &reach, &draft_of(&p, f, id, title), Some((&against, &flows)), b)?;
        // The search and the prices come from the same rules by two ways.
        if (w.result.cost.value - f.cost).abs() > 1e-6 * f.cost.abs().max(1.0) {
            let text = format!("{id} costs {} as it was searched and {} as it is priced", f.cost, w.result.cost.value);
            return Err(format!("{text}: report this as a fault of galipot"));
        }
        Ok(w)
    };
    let title = "The best plan found";
    let found = weigh(&best.followed, BEST, title, &mut b)?;
    let mut values = Vec::new();
    for w in worth::worth(&of, &best, &limits, stop, &mut ends)? {
        let id = &packs[w.pack].id;
        let instead = weigh(&w.instead, &format!("{BEST} without {id}"), "", &mut b)?;
        values.push(value(&w, &packs[w.pack], &found, &instead, &mut b)?);
    }
    let (draft, found) = match written(&weighed, &drafts, &found) {
        None => (draft_of(&p, &best.followed, BEST, title), found),
        Some(d) => {
            let why = format!("{}, which somebody wrote, is better than every plan that was searched", d.id);
            (best.search.proven, best.search.stopped) = (false, Some(why));
            let d = Draft { title: format!("{title}: that of {}", d.id), id: BEST.into(), at: None, ..d.clone() };
            let w = named::weigh(&p, &reach, &d, Some((&against, &flows)), &mut b)?;
            (d, w)
        }
    };
    drafts.push(draft);
    weighed.push(found);
    let mut warnings = drawn::enter(&uncertain, &p, &mut weighed)?;
    warnings.extend(bars::outside(&uncertain, &b)?);
    warnings.extend(unmade(&p));
    bars::enter(site, (&packs, &reach), &drafts, &mut weighed, &b)?;
    mark_alike(economy.same_within.si, &mut weighed);
    let closing = gaps::closing(site, assessment, &packs, stop, &mut b)?;
    warnings.extend(
        b.still.iter().map(|s| format!("{s}: stays as stated in every draw, though it rests on an uncertain number")),
    );
    if let Some(why) = &best.search.stopped {
        warnings.push(format!("the search for the best plan was not exhaustive: {why}"));
    }
    Ok(Planning {
        currency: currency.to_string(),
        sums: Sums::default(),
        base: economy.base_date,
        months: p.months,
        rate: economy.rate.si,
        lines,
        allowed: reach.allowed(site, assessment),
        plans: weighed.into_iter().map(|w| w.result).collect(),
        search: best.search,
        values,
        closing,
        gates: gates::gates(site, assessment, &reach),
        draws: economy.draws.si as usize,
        seed: economy.seed.si as u64,
        generator: GENERATOR,
        warnings,
        workings: b.workings,
    })
}

/// The best of the plans that somebody wrote and that the states allow, where the search found none as good: it decides
/// today and at the end of the evidence, and a plan may change assemblies in between.
fn written<'a>(weighed: &[Weighed], drafts: &'a [Draft], found: &Weighed) -> Option<&'a Draft> {
    let rank = |w: &Weighed| (w.result.contained, w.result.cost.value);
    let allowed = weighed.iter().zip(drafts).filter(|(w, _)| w.result.forbidden.is_empty());
    let mut best: Option<(&Weighed, &Draft)> = None;
    for (w, d) in allowed.filter(|(w, _)| search::better(rank(w), rank(found))) {
        if best.is_none_or(|b| search::better(rank(w), rank(b.0))) {
            best = Some((w, d));
        }
    }
    best.map(|b| b.1)
}

/// Assemblies without a board in any year, which hold lines all the same.
fn unmade(p: &Prices) -> Vec<String> {
    let years = p.months.div_ceil(12) as usize;
    let none = p.assemblies.iter().filter(|a| a.boards[..years].iter().all(|b| b.value == 0.0));
    none.map(|a| {
        format!("{} has no board in any year and still needs its line, its treatment and its evidence here", a.id)
    })
    .collect()
}

/// A plan that was found, as a plan that somebody could have written, its likeliest path first.
fn draft_of(p: &Prices, f: &Followed, id: &str, title: &str) -> Draft {
    let mut ends: Vec<&staged::End> = f.ends.iter().collect();
    ends.sort_by(|a, b| b.leaf.chance.total_cmp(&a.leaf.chance));
    let paths = ends.into_iter().map(|e| {
        let outcome = |r: &(usize, bool, u32)| format!("{} {}", p.packs[r.0].0, if r.1 { "succeeds" } else { "fails" });
        let results: Vec<String> = e.leaf.results.iter().map(outcome).collect();
        let text = if results.is_empty() { "Decided today".to_string() } else { results.join(", ") };
        let course = Course { results: e.leaf.results.clone(), steps: e.steps.clone(), ..Course::default() };
        (text, course)
    });
    Draft { id: id.into(), title: title.into(), at: None, paths: paths.collect() }
}

/// Plans whose costs are closer than the site tells apart.
fn mark_alike(within: f64, plans: &mut [Weighed]) {
    let costs: Vec<(String, f64)> = plans.iter().map(|w| (w.result.id.clone(), w.result.cost.value)).collect();
    for w in plans.iter_mut() {
        let own = w.result.cost.value;
        let near = |c: f64| (c - own).abs() <= within * own.abs().min(c.abs());
        w.result.alike =
            costs.iter().filter(|(id, c)| *id != w.result.id && near(*c)).map(|(id, _)| id.clone()).collect();
    }
}

/// What one package is worth: what the best plan costs less for it.
fn value(w: &Worth, pack: &Pack, with: &Weighed, without: &Weighed, b: &mut Ledger) -> Result<EvidenceValue, String> {
    let inputs = [("C_0", without.money()), ("C", with.money())];
    let inputs = inputs.iter().map(|(s, m)| (*s, m)).collect();
    let value = b.first(&saving::CALC, &format!("{}: what it is worth", pack.id), &inputs)?;
    let path = |x: &PathResult| {
        let ends: Vec<String> = x.steps.iter().map(|(a, t, m)| format!("{a} {t} from month {m}")).collect();
        format!("{}: {}", x.text, ends.join(", "))
    };
    let paths: Vec<String> = without.result.paths.iter().map(path).collect();
    Ok(EvidenceValue {
        package: pack.id.clone(),
        cost: pack.cost,
        with: with.result.cost.value,
        without: without.result.cost.value,
        value: value.amount(),
        break_even: w.break_even,
        contained: w.contained,
        instead: if w.bought { paths.join("; ") } else { "the best plan does not buy it".to_string() },
    })
}
