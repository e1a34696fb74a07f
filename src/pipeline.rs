//! START HERE. Takes files in memory; gives a judged site, and from it the written dossiers.

use crate::compare;
use crate::compose::{self, Audience, Volume};
use crate::compute;
use crate::diag::{Diagnostic, Sources, sha256_hex};
use crate::judge;
use crate::model::Day;
use crate::model::assessment::{AssemblyResult, Assessment, ClaimResult, Route, State};
use crate::model::bundle::Bundle;
use crate::model::changes::{Changes, Stood};
use crate::model::document::record_bytes;
use crate::model::governance::TreeKind;
use crate::model::planning::Planning;
use crate::model::site::Site;
use crate::model::workings::Workings;
use crate::plan;
use crate::read;
use crate::render;
use crate::seal::{self, Bag, Contents, Identity, Pdf, Previous};

/// What the caller may decide about an assessment.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// Day of judgement; the site's own `as_of` when none.
    pub as_of: Option<Day>,
    /// `PATH=VALUE`, in the order given.
    pub set: Vec<String>,
}

/// A site that was read, computed and judged.
#[derive(Debug)]
pub struct Assessed {
    pub site: Site,
    pub workings: Workings,
    pub assessment: Assessment,
    /// Problems that did not stop the reading.
    pub warnings: Vec<Diagnostic>,
}

/// All problems of a site that could not be read.
#[derive(Debug)]
pub struct Refused {
    pub sources: Sources,
    pub problems: Vec<Diagnostic>,
}

/// Reads, computes and judges. Touches nothing but its arguments.
///
/// # Errors
/// Every problem of the input at once.
pub fn assess(files: Vec<(String, Vec<u8>)>, options: &Options) -> Result<Assessed, Refused> {
    let (site, warnings) =
        read::read(files, options.as_of, &options.set).map_err(|(sources, problems)| Refused { sources, problems })?;
    let workings = compute::compute(&site);
    let assessment = judge::judge(&site, &workings);
    Ok(Assessed { site, workings, assessment, warnings })
}

/// Writes the dossier of one assembly in every form.
///
/// # Errors
/// When a chapter template of the site cannot be expanded.
pub fn draft(a: &Assessed, assembly: &str, audience: Audience) -> Result<Bundle, Diagnostic> {
    draft_since(a, assembly, audience, None)
}

/// As [`draft`], with what moved since a revision that was issued before; see [`since`].
///
/// # Errors
/// As [`draft`].
pub fn draft_since(
    a: &Assessed,
    assembly: &str,
    audience: Audience,
    since: Option<&Changes>,
) -> Result<Bundle, Diagnostic> {
    let volume = Volume { audience, issued: false, since };
    let (document, record) = compose::compose(&a.site, &a.workings, &a.assessment, assembly, &volume)?;
    Ok(render::render(&document, &record))
}

/// A picture of a bundle as a PDF can show it.
pub fn on_paper(svg: &[u8]) -> Vec<u8> {
    render::on_paper(svg)
}

/// Digest of inputs and record of the draft of one assembly; none when it cannot be composed.
pub fn draft_digest(a: &Assessed, assembly: &str) -> Option<String> {
    let record = compose::record(&a.site, &a.workings, &a.assessment, assembly, &Volume::draft(Audience::All)).ok()?;
    Some(compose::digest(&a.site, &record))
}

/// A record that was written before, with the content digest of the bag that it lies in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Before {
    pub record: Vec<u8>,
    pub digest: Option<String>,
    /// Where its revision stood by its approvals, where they are at hand.
    pub stood: Option<Stood>,
}

/// What moved from one record to another.
///
/// # Errors
/// Every reason why one of them is no record, in words.
pub fn compare(old: &Before, new: &Before) -> Result<Changes, Vec<String>> {
    let read = |b: &Before, which: &str| {
        serde_json::from_slice(&b.record).map_err(|e| vec![format!("the {which} record is no JSON: {e}")])
    };
    let mut changes = compare::compare(&read(old, "old")?, &read(new, "new")?)?;
    (changes.old.digest, changes.new.digest) = (old.digest.clone(), new.digest.clone());
    (changes.old.stood, changes.new.stood) = (old.stood.clone(), new.stood.clone());
    (changes.old.record, changes.new.record) = (sha256_hex(&old.record), sha256_hex(&new.record));
    Ok(changes)
}

/// What moved, written: `changes.html` and `changes.md`.
pub fn changes(changes: &Changes) -> Vec<(String, Vec<u8>)> {
    render::pages(&compose::since::document(changes), "changes")
}

/// What moved from a record to the one that an assembly has now, as a draft or frozen for approval.
///
/// # Errors
/// In words, when the assembly is not judged or the record cannot be compared.
pub fn since(a: &Assessed, assembly: &str, issued: bool, before: &Before) -> Result<Changes, Vec<String>> {
    let volume = Volume { audience: Audience::All, issued, since: None };
    let record = compose::record(&a.site, &a.workings, &a.assessment, assembly, &volume).map_err(words)?;
    compare(before, &Before { record: record_bytes(&record), digest: None, stood: None })
        .map_err(|why| why.into_iter().map(|w| format!("comparing with the revision before: {w}")).collect())
}

/// Weighs what is planned; `stop` ends the search early, with the best plan found until then.
///
/// # Errors
/// Every reason why nothing can be planned, with its place.
pub fn plan(a: &Assessed, stop: &(dyn Fn() -> bool + Sync)) -> Result<Planning, Vec<Diagnostic>> {
    plan::plan(&a.site, &a.assessment, stop)
}

/// The volume of a plan, written: `plan.html`, `plan.md`, `record.json` and figures. It cites dossiers by their digests.
pub fn plan_volume(a: &Assessed, planning: &Planning) -> Vec<(String, Vec<u8>)> {
    let (document, record) = compose::plan::volume(&a.site, &a.assessment, planning, &dossiers(a));
    let mut files = render::pages(&document, "plan");
    files.push(("record.json".to_owned(), record_bytes(&record)));
    files.sort();
    files
}

/// The record of a plan, as its volume carries it.
pub fn plan_record(a: &Assessed, planning: &Planning) -> serde_json::Value {
    compose::plan::record(&a.site, &a.assessment, planning, &dossiers(a))
}

/// Digest of the draft of every assembly.
fn dossiers(a: &Assessed) -> Vec<(String, String)> {
    let ids = a.assessment.assemblies.iter().map(|r| r.id.as_str());
    ids.filter_map(|id| Some((id.to_string(), draft_digest(a, id)?))).collect()
}

fn words(d: Diagnostic) -> Vec<String> {
    vec![format!("{}: {}", d.headline, d.hint)]
}

/// What the kept files of a copy name though it is withheld from its reader, each with the first line that does:
/// `path:line: names CO-1 (a condition, withheld)`. What is no text is listed as not searched.
pub fn mentions(a: &Assessed, assembly: &str, reader: &str, kept: &[(&str, &[u8])]) -> Vec<String> {
    let words = compose::readers::sensitive(&a.site, assembly, reader);
    let mut out = Vec::new();
    for (path, bytes) in kept {
        let Ok(text) = std::str::from_utf8(bytes) else {
            out.push(format!("{path}: is no text and was not searched"));
            continue;
        };
        for ((word, what), line, lines) in compose::readers::mentions(text, &words) {
            let more = if lines > 1 { format!(", in {lines} lines") } else { String::new() };
            out.push(format!("{path}:{line}: names {word} ({what}, withheld){more}"));
        }
    }
    out
}

/// What the outside says of a revision that is to be issued.
#[derive(Debug, Clone, Default)]
pub struct Issue {
    pub revision: String,
    pub previous: Option<Previous>,
    /// Record of the revision before; the dossier tells what moved since.
    pub previous_record: Option<Vec<u8>>,
    /// Where the revision before stood, as `data/previous/standing.json` holds it.
    pub previous_standing: Option<Vec<u8>>,
    /// Commit of the site, when it is under version control, and the files that differ from it.
    pub commit: Option<String>,
    pub uncommitted: Vec<String>,
}

/// Leaves that keep the residue from staying, the first ones by id.
fn blocking(r: &AssemblyResult) -> String {
    let blocks = |c: &&ClaimResult| c.leaf && c.tree == TreeKind::Leave && !c.after_issue && c.rule != "comparison";
    let mut ids: Vec<&str> =
        r.claims.iter().filter(blocks).filter(|c| c.state < State::WithConditions).map(|c| c.id.as_str()).collect();
    let more = ids.len().saturating_sub(8);
    ids.truncate(8);
    match (ids.len(), more) {
        (0, _) => String::new(),
        (_, 0) => format!(" ({})", ids.join(", ")),
        _ => format!(" ({} and {more} more)", ids.join(", ")),
    }
}

/// Freezes a revision of the dossier of one assembly, with all that it rests on but a PDF.
///
/// # Errors
/// Every reason why this revision may not be issued, in words.
pub fn issue(a: &Assessed, assembly: &str, i: &Issue) -> Result<Bag, Vec<String>> {
    sealed(&contents(a, assembly, i)?)
}

/// The bag of what is to be issued.
///
/// # Errors
/// In words, when a file cannot stand in a bag.
pub fn sealed(contents: &Contents) -> Result<Bag, Vec<String>> {
    seal::bag(contents).map_err(|e| vec![e])
}

/// What a bag of this revision holds. Whoever can make a PDF of it adds that before it is sealed.
///
/// # Errors
/// Every reason why this revision may not be issued, in words.
pub fn contents(a: &Assessed, assembly: &str, i: &Issue) -> Result<Contents, Vec<String>> {
    let (Some(file), Some(result)) =
        (a.site.assembly(assembly), a.assessment.assemblies.iter().find(|r| r.id == assembly))
    else {
        return Err(vec![format!("no assembly {assembly} is judged")]);
    };
    let facts = &file.assembly;
    let mut against = Vec::new();
    match &i.previous {
        None => against.extend(seal::checked(&i.revision).err()),
        Some(p) => match seal::rises(&p.revision, &i.revision) {
            Ok(true) => {}
            Ok(false) => {
                against.push(format!("revision {} is issued, and {} does not come after it", p.revision, i.revision))
            }
            Err(e) => against.push(e),
        },
    }
    if i.revision != facts.document_rev.text {
        against.push(format!(
            "the dossier of {assembly} calls itself revision {} (document_rev, {}), not {}: write the new revision there",
            facts.document_rev,
            a.site.sources.cite(facts.document_rev.at),
            i.revision
        ));
    }
    for c in a.site.comments.iter().filter(|c| c.assembly.text == assembly) {
        if let Some(why) = a.site.open_because(c, a.assessment.as_of) {
            let at = a.site.sources.cite(c.at);
            against.push(format!("comment {} of {} on {} is open ({at}): {why}", c.id, c.by, c.section));
        }
    }
    if a.assessment.what_if {
        against.push("values were replaced on the command line: a WHAT-IF is never issued".into());
    }
    if matches!(result.route, Route::NotYet | Route::NoSupportedRoute) {
        against.push(format!(
            "the route is {}: nothing is supported that could be approved, and no signed waiver covers what is open{}; `galipot \
             status` names what blocks, `galipot gaps {assembly}` the cheapest way on",
            result.route.word(),
            blocking(result)
        ));
    }
    if !against.is_empty() {
        return Err(against);
    }
    let stood = i.previous_standing.as_ref().map(|b| seal::read_standing(b)).transpose();
    let stood = stood.map_err(|e| vec![format!("where the revision before stood: {e}")])?.map(|s| s.0);
    let before = match (&i.previous, &i.previous_record) {
        (Some(p), Some(r)) => Some(Before { record: r.clone(), digest: Some(p.digest.clone()), stood }),
        (None, None) => None,
        _ => return Err(vec!["the record of the revision before is not at hand".into()]),
    };
    let since = before.map(|b| since(a, assembly, true, &b)).transpose()?;
    let volume = Volume { audience: Audience::All, issued: true, since: since.as_ref() };
    let (document, record) = compose::compose(&a.site, &a.workings, &a.assessment, assembly, &volume).map_err(words)?;
    let profiles = a.site.sources.iter().filter(|(_, f)| f.built_in).map(|(_, f)| (f.path.clone(), f.bytes.clone()));
    let bundle = render::render(&document, &record);
    let inputs = compose::readers::readers(&a.site, assembly, &record, &bundle.sections);
    let inputs =
        inputs.into_iter().map(|(f, audience)| seal::Input { path: f.path.clone(), bytes: f.bytes.clone(), audience });
    let people = compose::readers::signers(&a.site, assembly).into_iter().map(|p| seal::Person {
        id: p.id.text.clone(),
        name: p.name.text.clone(),
        org: p.org.word().to_string(),
        role: p.role.text.clone(),
        authority: p.authority.iter().map(|t| t.text.clone()).collect(),
        from: p.valid_from,
        to: p.valid_to,
        keys: p.keys.iter().map(|t| t.text.clone()).collect(),
    });
    Ok(Contents {
        identity: Identity {
            organisation: a.site.facts.name.text.clone(),
            document: facts.document.text.clone(),
            revision: i.revision.clone(),
            assembly: assembly.to_string(),
            assembly_revision: facts.rev.text.clone(),
            as_of: a.assessment.as_of.to_string(),
            record_digest: compose::digest(&a.site, &record),
            previous: i.previous.clone(),
            commit: i.commit.clone(),
            uncommitted: i.uncommitted.clone(),
            tool: format!("galipot {}", env!("CARGO_PKG_VERSION")),
        },
        bundle,
        inputs: inputs.collect(),
        built_in: profiles.chain(compose::built_in()).chain(render::built_in()).collect(),
        people: people.collect(),
        previous_record: i.previous_record.clone(),
        previous_standing: i.previous_standing.clone(),
        pdf: Pdf::None("not asked for".into()),
    })
}
