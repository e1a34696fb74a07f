//! What every judgement looks at: the site, the workings, the standing of every run, one assembly at a time.

use std::collections::BTreeMap;

use crate::model::Day;
use crate::model::assembly::Environment;
use crate::model::assessment::RunStanding;
use crate::model::evidence::{Build, Run, RunKind, Vehicle};
use crate::model::governance::{Criterion, WashState};
use crate::model::processes::{Material, Process};
use crate::model::site::{AssemblyFile, RunFolder, Site};
use crate::model::workings::{Outcome, SampleSet, Workings};

/// The site with the standing of every run.
pub struct Court<'a> {
    pub site: &'a Site,
    pub workings: &'a Workings,
    pub standings: BTreeMap<&'a str, RunStanding>,
    /// Known answers of the calculations on this machine: met, missed.
    pub known_answers: (usize, usize),
}

/// One assembly before the court.
pub struct Case<'a> {
    pub court: &'a Court<'a>,
    pub a: &'a AssemblyFile,
}

impl<'a> Court<'a> {
    pub fn as_of(&self) -> Day {
        self.site.as_of
    }

    pub fn standing(&self, run: &str) -> &RunStanding {
        &self.standings[run]
    }

    /// Last day on which evidence of a kind made on `day` counts; none when no age is agreed.
    pub fn expiry(&self, kind: &str, day: Day) -> Option<Day> {
        self.site.ages.iter().filter(|a| a.kind.text == kind).map(|a| day.plus_months(a.months.si as i64)).min()
    }

    pub fn set(&self, outcome: &Outcome) -> &'a SampleSet {
        &self.workings.sets[outcome.set]
    }
}

impl<'a> Case<'a> {
    pub fn id(&self) -> &'a str {
        &self.a.assembly.id.text
    }

    pub fn site(&self) -> &'a Site {
        self.court.site
    }

    pub fn process(&self) -> &'a Process {
        self.site().process(&self.a.assembly.process).expect("references were resolved by reading")
    }

    pub fn environment(&self) -> &'a Environment {
        self.site().environment(&self.a.assembly.environment).expect("references were resolved by reading")
    }

    pub fn material(&self, id: &str) -> &'a Material {
        self.site().material(id).expect("references were resolved by reading")
    }

    /// Criteria that speak to a claim of this assembly.
    pub fn criteria(&self, claim: &str) -> Vec<&'a Criterion> {
        self.site()
            .criteria
            .iter()
            .filter(|c| c.applies_to.iter().any(|x| x.text == claim))
            .filter(|c| c.assemblies.is_empty() || c.assemblies.iter().any(|x| x.text == self.id()))
            .collect()
    }

    /// Runs whose targets name the claim and this assembly, in order of the site.
    pub fn runs(&self, claim: &str) -> Vec<&'a RunFolder> {
        self.site()
            .runs
            .iter()
            .filter(|r| {
                let (claims, assemblies) = self.site().targets(&r.run);
                claims.iter().any(|c| c.text == claim) && assemblies.iter().any(|a| a.text == self.id())
            })
            .collect()
    }

    /// Ids that the protocols plan for the claim and this assembly and that no run reports.
    pub fn unreported(&self, claim: &str) -> Vec<&'a str> {
        self.site()
            .planned()
            .filter(|(_, x)| {
                x.claims.iter().any(|c| c.text == claim) && x.assemblies.iter().any(|a| a.text == self.id())
            })
            .filter(|(_, x)| self.site().run(&x.id).is_none())
            .map(|(_, x)| x.id.text.as_str())
            .collect()
    }

    /// Builds of a run that a sample set speaks of, for this assembly and this wash history.
    pub fn builds(&self, run: &'a Run, set: &SampleSet, washed: WashState) -> Vec<(&'a Vehicle, &'a Build)> {
        let named = |b: &Build| set.samples.iter().any(|s| b.boards.iter().any(|x| x.text == s.board));
        let any_named = self.site().builds_of(run).any(|(_, b)| named(b));
        self.site()
            .builds_of(run)
            .filter(|(_, b)| set.build.is_empty() && !any_named || named(b))
            .filter(|(v, _)| v.assembly.as_ref().is_none_or(|x| x.text == self.id()))
            .filter(|(_, b)| wash_matches(washed, b))
            .collect()
    }
}

/// Whether a build has the wash history that a claim speaks of.
pub fn wash_matches(wanted: WashState, b: &Build) -> bool {
    use crate::model::evidence::Washed;
    match wanted {
        WashState::Any => true,
        WashState::Unwashed => b.washed == Washed::No,
        WashState::Saponified => b.washed == Washed::Saponified,
        WashState::Water => b.washed == Washed::Water,
    }
}

/// Runs that a laboratory makes; the others are data of the production line.
pub fn is_laboratory(kind: RunKind) -> bool {
    use RunKind::*;
    matches!(kind, Sir | Ecm | Ionic | IncomingIonic | Leakage | Rf | Withstand | Coating | DampHeat | Contact)
}
