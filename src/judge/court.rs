//! What every judgement looks at: the site, the workings, the standing of every run, one assembly at a time.

use std::collections::BTreeMap;

use crate::model::Day;
use crate::model::assembly::Environment;
use crate::model::assessment::RunStanding;
use crate::model::evidence::{Build, Run, RunKind, Vehicle};
use crate::model::governance::{Criterion, Org, WashState};
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

    /// Whether a run with this id had ended by the day of judgement.
    pub fn reported(&self, run: &str) -> bool {
        self.site.run(run).is_some_and(|r| r.run.end.day <= self.as_of())
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

    /// Ids that the protocols plan for the claim and this assembly and that no run had reported by the day of judgement.
    pub fn unreported(&self, claim: &str) -> Vec<&'a str> {
        self.site()
            .planned()
            .filter(|(_, x)| {
                x.claims.iter().any(|c| c.text == claim) && x.assemblies.iter().any(|a| a.text == self.id())
            })
            .filter(|(_, x)| !self.court.reported(&x.id))
            .map(|(_, x)| x.id.text.as_str())
            .collect()
    }

    /// Whether a person held their office on a day.
    pub fn in_office(&self, person: &str, on: Day) -> bool {
        self.site().person(person).is_some_and(|p| p.valid_from <= on && on <= p.valid_to)
    }

    /// Whether a person of the customer, in office on the day, signs; `authority` names what is enough, or nothing.
    pub fn customer_signs(&self, person: &str, on: Day, authority: &[&str]) -> bool {
        self.site().person(person).is_some_and(|p| {
            p.org == Org::Customer
                && p.valid_from <= on
                && on <= p.valid_to
                && (authority.is_empty() || p.authority.iter().any(|a| authority.contains(&a.text.as_str())))
        })
    }

    /// Whose boards a sample set holds, for this assembly and this wash history.
    pub fn speakers(&self, run: &'a Run, set: &SampleSet, washed: WashState) -> Speakers<'a> {
        let all: Vec<(&Vehicle, &Build)> = self.site().builds_of(run).collect();
        if all.is_empty() {
            return Speakers::NoBuild;
        }
        let product = |v: &Vehicle| v.assembly.as_ref().is_none_or(|x| x.text == self.id());
        let boards = || set.samples.iter().map(|s| s.board.as_str()).filter(|b| !b.is_empty());
        let has = |b: &Build| b.id.text == set.build || boards().any(|x| b.boards.iter().any(|y| y.text == x));
        // Photographs of a study by eye and runs of an oven are no boards; they belong to all builds.
        let rows_of_boards = !matches!(run.kind, RunKind::VisualStudy | RunKind::Profile);
        let by_board = rows_of_boards && (!set.build.is_empty() || boards().next().is_some());
        let of: Vec<_> = if by_board { all.into_iter().filter(|(_, b)| has(b)).collect() } else { all };
        if of.is_empty() {
            return Speakers::UnknownBoards;
        }
        let mine: Vec<_> = of.into_iter().filter(|(v, _)| product(v)).collect();
        let (fit, other): (Vec<_>, Vec<_>) = mine.iter().copied().partition(|(_, b)| wash_matches(washed, b));
        if mine.is_empty() {
            Speakers::OtherProduct
        } else if fit.is_empty() || (!by_board && !other.is_empty()) {
            Speakers::OtherWash
        } else {
            // Boards that were measured before and after a wash stand in two builds; each claim takes its own.
            Speakers::Builds(fit)
        }
    }

    /// Builds of a run that a sample set speaks of, for this assembly and this wash history.
    pub fn builds(&self, run: &'a Run, set: &SampleSet, washed: WashState) -> Vec<(&'a Vehicle, &'a Build)> {
        match self.speakers(run, set, washed) {
            Speakers::Builds(b) => b,
            _ => Vec::new(),
        }
    }
}

/// Whose boards the rows of a sample set are.
pub enum Speakers<'a> {
    /// Boards of these builds; of all of them where the rows name no board.
    Builds(Vec<(&'a Vehicle, &'a Build)>),
    /// The run names no build.
    NoBuild,
    /// The rows name boards that no build of the run has.
    UnknownBoards,
    /// Boards of another product.
    OtherProduct,
    /// Boards with another wash history; or rows without boards from builds of which one has another.
    OtherWash,
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
