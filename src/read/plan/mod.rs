//! Takes the records of `plan/`; reports what is missing, doubled or at odds in them, so that every plan can be weighed.

mod lines;
mod paths;
mod uncertain;

use crate::diag::{At, Diagnostic, Log, codes};
use crate::model::economy::{Action, Economy, Gate, PlanInputs, TreatmentRoute};
use crate::model::site::{AssemblyFile, Site};
use crate::quantity::Quantity;
use std::collections::BTreeSet;

/// Most packages, actions that stand alone included: the search weighs every set of them.
const PACKAGES: usize = 24;

/// Runs all checks. `economies` are the places of all tables [economy].
pub fn check(site: &Site, economies: &[At], log: &mut Log) {
    let plan = &site.plan;
    match economies {
        [] => {
            if let Some(at) = first(plan) {
                let text = "plan/ has records and no [economy]";
                let hint = "add the table [economy] to one of its files; docs/files.md lists its fields";
                log.push(
                    Diagnostic::error(codes::MISSING_TABLE, text, hint).at(at, "nothing says how to discount this"),
                );
            }
        }
        [one, more @ ..] => {
            for at in more {
                let text = "plan/ has two tables [economy]";
                let d = Diagnostic::error(codes::DUPLICATE_ID, text, "keep one of them, and remove the other");
                log.push(d.at(*at, "second").at(*one, "first"));
            }
        }
    }
    plan.lines.iter().for_each(|l| lines::line(l, log));
    plan.treatments.iter().for_each(|t| lines::treatment(t, site, log));
    if let Some(e) = &plan.economy {
        economy(e, site, log);
        volumes(plan, e, log);
        plan.plans.iter().for_each(|p| paths::plan(p, plan, e, log));
    }
    plan.gates.iter().for_each(|g| gate(g, log));
    for p in &plan.programmes {
        lines::sum(&p.yearly, "yearly", &p.id, log);
        lines::sum(&p.once, "once", &p.id, log);
    }
    names(plan, log);
    packages(plan, log);
    circles(&plan.actions, log);
    uncertain::check(plan, log);
}

/// A place in `plan/`; none when nothing is there.
fn first(plan: &PlanInputs) -> Option<At> {
    let mut all: Vec<At> = plan.lines.iter().map(|x| x.at).collect();
    all.extend(plan.treatments.iter().map(|x| x.at));
    all.extend(plan.programmes.iter().map(|x| x.at));
    all.extend(plan.volumes.iter().map(|x| x.at));
    all.extend(plan.actions.iter().map(|x| x.at));
    all.extend(plan.packages.iter().map(|x| x.at));
    all.extend(plan.plans.iter().map(|x| x.at));
    all.extend(plan.uncertain.iter().map(|x| x.at));
    all.extend(plan.gates.iter().map(|x| x.at));
    all.into_iter().min()
}

fn contradiction(text: String, hint: &str, at: At, label: &str) -> Diagnostic {
    Diagnostic::error(codes::CONTRADICTION, text, hint).at(at, label)
}

/// A number that counts something.
fn whole(name: &str, q: &Quantity, log: &mut Log) {
    if q.si.fract() != 0.0 {
        let text = format!("`{name}` is {}, not a whole number", q.written);
        log.push(contradiction(text, "write a whole number", q.at, "not whole"));
    }
}

fn economy(e: &Economy, site: &Site, log: &mut Log) {
    whole("months", &e.months, log);
    whole("draws", &e.draws, log);
    whole("seed", &e.seed, log);
    let Some(t) = site.plan.treatment(&e.today) else { return };
    let hint = "name the treatment of today in `today`: of the route present, with lead 0, for all assemblies";
    let wrong = [
        (t.route != TreatmentRoute::Present, "is not of the route present"),
        (t.lead.si != 0.0, "has a lead, and every assembly has it already"),
        (!t.assemblies.is_empty(), "is not for all assemblies, and every assembly has it"),
    ];
    for (_, why) in wrong.iter().filter(|w| w.0) {
        let text = format!("{} is the treatment of today and {why}", t.id);
        log.push(contradiction(text, hint, e.today.at, "treatment of today").at(t.id.at, "this treatment"));
    }
    lines::enough_shifts(t, e, site, log);
}

/// Boards of an assembly in a year of the plan, the first is 1.
fn boards(site: &Site, a: &AssemblyFile, year: usize) -> f64 {
    let id = &a.assembly.id.text;
    let own = site.plan.volumes.iter().find(|v| v.assembly.text == *id && v.year.si == year as f64);
    own.map_or(a.assembly.volume.si, |v| v.boards.si)
}

fn volumes(plan: &PlanInputs, e: &Economy, log: &mut Log) {
    for (i, v) in plan.volumes.iter().enumerate() {
        whole("year", &v.year, log);
        let same = |x: &&crate::model::economy::Volume| x.assembly.text == v.assembly.text && x.year.si == v.year.si;
        if let Some(first) = plan.volumes[..i].iter().find(same) {
            let text = format!("two volumes are of {} in year {}", v.assembly, v.year.written);
            let d = Diagnostic::error(codes::DUPLICATE_ID, text, "keep one of them, and remove the other");
            log.push(d.at(v.at, "second").at(first.at, "first"));
        }
        if (v.year.si - 1.0) * 12.0 >= e.months.si {
            let text = format!("the plan ends after {} months, before year {}", e.months.written, v.year.written);
            log.push(contradiction(text, "remove this volume, or raise `months`", v.year.at, "after the end"));
        }
    }
}

/// A gate waits for something.
fn gate(g: &Gate, log: &mut Log) {
    if g.line.is_none() && g.claim.is_empty() && g.fact.is_empty() {
        let text = format!("the gate {} waits for nothing", g.id);
        let hint = "write the `line` that goes, a `claim` or a `fact`: a step that waits for nothing needs no gate";
        log.push(Diagnostic::error(codes::MISSING_FIELD, text, hint).at(g.id.at, "no line, claim or fact"));
    }
}

/// Ids that `early` and `parameter` name without their kind.
fn names(plan: &PlanInputs, log: &mut Log) {
    let mut seen: Vec<(&str, &crate::model::Text)> = Vec::new();
    let lines = plan.lines.iter().map(|x| ("wash line", &x.id));
    let treatments = plan.treatments.iter().map(|x| ("treatment", &x.id));
    let programmes = plan.programmes.iter().map(|x| ("programme", &x.id));
    let packages = plan.packages.iter().map(|x| ("package", &x.id));
    let alone = alone(plan).map(|x| ("action", &x.id));
    for (kind, id) in lines.chain(treatments).chain(programmes).chain(packages).chain(alone) {
        if let Some((other, first)) = seen.iter().find(|(k, x)| *k != kind && x.text == id.text) {
            let text = format!("a {other} and a {kind} are both called {id}");
            let hint = "give one of them another id: `early` and `parameter` name them without their kind";
            log.push(Diagnostic::error(codes::DUPLICATE_ID, text, hint).at(id.at, "second").at(first.at, "first"));
        }
        seen.push((kind, id));
    }
}

/// Actions in no package: each is a package of its own.
fn alone(plan: &PlanInputs) -> impl Iterator<Item = &Action> {
    let held: BTreeSet<&str> = plan.packages.iter().flat_map(|p| &p.actions).map(|a| a.text.as_str()).collect();
    plan.actions.iter().filter(move |a| !held.contains(a.id.text.as_str()))
}

fn packages(plan: &PlanInputs, log: &mut Log) {
    let mut seen: Vec<&crate::model::Text> = Vec::new();
    for a in plan.packages.iter().flat_map(|p| &p.actions) {
        if let Some(first) = seen.iter().find(|x| x.text == a.text) {
            let text = format!("the action {a} is bought twice");
            let hint = "name it in one package; join two packages that need it";
            log.push(contradiction(text, hint, a.at, "second").at(first.at, "first"));
        }
        seen.push(a);
    }
    let number = plan.packages.len() + alone(plan).count();
    if number > PACKAGES {
        let text = format!("plan/ has {number} packages and actions in none, more than {PACKAGES}");
        let hint = "put actions that are bought together into one package";
        let at = plan.packages.last().map(|p| p.id.at).or_else(|| plan.actions.last().map(|a| a.id.at));
        let d = Diagnostic::error(codes::OUT_OF_RANGE, text, hint);
        log.push(at.into_iter().fold(d, |d, at| d.at(at, "one too many")));
    }
}

/// Actions that wait for themselves.
fn circles(all: &[Action], log: &mut Log) {
    let find = |id: &str| all.iter().find(|a| a.id.text == id);
    let mut told: BTreeSet<&str> = BTreeSet::new();
    for start in all.iter() {
        // All chains from this action, the shortest first; one of them may come back to it.
        let mut chains = vec![vec![start]];
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let mut i = 0;
        while i < chains.len() {
            let chain = chains[i].clone();
            i += 1;
            let Some(last) = chain.last() else { continue };
            for next in &last.after {
                if next.text == start.id.text && !told.contains(start.id.text.as_str()) {
                    told.extend(chain.iter().map(|a| a.id.text.as_str()));
                    let names: Vec<&str> =
                        chain.iter().map(|a| a.id.text.as_str()).chain([start.id.text.as_str()]).collect();
                    let text = format!("actions wait for each other: {}", names.join(" -> "));
                    let hint = "remove one of them from the `after` of another";
                    log.push(Diagnostic::error(codes::CYCLE, text, hint).at(next.at, "the circle closes here"));
                } else if let Some(a) = find(next).filter(|a| seen.insert(a.id.text.as_str())) {
                    chains.push([chain.as_slice(), &[a]].concat());
                }
            }
        }
    }
}
