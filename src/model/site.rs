//! All that was read, checked and linked: what every later stage starts from.

use super::assembly::*;
use super::economy::PlanInputs;
use super::evidence::*;
use super::governance::*;
use super::processes::*;
use super::tables::DataTable;
use super::{Day, Text};
use crate::diag::{FileId, SourceFile, Sources};

/// An assembly with everything that its file says of it.
#[derive(Debug, Clone)]
pub struct AssemblyFile {
    pub assembly: Assembly,
    pub board: Board,
    pub components: Vec<Component>,
    pub pairs: Vec<NetPair>,
    pub nodes: Vec<Node>,
    pub rf: Vec<Rf>,
    pub contacts: Vec<Contact>,
    pub keep_outs: Vec<KeepOut>,
    pub zones: Vec<Zone>,
    pub flux_uses: Vec<FluxUse>,
    pub reflow: Option<Reflow>,
    pub coating: Option<Coating>,
    pub pilot: Option<Pilot>,
    pub apertures: Vec<Aperture>,
    pub not_applicable: Vec<NotApplicable>,
}

/// A run with its tables, in the order of its `file` list. `missing` and `altered` name files by path.
#[derive(Debug, Clone)]
pub struct RunFolder {
    pub run: Run,
    pub tables: Vec<DataTable>,
    /// Files whose digest is not the one that the run states: (path, digest found).
    pub altered: Vec<(String, String)>,
}

impl RunFolder {
    /// Tables of one kind.
    pub fn tables<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a DataTable> {
        self.tables.iter().filter(move |t| t.spec.kind == kind)
    }
}

/// A value that `--set` replaced.
#[derive(Debug, Clone)]
pub struct Override {
    pub path: String,
    pub old: Option<String>,
    pub new: String,
}

/// The site. Every list is in order of file path, then of place in the file.
#[derive(Debug, Clone)]
pub struct Site {
    pub sources: Sources,
    /// Day of judgement: `--as-of`, or the site's `as_of`.
    pub as_of: Day,
    pub overrides: Vec<Override>,
    /// Number of quantities that were read with their units.
    pub quantities: usize,
    pub facts: SiteFacts,
    pub customers: Vec<Customer>,
    pub people: Vec<Person>,
    pub labs: Vec<Lab>,
    pub instruments: Vec<Instrument>,
    pub requirements: Vec<Requirement>,
    pub environments: Vec<Environment>,
    pub assemblies: Vec<AssemblyFile>,
    pub materials: Vec<Material>,
    pub changes: Vec<Change>,
    pub lots: Vec<Lot>,
    pub processes: Vec<Process>,
    pub hidden_functions: Vec<HiddenFunction>,
    pub repair_routes: Vec<RepairRoute>,
    pub vehicles: Vec<Vehicle>,
    pub protocols: Vec<Protocol>,
    pub criteria_sets: Vec<CriteriaSet>,
    pub criteria: Vec<Criterion>,
    pub ages: Vec<Age>,
    pub runs: Vec<RunFolder>,
    pub audits: Vec<Audit>,
    pub charts: Vec<Chart>,
    pub triggers: Vec<Trigger>,
    pub conditions: Vec<Condition>,
    pub assumptions: Vec<Assumption>,
    pub doubts: Vec<Doubt>,
    pub answers: Vec<Answer>,
    pub bridges: Vec<Bridge>,
    pub waivers: Vec<Waiver>,
    pub comments: Vec<Comment>,
    pub outside_causes: Vec<OutsideCause>,
    pub acceptances: Vec<Acceptance>,
    pub failure_modes: Vec<FailureMode>,
    /// Money and plans; no claim looks at it.
    pub plan: PlanInputs,
    /// Claims of all trees: built-in profiles with the site's own claims in place.
    pub claims: Vec<ClaimSpec>,
}

/// Folder of money and plans, which no dossier shows.
pub const PLAN: &str = "plan/";
/// Digests of the files of [`PLAN`] in the form of `sha256sum`: what a dossier knows of them.
pub const PLAN_DIGESTS: &str = "plan.sha256";

impl Site {
    /// The input files of dossiers, in order of path: all but those of money and plans, of which they know the digests.
    pub fn inputs(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.sources.iter().filter(|(_, f)| !f.built_in && !f.path.starts_with(PLAN))
    }
    /// SHA-256 of [`PLAN_DIGESTS`]; none for a site without a plan.
    pub fn plan_digest(&self) -> Option<&str> {
        self.sources.find(PLAN_DIGESTS).map(|f| self.sources.get(f).sha256.as_str())
    }
    pub fn assembly(&self, id: &str) -> Option<&AssemblyFile> {
        self.assemblies.iter().find(|a| a.assembly.id.text == id)
    }
    pub fn material(&self, id: &str) -> Option<&Material> {
        self.materials.iter().find(|m| m.id.text == id)
    }
    pub fn process(&self, id: &str) -> Option<&Process> {
        self.processes.iter().find(|p| p.id.text == id)
    }
    pub fn environment(&self, id: &str) -> Option<&Environment> {
        self.environments.iter().find(|e| e.id.text == id)
    }
    pub fn person(&self, id: &str) -> Option<&Person> {
        self.people.iter().find(|p| p.id.text == id)
    }
    /// Why a comment is open on a day, in words; none when it is closed, or agrees without a word.
    pub fn open_because(&self, c: &Comment, on: Day) -> Option<String> {
        if c.decision == Decision::Agree && c.text.is_none() {
            return None;
        }
        let (Some(_), Some(by), Some(day)) = (&c.disposition, &c.closed_by, c.closed_on) else {
            let lacks = [
                ("disposition", c.disposition.is_none()),
                ("closed_by", c.closed_by.is_none()),
                ("closed_on", c.closed_on.is_none()),
            ];
            let lacks: Vec<&str> = lacks.iter().filter(|l| l.1).map(|l| l.0).collect();
            return Some(format!("it lacks {}", lacks.join(", ")));
        };
        if day < c.raised_on {
            return Some(format!("closed_on {day} lies before raised_on {}", c.raised_on));
        }
        if on < day {
            return Some(format!("closed_on {day} lies after the day of judgement, {on}"));
        }
        let p = self.person(by)?;
        if day < p.valid_from || p.valid_to < day {
            return Some(format!("{by} is on file from {} to {}, and not on {day}", p.valid_from, p.valid_to));
        }
        let may = by.text == c.by.text || p.authority.iter().any(|a| ["review", "approve"].contains(&a.text.as_str()));
        (!may).then(|| {
            format!("{by} may not close it: {} may, who raised it, or somebody who may review or approve", c.by)
        })
    }

    pub fn lab(&self, id: &str) -> Option<&Lab> {
        self.labs.iter().find(|l| l.id.text == id)
    }
    pub fn run(&self, id: &str) -> Option<&RunFolder> {
        self.runs.iter().find(|r| r.run.id.text == id)
    }
    pub fn criterion(&self, id: &str) -> Option<&Criterion> {
        self.criteria.iter().find(|c| c.id.text == id)
    }
    pub fn condition(&self, id: &str) -> Option<&Condition> {
        self.conditions.iter().find(|c| c.id.text == id)
    }
    /// The build and the vehicle that it belongs to.
    pub fn build(&self, id: &str) -> Option<(&Vehicle, &Build)> {
        self.vehicles.iter().find_map(|v| v.build.iter().find(|b| b.id.text == id).map(|b| (v, b)))
    }
    pub fn builds_of<'a>(&'a self, run: &'a Run) -> impl Iterator<Item = (&'a Vehicle, &'a Build)> {
        run.builds.iter().filter_map(|b| self.build(b))
    }
    pub fn pattern(&self, vehicle: &str, id: &str) -> Option<&Pattern> {
        self.vehicles.iter().find(|v| v.id.text == vehicle)?.pattern.iter().find(|p| p.id.text == id)
    }
    /// Planned runs with the protocol that plans them.
    pub fn planned(&self) -> impl Iterator<Item = (&Protocol, &Planned)> {
        self.protocols.iter().flat_map(|p| p.planned.iter().map(move |x| (p, x)))
    }
    /// Claims and assemblies that a run speaks to: from the protocol that plans it, else from the run itself.
    pub fn targets<'a>(&'a self, run: &'a Run) -> (&'a [Text], &'a [Text]) {
        match self.planned().find(|(_, x)| x.id.text == run.id.text) {
            Some((_, x)) => (&x.claims, &x.assemblies),
            None => (&run.claims, &run.assemblies),
        }
    }
}
