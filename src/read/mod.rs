//! Takes files in memory; gives the site: checked entities with their places, or all problems found.

mod channels;
mod checks;
mod columns;
mod header;
pub mod layout;
mod names;
mod plan;
mod profiles;
pub mod reference;
mod route;
mod runs;
mod set;
mod sheet;
mod site;
mod table;
mod tokens;
mod toml;

use crate::diag::{At, Diagnostic, FileId, Log, Severity, SourceFile, Sources, codes, sha256_hex};
use crate::model::economy::{Economy, PlanInputs};
use crate::model::site::{PLAN, PLAN_DIGESTS, RunFolder, Site};
use crate::model::{Day, Reader, Record};
use layout::{Purpose, purpose};
use names::Names;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Reads a site. `files` are (path inside the site with forward slashes, bytes).
///
/// # Errors
/// The sources and every problem of the input at once.
pub fn read(
    files: Vec<(String, Vec<u8>)>,
    as_of: Option<Day>,
    set: &[String],
) -> Result<(Site, Vec<Diagnostic>), (Sources, Vec<Diagnostic>)> {
    let sources = gather(files, set);
    let built_in = |f: FileId| sources.get(f).built_in;
    let counts = |f: FileId| !sources.get(f).built_in && !sources.get(f).path.starts_with(PLAN);
    let mut log = Log::default();

    let mut unsure = BTreeSet::new();
    let mut placed = find_records(&sources, &mut unsure, &mut log);
    let overrides = match sources.find(set::FILE) {
        Some(file) => set::apply(&mut placed, file, set, &mut log),
        None => Vec::new(),
    };
    let names = Names::collect(&placed, unsure, &built_in, &mut log);
    let mut reader = Reader { log, ..Reader::default() };
    let (lists, references) = site::take(&placed, &built_in, &counts, &mut reader);
    let (mut log, quantities) = (reader.log, reader.quantities);
    for (file, r) in &references {
        names.resolve(*file, r, &mut log);
    }
    let mut data = runs::read(&placed, &sources, &mut log);

    let mut facts = lists.facts.into_iter();
    let Some(facts) = facts.next() else {
        return Err((sources, log.into_sorted()));
    };
    let mut economy = lists.economy;
    let runs = lists.runs.into_iter().map(|(file, run)| {
        let d = data.remove(&file).unwrap_or_default();
        RunFolder { run, tables: d.tables, altered: d.altered }
    });
    let site = Site {
        as_of: as_of.unwrap_or(facts.as_of),
        overrides,
        quantities,
        facts,
        customers: lists.customers,
        people: lists.people,
        labs: lists.labs,
        instruments: lists.instruments,
        requirements: lists.requirements,
        environments: lists.environments,
        assemblies: lists.assemblies,
        materials: lists.materials,
        changes: lists.changes,
        lots: lists.lots,
        processes: lists.processes,
        hidden_functions: lists.hidden_functions,
        repair_routes: lists.repair_routes,
        vehicles: lists.vehicles,
        protocols: lists.protocols,
        criteria_sets: lists.criteria_sets,
        criteria: lists.criteria,
        ages: lists.ages,
        runs: runs.collect(),
        audits: lists.audits,
        charts: lists.charts,
        triggers: lists.triggers,
        conditions: lists.conditions,
        assumptions: lists.assumptions,
        doubts: lists.doubts,
        answers: lists.answers,
        bridges: lists.bridges,
        waivers: lists.waivers,
        comments: lists.comments,
        outside_causes: lists.outside_causes,
        acceptances: lists.acceptances,
        failure_modes: lists.failure_modes,
        plan: PlanInputs { economy: economy.pop(), ..lists.plan },
        claims: lists.claims,
        sources,
    };
    checks::check(&site, &names, &mut log);
    let economies: Vec<At> = placed.iter().filter(|p| p.rule.kind == Economy::KIND).map(|p| p.table.at).collect();
    plan::check(&site, &economies, &mut log);
    channels::check(&site, &mut log);
    let problems = log.into_sorted();
    if problems.iter().any(|d| d.severity == Severity::Error) {
        return Err((site.sources, problems));
    }
    Ok((site, problems))
}

/// Sorts the files by path, digests them side by side, and adds what travels inside the program.
fn gather(mut files: Vec<(String, Vec<u8>)>, set: &[String]) -> Sources {
    files.sort_by(|a, b| a.0.cmp(&b.0));
    let own: Vec<SourceFile> = files
        .into_par_iter()
        .map(|(path, bytes)| SourceFile { sha256: sha256_hex(&bytes), path, bytes, built_in: false })
        .collect();
    let mut sources = Sources::default();
    for mut file in own {
        if file.path.starts_with("built-in/") || file.path == set::FILE {
            // These names are taken; under another one the file is reported as read by nothing.
            file.path = format!("./{}", file.path);
        }
        sources.add(file);
    }
    let mut inside: Vec<(String, Vec<u8>)> =
        profiles::PROFILES.iter().map(|(p, t)| ((*p).to_string(), t.as_bytes().to_vec())).collect();
    if !set.is_empty() {
        inside.push((set::FILE.to_string(), set::file_text(set).into_bytes()));
    }
    let digests: String = sources
        .iter()
        .filter(|(_, f)| f.path.starts_with(PLAN))
        .map(|(_, f)| format!("{}  {}\n", f.sha256, f.path))
        .collect();
    if !digests.is_empty() {
        let bytes = digests.into_bytes();
        sources.add(SourceFile { sha256: sha256_hex(&bytes), path: PLAN_DIGESTS.to_string(), bytes, built_in: false });
    }
    for (path, bytes) in inside {
        sources.add(SourceFile { sha256: sha256_hex(&bytes), path, bytes, built_in: true });
    }
    sources
}

/// Parses every TOML file into its records, and reports files that nothing would read.
fn find_records(sources: &Sources, unsure: &mut BTreeSet<&'static str>, log: &mut Log) -> Vec<route::Placed> {
    let mut placed = Vec::new();
    if sources.find("galipot.toml").is_none() {
        log.push(Diagnostic::error(
            codes::NOT_A_SITE,
            "the folder has no galipot.toml, so it is no site",
            "name the folder of the site with --site DIR, or begin one with `galipot new DIR`",
        ));
    }
    for (file, source) in sources.iter() {
        if source.path == set::FILE {
            continue;
        }
        let room = if source.built_in {
            layout::ROOMS.iter().find(|r| r.pattern.starts_with("claims/"))
        } else {
            match purpose(&source.path) {
                Purpose::Tables(room) => Some(room),
                Purpose::Unplaced(hint) => {
                    log.push(
                        Diagnostic::error(
                            codes::UNPLACED_FILE,
                            format!("nothing reads the file {}", source.path),
                            hint,
                        )
                        .at(sources.at(file, 0, 0), "nothing reads this file"),
                    );
                    None
                }
                Purpose::Free
                    if source.path.starts_with("templates/") && std::str::from_utf8(&source.bytes).is_err() =>
                {
                    log.push(
                        Diagnostic::error(
                            codes::TEMPLATE,
                            format!("the template {} is not UTF-8 text", source.path),
                            "save it as UTF-8",
                        )
                        .at(sources.at(file, 0, 0), "this template"),
                    );
                    None
                }
                Purpose::RunData(_) | Purpose::Free | Purpose::Ignored => None,
            }
        };
        let Some(room) = room else { continue };
        let Some(text) = toml::text(file, &source.bytes, log) else {
            route::doubt(room, unsure);
            continue;
        };
        let (root, whole) = toml::parse(file, text, log);
        route::split(file, room, root, whole, log, &mut placed, unsure);
    }
    placed
}
