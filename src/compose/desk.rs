//! What every chapter looks at: site, workings and assessment of one assembly, with the lookups that pages need.

use std::collections::BTreeSet;

use super::ink::{self, Cell, placed, text, to};
use super::words;
use crate::diag::At;
use crate::model::assembly::Environment;
use crate::model::assessment::{
    AssemblyResult, Assessment, ClaimResult, Defeater, GateEffect, RunStanding, State, Verdict, Voice,
};
use crate::model::changes::Changes;
use crate::model::document::Inline;
use crate::model::evidence::RunKind;
use crate::model::governance::{ClaimSpec, Condition, Criterion, TreeKind, Waiver};
use crate::model::processes::Process;
use crate::model::site::{AssemblyFile, RunFolder, Site};
use crate::model::workings::{Fact, Origin, Outcome, WorkingId, Workings};
use crate::quantity::{Quantity, distance};

/// One assembly on the desk.
pub struct Desk<'a> {
    pub site: &'a Site,
    pub w: &'a Workings,
    pub assessment: &'a Assessment,
    pub a: &'a AssemblyFile,
    pub r: &'a AssemblyResult,
    /// Whether the dossier is frozen for approval; else it is a draft.
    pub issued: bool,
    /// What moved since the revision before.
    pub since: Option<&'a Changes>,
}

impl<'a> Desk<'a> {
    /// Puts an assembly on the desk; none when site or assessment does not know it.
    pub fn new(site: &'a Site, w: &'a Workings, assessment: &'a Assessment, assembly: &str) -> Option<Self> {
        let a = site.assembly(assembly)?;
        let r = assessment.assemblies.iter().find(|r| r.id == assembly)?;
        Some(Self { site, w, assessment, a, r, issued: false, since: None })
    }

    /// Tree that carries the route.
    pub fn tree(&self) -> TreeKind {
        words::tree_of(self.r)
    }

    pub fn process(&self) -> Option<&'a Process> {
        self.site.process(&self.a.assembly.process)
    }

    pub fn environment(&self) -> Option<&'a Environment> {
        self.site.environment(&self.a.assembly.environment)
    }

    /// Name of a person, or the id where the person is not known.
    pub fn person(&self, id: &str) -> String {
        self.site.person(id).map_or_else(|| id.to_string(), |p| p.name.text.clone())
    }

    /// `path:line` of a place.
    pub fn cite(&self, at: At) -> String {
        self.site.sources.cite(at)
    }

    pub fn place(&self, at: At) -> Inline {
        Inline::Place(self.cite(at))
    }

    /// A quantity as it was written, with its place.
    pub fn written(&self, q: &Quantity) -> Inline {
        ink::written(q, self.cite(q.at))
    }

    /// As [`Desk::written`], or a word for what is not known.
    pub fn written_or(&self, q: Option<&Quantity>, none: &str) -> Cell {
        q.map_or_else(|| ink::cell(none), |q| vec![self.written(q)])
    }

    /// Words that stand at a place in the evidence.
    pub fn at(&self, shown: impl Into<String>, at: At) -> Inline {
        placed(shown, self.cite(at), at)
    }

    // Claims.

    pub fn claims(&self, tree: TreeKind) -> impl Iterator<Item = &'a ClaimResult> {
        self.r.claims.iter().filter(move |c| c.tree == tree)
    }

    pub fn leaves(&self, tree: TreeKind) -> impl Iterator<Item = &'a ClaimResult> {
        self.claims(tree).filter(|c| c.leaf)
    }

    pub fn claim(&self, id: &str) -> Option<&'a ClaimResult> {
        self.r.claims.iter().find(|c| c.id == id)
    }

    pub fn spec(&self, c: &ClaimResult) -> Option<&'a ClaimSpec> {
        self.site.claims.iter().find(|s| s.tree == c.tree && s.id.text == c.id)
    }

    /// Leaves of a tree that are below "supported", the worst first; those judged after issue left out. Of one state
    /// those that speak of the residue on the board come first, then by how far they lie from their limit.
    pub fn unproven(&self, tree: TreeKind) -> Vec<&'a ClaimResult> {
        let mut all: Vec<_> = self.leaves(tree).filter(|c| c.state < State::Supported && !c.after_issue).collect();
        let size = |c: &ClaimResult| Some(distance(c.value, c.limit, c.margin, &c.unit)).filter(|d| !d.is_nan());
        let key = |c: &ClaimResult| (c.state, !self.of_residue(c));
        all.sort_by(|a, b| {
            let far = |c| size(c).unwrap_or(f64::MAX);
            key(a).cmp(&key(b)).then_with(|| far(a).total_cmp(&far(b)))
        });
        all
    }

    /// Whether a claim speaks of the residue on the board by evidence, not of charts, audits and papers.
    pub fn of_residue(&self, c: &ClaimResult) -> bool {
        matches!(c.rule.as_str(), "evidence" | "field" | "leakage" | "wetting")
            && self.spec(c).is_none_or(|s| s.of_process != Some(true))
    }

    /// Link to a claim; the id alone when no such claim is judged.
    pub fn claim_link(&self, id: &str) -> Inline {
        if self.claim(id).is_some() { to(claim_anchor(id), id) } else { text(id) }
    }

    pub fn claim_links<'x>(&self, ids: impl IntoIterator<Item = &'x str>) -> Cell {
        ink::joined(ids.into_iter().map(|id| vec![self.claim_link(id)]), ", ")
    }

    // Runs.

    /// Whether a run speaks to this assembly: by its targets, by its boards, or because a claim heard it.
    pub fn concerns(&self, r: &RunFolder) -> bool {
        let (_, assemblies) = self.site.targets(&r.run);
        assemblies.iter().any(|a| a.text == self.r.id)
            || self.site.builds_of(&r.run).any(|(v, _)| v.assembly.as_ref().is_some_and(|a| a.text == self.r.id))
            || self.r.claims.iter().any(|c| c.voices.iter().any(|v| v.run == r.run.id.text))
    }

    /// Runs that speak to this assembly, in order of the site.
    pub fn runs(&self) -> Vec<&'a RunFolder> {
        self.site.runs.iter().filter(|r| self.concerns(r)).collect()
    }

    pub fn standing(&self, run: &str) -> Option<&'a RunStanding> {
        self.assessment.standings.iter().find(|s| s.run == run)
    }

    pub fn role(&self, run: &str) -> &'static str {
        self.standing(run).map_or("not judged", |s| s.role)
    }

    /// Verdict of a run on this assembly: the worst that its claims heard, whatever other criteria would say.
    pub fn verdict(&self, run: &str) -> Verdict {
        let Some(s) = self.standing(run) else { return Verdict::Planned };
        if s.effect == GateEffect::Inadmissible || s.verdict == Verdict::Informative {
            return s.verdict;
        }
        let heard = self.r.claims.iter().flat_map(|c| &c.voices).filter(|v| v.run == run).map(|v| v.verdict).min();
        heard.unwrap_or(s.verdict)
    }

    /// The complete condition that argues a doubt, or the fail that it names, away.
    pub fn argued_by(&self, d: &Defeater) -> Option<&'a Condition> {
        let names =
            |c: &Condition| c.answers.iter().any(|a| a.text == d.id || d.id.split(':').any(|part| part == a.text));
        self.site
            .conditions
            .iter()
            .filter(|c| c.assembly.text == self.r.id && c.claims.iter().any(|x| x.text == d.claim) && names(c))
            .find(|c| self.r.conditions.iter().any(|r| r.id == c.id.text && r.lacks.is_empty()))
    }

    pub fn run_link(&self, id: &str) -> Inline {
        if self.site.run(id).is_some() { to(run_anchor(id), id) } else { text(id) }
    }

    pub fn run_links<'x>(&self, ids: impl IntoIterator<Item = &'x str>) -> Cell {
        ink::joined(ids.into_iter().map(|id| vec![self.run_link(id)]), ", ")
    }

    /// What the claims of this assembly heard from an outcome: the voice with its claim, the leave tree first.
    pub fn voice_of(&self, o: &Outcome) -> Option<(&'a ClaimResult, &'a Voice)> {
        let hears = |v: &&Voice| v.working == o.working && v.criterion == o.criterion && v.run == o.run;
        self.r.claims.iter().find_map(|c| c.voices.iter().find(hears).map(|v| (c, v)))
    }

    /// Outcomes of the runs of these kinds that speak to this assembly, in order of run, cell and place.
    pub fn outcomes(&self, kinds: &[RunKind]) -> Vec<&'a Outcome> {
        let runs: BTreeSet<&str> = self.runs().iter().map(|r| r.run.id.text.as_str()).collect();
        let mut all: Vec<&Outcome> =
            self.w.outcomes.iter().filter(|o| kinds.contains(&o.run_kind) && runs.contains(o.run.as_str())).collect();
        all.retain(|o| self.criterion_concerns(&o.criterion));
        // Criteria that no claim of this assembly applies to a set stay out, unless nothing else speaks of the set.
        let heard: Vec<bool> = all.iter().map(|o| self.voice_of(o).is_some()).collect();
        let used: BTreeSet<&str> = all.iter().zip(&heard).filter(|x| *x.1).map(|x| x.0.criterion.as_str()).collect();
        let sets: BTreeSet<usize> = all.iter().zip(&heard).filter(|x| *x.1).map(|x| x.0.set).collect();
        let also: BTreeSet<usize> = all.iter().filter(|o| used.contains(o.criterion.as_str())).map(|o| o.set).collect();
        let mut flags = heard.iter();
        all.retain(|o| {
            *flags.next().unwrap_or(&false)
                || !sets.contains(&o.set) && (used.contains(o.criterion.as_str()) || !also.contains(&o.set))
        });
        all.sort_by(|a, b| {
            let key = |o: &'a Outcome| (&o.run, &self.w.sets[o.set].cell, &self.w.sets[o.set].place, &o.criterion);
            key(a).cmp(&key(b))
        });
        all
    }

    // Criteria.

    pub fn criterion_concerns(&self, id: &str) -> bool {
        self.site
            .criterion(id)
            .is_none_or(|c| c.assemblies.is_empty() || c.assemblies.iter().any(|a| a.text == self.r.id))
    }

    /// Criteria that speak to a claim of this assembly or to a gate.
    pub fn criteria(&self) -> Vec<&'a Criterion> {
        self.site.criteria.iter().filter(|c| self.criterion_concerns(&c.id)).collect()
    }

    pub fn criterion_link(&self, id: &str) -> Inline {
        if self.site.criterion(id).is_some() { to(criterion_anchor(id), id) } else { text(id) }
    }

    // Workings.

    pub fn facts(&self, name: &'a str) -> impl Iterator<Item = &'a Fact> {
        self.w.facts.iter().filter(move |f| f.assembly == self.r.id && f.name == name)
    }

    pub fn fact(&self, name: &str, place: &str) -> Option<&'a Fact> {
        self.w.fact(&self.r.id, name, place)
    }

    /// A fact as a cell, or words for its absence.
    pub fn fact_cell(&self, name: &str, place: &str, none: &str) -> Cell {
        match self.fact(name, place) {
            Some(f) if f.value.is_finite() => vec![ink::worked(f.value, &f.unit, f.working)],
            _ => ink::cell(none),
        }
    }

    /// Value and unit of a symbol in a working, or in the workings that it rests on, nearest first.
    pub fn symbol(&self, id: WorkingId, symbols: &[&str]) -> Option<(f64, &'a str, WorkingId)> {
        let mut queue = vec![id];
        let mut seen = BTreeSet::new();
        let mut next = 0;
        while next < queue.len() && next < 64 {
            let at = queue[next];
            next += 1;
            let Some(w) = self.w.items.get(at.0 as usize) else { continue };
            for s in symbols {
                if let Some(o) = w.outputs.iter().find(|o| o.symbol == *s) {
                    return Some((o.value, &o.unit, at));
                }
                if let Some(i) = w.inputs.iter().find(|i| i.symbol == *s) {
                    return Some((i.value, &i.unit, at));
                }
            }
            for i in &w.inputs {
                if let Origin::Working(x) = i.origin
                    && seen.insert(x)
                {
                    queue.push(x);
                }
            }
        }
        None
    }

    /// A symbol as a cell.
    pub fn symbol_cell(&self, id: WorkingId, symbols: &[&str]) -> Cell {
        match self.symbol(id, symbols) {
            Some((x, unit, from)) if x.is_finite() => vec![ink::worked_bare(x, unit, from)],
            _ => ink::cell("not used"),
        }
    }

    /// A condition as link.
    pub fn condition_link(&self, id: &str) -> Inline {
        if self.site.condition(id).is_some() { to(condition_anchor(id), id) } else { text(id) }
    }

    /// Waivers that the route of this assembly rests on, in order of id.
    pub fn route_waivers(&self) -> Vec<&'a Waiver> {
        let ids = words::waivers(self.r);
        self.site.waivers.iter().filter(|w| w.assembly.text == self.r.id && ids.contains(&w.id.text)).collect()
    }

    /// Conditions in force that the route of this assembly rests on: ids in order.
    pub fn route_conditions(&self) -> Vec<&'a str> {
        let tree = self.tree();
        let mut ids: Vec<&str> = Vec::new();
        for c in &self.r.conditions {
            let serves = c.claims.iter().any(|id| self.r.claims.iter().any(|x| x.tree == tree && x.id == *id));
            let heard = self.claims(tree).any(|x| x.conditions.contains(&c.id));
            if (serves || heard) && !ids.contains(&c.id.as_str()) {
                ids.push(&c.id);
            }
        }
        ids
    }
}

pub fn claim_anchor(id: &str) -> String {
    format!("claim-{id}")
}

pub fn run_anchor(id: &str) -> String {
    format!("run-{id}")
}

pub fn criterion_anchor(id: &str) -> String {
    format!("criterion-{id}")
}

pub fn condition_anchor(id: &str) -> String {
    format!("condition-{id}")
}
