//! What every chapter of the volume of the plan looks at: site, assessment and planning, and how an amount is printed.

use crate::compose::ink::{self, Cell, cell, text};
use crate::diag::At;
use crate::model::assessment::{AssemblyResult, Assessment, State};
use crate::model::document::{Behind, Inline};
use crate::model::economy::{Economy, TreatmentRoute};
use crate::model::planning::{Amount, BEST, Cause, KEEP, PathResult, PlanResult, Planning};
use crate::model::site::Site;
use crate::model::workings::WorkingId;

/// The plan on the desk.
pub struct Ledger<'a> {
    pub site: &'a Site,
    pub assessment: &'a Assessment,
    pub p: &'a Planning,
}

impl<'a> Ledger<'a> {
    pub fn plan(&self, id: &str) -> Option<&'a PlanResult> {
        self.p.plans.iter().find(|x| x.id == id)
    }

    pub fn keep(&self) -> Option<&'a PlanResult> {
        self.plan(KEEP)
    }

    pub fn best(&self) -> Option<&'a PlanResult> {
        self.plan(BEST)
    }

    pub fn economy(&self) -> Option<&'a Economy> {
        self.site.plan.economy.as_ref()
    }

    pub fn assembly(&self, id: &str) -> Option<&'a AssemblyResult> {
        self.assessment.assemblies.iter().find(|a| a.id == id)
    }

    /// Title of a treatment, line, programme, package or action; the id where none is known.
    pub fn title(&self, id: &str) -> String {
        let s = &self.site.plan;
        let found = s.treatment(id).map(|x| &x.title);
        let found = found.or_else(|| s.line(id).map(|x| &x.title)).or_else(|| s.programme(id).map(|x| &x.title));
        let found = found.or_else(|| s.package(id).map(|x| &x.title)).or_else(|| s.action(id).map(|x| &x.text));
        found.map_or_else(|| id.to_string(), |t| t.text.clone())
    }

    /// Treatment of an assembly before its first step.
    pub fn today(&self) -> &'a str {
        self.economy().map_or("", |e| e.today.text.as_str())
    }

    /// Tree of claims that carries a treatment.
    pub fn route(&self, treatment: &str) -> Option<TreatmentRoute> {
        self.site.plan.treatment(treatment).map(|t| t.route)
    }

    /// State of the tree that carries a treatment for an assembly, as it is judged now; none for what no tree carries.
    pub fn state(&self, assembly: &str, treatment: &str) -> Option<State> {
        let a = self.assembly(assembly)?;
        match self.route(treatment)? {
            TreatmentRoute::Leave => Some(a.state),
            TreatmentRoute::Wash => Some(a.wash_state),
            TreatmentRoute::Present => Some(a.present_state),
            TreatmentRoute::Contained => None,
        }
    }

    /// Treatments of an assembly on a path: treatment and first month, that of today first.
    pub fn course(&self, path: &PathResult, assembly: &str) -> Vec<(String, u32)> {
        let mut out = vec![(self.today().to_string(), 0)];
        for (_, treatment, month) in path.steps.iter().filter(|s| s.0 == assembly) {
            if *month <= 1 {
                out.clear();
            }
            out.push((treatment.clone(), *month));
        }
        out
    }

    /// Whether the claims of an assembly support a treatment on a path, by what is supported today and by the tests that
    /// succeed on it. Containment is never called supported.
    pub fn supported(&self, path: &PathResult, assembly: &str, treatment: &str) -> bool {
        if self.route(treatment) == Some(TreatmentRoute::Contained) {
            return false;
        }
        let won = |id: &String| path.results.iter().any(|r| r.0 == *id && r.1);
        match self.p.allowed.iter().find(|a| a.assembly == assembly && a.treatment == treatment) {
            Some(a) => a.today || a.after.iter().any(|set| set.iter().all(won)),
            None => matches!(self.state(assembly, treatment), Some(State::Supported | State::WithConditions)),
        }
    }

    /// Treatments that the claims of an assembly support today.
    pub fn today_supported(&self, assembly: &str) -> Vec<&'a str> {
        let own = self.p.allowed.iter().filter(|a| a.assembly == assembly && a.today);
        own.map(|a| a.treatment.as_str()).filter(|t| self.route(t) != Some(TreatmentRoute::Contained)).collect()
    }

    /// Last month in which an assembly is made without support on a path, from today on; none where it begins supported.
    pub fn unsupported_until(&self, path: &PathResult, assembly: &str) -> Option<u32> {
        let course = self.course(path, assembly);
        let first = course.iter().find(|c| self.supported(path, assembly, &c.0));
        Some(first.map_or(self.p.months + 1, |c| c.1)).filter(|m| *m > 1).map(|m| m - 1)
    }

    /// Whether a plan saves and loses nothing in any draw, as keeping itself does.
    pub fn same_as_keeping(&self, p: &PlanResult) -> bool {
        p.id == KEEP || p.saving.value.abs() < 0.5 && p.spread.as_ref().is_none_or(|s| s.sd < 0.5)
    }

    /// Plans that are not distinguishable from one in cost: those that the states allow, and those that they forbid.
    pub fn alike(&self, p: &'a PlanResult) -> (Vec<&'a str>, Vec<&'a str>) {
        let allowed = |id: &&str| self.plan(id).is_none_or(|x| x.forbidden.is_empty());
        p.alike.iter().map(String::as_str).partition(allowed)
    }

    /// Months from month 0 to the day of judgement; none when that day does not lie after it.
    pub fn behind(&self) -> Option<u32> {
        let (base, day) = (self.p.base, self.assessment.as_of);
        let passed = |m: &u32| base.plus_months(i64::from(*m)) <= day;
        (base < day).then(|| (0..=self.p.months).take_while(passed).last().unwrap_or(0))
    }

    /// The last treatment of an assembly on a path.
    pub fn end(&self, path: &PathResult, assembly: &str) -> String {
        self.course(path, assembly).pop().map_or(String::new(), |c| c.0)
    }

    // Amounts.

    /// Thousands of the currency: "kEUR".
    pub fn unit(&self) -> String {
        format!("k{}", self.p.currency)
    }

    /// An amount in thousands with its working.
    pub fn k(&self, a: Amount) -> Inline {
        behind(thousands(a.value), a.value, a.working)
    }

    /// As [`Ledger::k`], with the unit.
    pub fn k_unit(&self, a: Amount) -> Inline {
        behind(format!("{} {}", thousands(a.value), self.unit()), a.value, a.working)
    }

    /// As [`Ledger::k`], with its sign.
    pub fn k_signed(&self, a: Amount) -> Inline {
        behind(signed(a.value), a.value, a.working)
    }

    /// A number in thousands that is an input of a working.
    pub fn k_of(&self, x: f64, working: WorkingId) -> Inline {
        behind(thousands(x), x, working)
    }

    /// Price of a package: the sum that a plan pays for it, else where the site states it.
    pub fn package_price(&self, package: &str, price: f64) -> Inline {
        let rows = self.p.plans.iter().flat_map(|p| &p.paths).flat_map(|path| &path.rows);
        let paid = rows.filter(|r| r.cause == Cause::Test && r.of == package && r.amount.value == price);
        match (paid.map(|r| r.amount).next(), self.package_at(package)) {
            (Some(amount), _) => self.k(amount),
            (None, Some(at)) => self.at(thousands(price), at),
            (None, None) => text(thousands(price)),
        }
    }

    /// Where a package, or an action that is in none, stands.
    pub fn package_at(&self, package: &str) -> Option<At> {
        let s = &self.site.plan;
        s.package(package).map(|p| p.at).or_else(|| s.action(package).map(|a| a.at))
    }

    /// Where the chance of a package is stated; where the package stands, when it is the product of several.
    pub fn chance_at(&self, package: &str) -> Option<At> {
        let s = &self.site.plan;
        let own = s.package(package).and_then(|p| p.chance.as_ref()).map(|q| q.at);
        own.or_else(|| s.action(package).map(|a| a.chance.at)).or_else(|| self.package_at(package))
    }

    /// A number that comes about by weighing a whole plan: it stands at the place of the plan, or of what all plans share.
    pub fn weighed(&self, shown: String, plan: &PlanResult) -> Inline {
        match plan.at.or_else(|| self.economy().map(|e| e.at)) {
            Some(at) => self.at(shown, at),
            None => text(shown),
        }
    }

    /// An amount to the last cent, as prices are told.
    pub fn price(&self, a: Amount) -> Inline {
        behind(price(a.value), a.value, a.working)
    }

    /// Words for an amount, with its working.
    pub fn of(&self, shown: String, a: Amount) -> Inline {
        behind(shown, a.value, a.working)
    }

    /// A chance with its working.
    pub fn chance(&self, a: Amount) -> Inline {
        behind(share(a.value), a.value, a.working)
    }

    /// What a simulation gave: it rests on its seed, on the draws and on every uncertain number.
    pub fn drawn(&self, shown: String, x: f64) -> Inline {
        match self.economy() {
            Some(e) if x.is_finite() => self.at(shown, e.seed.at),
            _ => text(if x.is_finite() { shown } else { "not given".into() }),
        }
    }

    /// Words or a number that stand at a place of the site.
    pub fn at(&self, shown: impl Into<String>, at: At) -> Inline {
        ink::placed(shown, self.cite(at), at)
    }

    pub fn cite(&self, at: At) -> String {
        self.site.sources.cite(at)
    }

    /// `path:line` alone.
    pub fn place(&self, at: At) -> Inline {
        Inline::Place(self.cite(at))
    }

    /// 5th, 50th and 95th percentile of a saving; words where nothing was drawn.
    pub fn spread(&self, plan: &PlanResult) -> Cell {
        let Some(s) = &plan.spread else { return cell("not drawn") };
        let each = [s.p5, s.p50, s.p95].map(|x| vec![self.drawn(signed(x), x)]);
        ink::joined(each, " / ")
    }
}

fn behind(shown: String, x: f64, id: WorkingId) -> Inline {
    if x.is_finite() { Inline::Value { text: shown, behind: Behind::Working(id) } } else { text("not given") }
}

/// Thousands with one place behind the point.
pub fn thousands(x: f64) -> String {
    if !x.is_finite() {
        return "not given".into();
    }
    let t = format!("{:.1}", x / 1000.0);
    if t == "-0.0" { "0.0".into() } else { t }
}

/// As [`thousands`], with the sign always written.
pub fn signed(x: f64) -> String {
    let t = thousands(x);
    if x.is_finite() && !t.starts_with('-') && t != "0.0" { format!("+{t}") } else { t }
}

/// With two places behind the point.
pub fn price(x: f64) -> String {
    if x.is_finite() { format!("{x:.2}") } else { "not given".into() }
}

/// A share between 0 and 1.
pub fn share(x: f64) -> String {
    if x.is_finite() { format!("{x:.2}") } else { "not given".into() }
}
