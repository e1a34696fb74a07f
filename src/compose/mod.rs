//! Takes site, workings and assessment; gives the document for people and the record for machines.

mod annex;
mod announced;
mod asked;
mod chapters;
mod claims;
mod coverage;
mod curves;
mod desk;
mod explain;
mod flux;
mod identity;
mod ink;
mod line;
mod next;
mod outcomes;
mod places;
mod prose;
mod record;
mod registers;
mod registry;
mod runs;
mod sheets;
mod template;
mod triad;
mod unproven;
mod verdict;
mod vocabulary;
mod waived;
mod watch;
mod weakest;
mod words;

pub mod plan;
pub mod readers;
pub mod since;
pub mod status;
pub mod why;

pub use identity::digest;

/// Chapters that travel inside the program: path, text.
pub fn built_in() -> impl Iterator<Item = (String, Vec<u8>)> {
    chapters::BUILT_IN.iter().map(|(file, text)| (format!("templates/{file}"), text.as_bytes().to_vec()))
}

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use desk::Desk;
use template::{Expanded, Failure};

use crate::diag::{Diagnostic, codes};
use crate::model::assessment::Assessment;
use crate::model::changes::Changes;
use crate::model::document::{Block, Chapter, Document, Review};
use crate::model::site::Site;
use crate::model::workings::Workings;

/// Who may read a volume. `All` leaves nothing out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Audience {
    All,
    Customer,
    Internal,
    Lab,
}

impl Audience {
    /// The word of `--audience` and of the record.
    pub fn word(self) -> &'static str {
        match self {
            Self::All => "all",
            Self::Customer => "customer",
            Self::Internal => "internal",
            Self::Lab => "lab",
        }
    }

    /// Whether a chapter with this tag belongs to the copy: `all` goes to everyone, the rest to its own reader; the house
    /// itself (`internal`) reads everything.
    fn reads(self, tag: &str) -> bool {
        matches!(self, Self::All | Self::Internal) || tag == "all" || tag == self.word()
    }
}

/// What a dossier is written for.
#[derive(Debug, Clone, Copy)]
pub struct Volume<'a> {
    pub audience: Audience,
    /// Frozen for approval; else a draft.
    pub issued: bool,
    /// What moved since the revision before; none when there is none. It is for the document alone: the record holds facts.
    pub since: Option<&'a Changes>,
}

impl Volume<'_> {
    /// A draft without a revision before it.
    pub fn draft(audience: Audience) -> Self {
        Self { audience, issued: false, since: None }
    }
}

/// The record of one assembly, as [`compose`] gives it beside the document.
///
/// # Errors
/// As [`compose`].
pub fn record(
    site: &Site,
    workings: &Workings,
    assessment: &Assessment,
    assembly: &str,
    v: &Volume,
) -> Result<serde_json::Value, Diagnostic> {
    let desk = desk(site, workings, assessment, assembly, v)?;
    let templates = chapters::chapters(site, &vocabulary::vocabulary(&desk, v.audience.word()))?;
    Ok(record::record(&desk, &templates))
}

/// Composes the dossier of one assembly: document and record.
///
/// # Errors
/// When the assembly is not judged, or a chapter template of the site cannot be expanded.
pub fn compose(
    site: &Site,
    workings: &Workings,
    assessment: &Assessment,
    assembly: &str,
    v: &Volume,
) -> Result<(Document, serde_json::Value), Diagnostic> {
    let (desk, audience) = (desk(site, workings, assessment, assembly, v)?, v.audience);
    let words = vocabulary::vocabulary(&desk, audience.word());
    let templates = chapters::chapters(site, &words)?;
    let record = record::record(&desk, &templates);
    let mut placed: BTreeSet<String> = BTreeSet::new();
    let mut chapters = Vec::new();
    for t in &templates {
        let expanded = template::expand(&t.body, t.body_line, &words);
        let expanded = expanded.map_err(|f| chapters::problem(site, t.at, &t.file, &f))?;
        let mut blocks = chapter(&desk, &expanded, &mut placed).map_err(|(name, what)| {
            let line = t.body_line + line_of(&t.body, &name);
            let hint = "docs/templates.md says how blocks are placed".to_string();
            chapters::problem(site, t.at, &t.file, &Failure { line, what, hint })
        })?;
        if !audience.reads(&t.audience) {
            blocks = vec![ink::says(format!(
                "This chapter is left out of this copy: it is for the reader \"{}\", and this copy is for \"{}\". \
                 The identity and the digest are those of the whole dossier.",
                t.audience,
                audience.word()
            ))];
        }
        let (name, number, title) = (t.name.clone(), t.number.clone(), t.title.clone());
        chapters.push(Chapter { name, number, title, audience: t.audience.clone(), blocks });
    }
    chapters.extend(left_over(&desk, &placed));
    let digest = identity::digest(site, &record);
    let mut document = document(&desk, chapters, &digest);
    review(&desk, &mut document, &digest);
    // The sheets are for the customer; what only a chapter of the house cites, the house looks up in the record.
    let cited = sheets::cited(desk.w, document.chapters.iter().filter(|c| c.audience != "internal"));
    for c in &mut document.chapters {
        fill(&mut c.blocks, &mut || sheets::sheets(site, workings, &cited));
    }
    Ok((document, record::redacted(&record, |tag| audience.reads(tag))))
}

fn desk<'a>(
    site: &'a Site,
    workings: &'a Workings,
    assessment: &'a Assessment,
    assembly: &str,
    v: &Volume<'a>,
) -> Result<Desk<'a>, Diagnostic> {
    let found = Desk::new(site, workings, assessment, assembly).map(|d| Desk { issued: v.issued, since: v.since, ..d });
    found.ok_or_else(|| {
        let known = assessment.assemblies.iter().map(|a| a.id.as_str());
        let hint = crate::diag::nearest(assembly, known)
            .map_or("name an assembly of the site".into(), |n| format!("did you mean {n}?"));
        let what = format!("no assembly \"{}\" is on file", assembly.escape_debug());
        Diagnostic::error(codes::DANGLING_REFERENCE, what, hint)
    })
}

fn document(desk: &Desk, chapters: Vec<Chapter>, digest: &str) -> Document {
    let a = &desk.a.assembly;
    let mut identity = identity::entries(desk);
    identity.push(("Digest of inputs and record (SHA-256)".into(), digest.to_string()));
    Document {
        title: format!("Residue qualification of {} revision {}", a.id, a.rev),
        identity,
        running: format!(
            "{} rev {} · {} {} · {} · {}",
            a.document,
            a.document_rev,
            a.id,
            a.rev,
            desk.assessment.as_of,
            &digest[..16.min(digest.len())]
        ),
        mark: identity::mark(desk).map(str::to_string),
        day: Some(desk.assessment.as_of),
        chapters,
    }
}

/// Fills in the form for remarks what only the whole document knows: its digest and its sections.
fn review(desk: &Desk, document: &mut Document, digest: &str) {
    // Nobody remarks on the remarks.
    let form = |c: &&Chapter| !c.blocks.iter().any(|b| matches!(b, Block::Review(_)));
    let title = |c: &Chapter| (c.name.clone(), format!("{} {}", c.number, c.title).trim().to_string());
    let mut sections = vec![("dossier".to_string(), "The dossier as a whole".to_string())];
    sections.extend(document.chapters.iter().filter(form).map(title));
    let people = asked::reviewers(desk);
    let a = &desk.a.assembly;
    for b in document.chapters.iter_mut().flat_map(|c| &mut c.blocks) {
        if let Block::Review(r) = b {
            *r = Review {
                assembly: a.id.text.clone(),
                document: a.document.text.clone(),
                revision: a.document_rev.text.clone(),
                digest: digest.to_string(),
                people: people.clone(),
                sections: sections.clone(),
            };
        }
    }
}

/// Holds the place of the sheets until all else is written.
fn sheets_here() -> Block {
    Block::Code(format!("{}{}", template::HOLD, sheets::MARK))
}

fn chapter(desk: &Desk, expanded: &Expanded, placed: &mut BTreeSet<String>) -> Result<Vec<Block>, (String, String)> {
    prose::parse(expanded, &mut |name| {
        placed.insert(name.to_string());
        if name == sheets::MARK {
            return vec![sheets_here()];
        }
        registry::find(name).map_or_else(Vec::new, |b| (b.make)(desk))
    })
}

/// Puts the sheets where their place was held.
fn fill(blocks: &mut Vec<Block>, sheets: &mut dyn FnMut() -> Vec<Block>) {
    let mut i = 0;
    while i < blocks.len() {
        match &mut blocks[i] {
            b if *b == sheets_here() => {
                let made = sheets();
                let n = made.len();
                blocks.splice(i..=i, made);
                i += n;
                continue;
            }
            Block::Quote(inner) | Block::Fold { blocks: inner, .. } => fill(inner, sheets),
            Block::List { items, .. } => items.iter_mut().for_each(|item| fill(item, sheets)),
            _ => {}
        }
        i += 1;
    }
}

/// What no template placed and no reader may miss.
fn left_over(desk: &Desk, placed: &BTreeSet<String>) -> Option<Chapter> {
    let mut blocks = Vec::new();
    for b in registry::BLOCKS.iter().filter(|b| b.obligatory && !placed.contains(b.name)) {
        let made = if b.name == sheets::MARK { vec![sheets_here()] } else { (b.make)(desk) };
        if !made.is_empty() {
            blocks.push(ink::heading(2, b.shows));
            blocks.extend(made);
        }
    }
    if blocks.is_empty() {
        return None;
    }
    blocks.insert(
        0,
        ink::says(
            "The chapter templates in use leave out what follows. A dossier must not lose it, so it stands here.",
        ),
    );
    let (name, number, title) = ("left-over".into(), String::new(), "What no chapter shows".into());
    // Whoever leaves a chapter out by his templates must not open it to a laboratory by that.
    Some(Chapter { name, number, title, audience: "customer".into(), blocks })
}

/// Line of a template, counted from 0, on which a block is placed.
fn line_of(body: &str, block: &str) -> usize {
    body.lines().position(|l| !block.is_empty() && l.contains(&format!("\"{block}\""))).unwrap_or(0)
}
