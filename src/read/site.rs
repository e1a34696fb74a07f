//! Takes the records that were found; gives them read and typed, with all references that they make.

use super::route::Placed;
use crate::diag::{Diagnostic, FileId, codes};
use crate::model::assembly::*;
use crate::model::economy::*;
use crate::model::evidence::*;
use crate::model::governance::*;
use crate::model::processes::*;
use crate::model::site::AssemblyFile;
use crate::model::{Reader, Record, Reference};
use std::collections::BTreeMap;

/// All records of a site by kind, in order of file and place.
#[derive(Debug, Default)]
pub struct Lists {
    pub facts: Vec<SiteFacts>,
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
    pub runs: Vec<(FileId, Run)>,
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
    pub economy: Vec<Economy>,
    /// Without its `economy`.
    pub plan: PlanInputs,
    pub claims: Vec<ClaimSpec>,
}

/// Records of one assembly file.
#[derive(Debug, Default)]
struct Parts {
    assembly: Option<Assembly>,
    board: Option<Board>,
    components: Vec<Component>,
    pairs: Vec<NetPair>,
    nodes: Vec<Node>,
    rf: Vec<Rf>,
    contacts: Vec<Contact>,
    keep_outs: Vec<KeepOut>,
    zones: Vec<Zone>,
    flux_uses: Vec<FluxUse>,
    reflow: Option<Reflow>,
    coating: Option<Coating>,
    pilot: Option<Pilot>,
    apertures: Vec<Aperture>,
    not_applicable: Vec<NotApplicable>,
}

/// Sends a table to the list of its kind.
macro_rules! dispatch {
    ($p:expr, $r:expr, { $($ty:ty => $list:expr),* $(,)? } else $other:block) => {
        match $p.rule.kind {
            $(kind if kind == <$ty as Record>::KIND => $list.extend(<$ty as Record>::take(&$p.table, $r)),)*
            _ => $other
        }
    };
}

/// Reads all records. References come with the file in which local ids are looked up.
///
/// Quantities of files for which `counts` is false are not counted among those of the site.
pub fn take(
    placed: &[Placed],
    built_in: &dyn Fn(FileId) -> bool,
    counts: &dyn Fn(FileId) -> bool,
    r: &mut Reader,
) -> (Lists, Vec<(FileId, Reference)>) {
    let mut l = Lists::default();
    let mut parts: BTreeMap<FileId, Parts> = BTreeMap::new();
    let mut references = Vec::new();
    let mut own_claims = Vec::new();
    for p in placed {
        let counted = r.quantities;
        let log_before = r.log.items.len();
        r.owner = owner(p, placed);
        dispatch!(p, r, {
            SiteFacts => l.facts, Customer => l.customers, Person => l.people, Lab => l.labs,
            Instrument => l.instruments, Requirement => l.requirements, Environment => l.environments,
            Material => l.materials, Change => l.changes, Lot => l.lots, Process => l.processes,
            HiddenFunction => l.hidden_functions, RepairRoute => l.repair_routes, Vehicle => l.vehicles,
            Protocol => l.protocols, CriteriaSet => l.criteria_sets, Criterion => l.criteria, Age => l.ages,
            Audit => l.audits, Chart => l.charts, Trigger => l.triggers, Condition => l.conditions,
            Assumption => l.assumptions, Doubt => l.doubts, Answer => l.answers, Bridge => l.bridges,
            Waiver => l.waivers, Comment => l.comments, OutsideCause => l.outside_causes, Acceptance => l.acceptances,
            FailureMode => l.failure_modes, Economy => l.economy, WashLine => l.plan.lines,
            Treatment => l.plan.treatments, Programme => l.plan.programmes, Volume => l.plan.volumes,
            Action => l.plan.actions, Package => l.plan.packages, Plan => l.plan.plans,
            Uncertain => l.plan.uncertain, Gate => l.plan.gates,
        } else {
            if p.rule.kind == Run::KIND {
                l.runs.extend(Run::take(&p.table, r).map(|run| (p.file, run)));
            } else if p.rule.kind == ClaimSpec::KIND {
                let to = if built_in(p.file) { &mut l.claims } else { &mut own_claims };
                to.extend(ClaimSpec::take(&p.table, r));
            } else {
                part(parts.entry(p.file).or_default(), p, r);
            }
        });
        if !p.whole {
            // Fields may be missing only because of a syntax error that is reported already.
            r.log.items.truncate(log_before);
        }
        if !counts(p.file) {
            r.quantities = counted;
        }
        references.extend(r.references.drain(..).map(|x| (p.file, x)));
    }
    l.assemblies.extend(parts.into_values().filter_map(assembly_file));
    for c in own_claims {
        place_claim(&mut l.claims, c);
    }
    (l, references)
}

/// Whom a record without an id belongs to: the assembly of its file.
fn owner(p: &Placed, placed: &[Placed]) -> (String, String) {
    let assembly =
        placed.iter().find(|x| x.file == p.file && x.rule.kind == Assembly::KIND && p.rule.kind != Assembly::KIND);
    match assembly.and_then(Placed::id) {
        Some((id, _)) if p.id().is_none() => (format!("{} of assembly", p.rule.kind), id.to_string()),
        _ => (p.rule.kind.to_string(), String::new()),
    }
}

fn part(a: &mut Parts, p: &Placed, r: &mut Reader) {
    dispatch!(p, r, {
        Component => a.components, NetPair => a.pairs, Node => a.nodes, Rf => a.rf, Contact => a.contacts,
        KeepOut => a.keep_outs, Zone => a.zones, FluxUse => a.flux_uses, Aperture => a.apertures,
        NotApplicable => a.not_applicable,
    } else {
        match p.rule.kind {
            k if k == Assembly::KIND => a.assembly = Assembly::take(&p.table, r),
            k if k == Board::KIND => a.board = Board::take(&p.table, r),
            k if k == Reflow::KIND => a.reflow = Reflow::take(&p.table, r),
            k if k == Coating::KIND => a.coating = Coating::take(&p.table, r),
            k if k == Pilot::KIND => a.pilot = Pilot::take(&p.table, r),
            other => r.log.push(Diagnostic::error(
                codes::UNKNOWN_TABLE,
                format!("nothing reads tables of kind {other}"),
                "report this as a fault of galipot",
            ).at(p.table.at, "this table")),
        }
    });
}

fn assembly_file(p: Parts) -> Option<AssemblyFile> {
    Some(AssemblyFile {
        assembly: p.assembly?,
        board: p.board?,
        components: p.components,
        pairs: p.pairs,
        nodes: p.nodes,
        rf: p.rf,
        contacts: p.contacts,
        keep_outs: p.keep_outs,
        zones: p.zones,
        flux_uses: p.flux_uses,
        reflow: p.reflow,
        coating: p.coating,
        pilot: p.pilot,
        apertures: p.apertures,
        not_applicable: p.not_applicable,
    })
}

/// A claim of the site takes the place of the built-in one, or stands after its siblings.
fn place_claim(claims: &mut Vec<ClaimSpec>, c: ClaimSpec) {
    if let Some(old) = claims.iter_mut().find(|x| x.tree == c.tree && x.id.text == c.id.text) {
        *old = c;
        return;
    }
    let sibling = |x: &ClaimSpec| {
        x.tree == c.tree
            && c.parent
                .as_ref()
                .is_some_and(|p| p.text == x.id.text || x.parent.as_ref().is_some_and(|q| q.text == p.text))
    };
    let after = claims.iter().rposition(sibling).or_else(|| claims.iter().rposition(|x| x.tree == c.tree));
    claims.insert(after.map_or(claims.len(), |i| i + 1), c);
}
