//! Takes site, assessment and planning; gives the volume of the site plan for the house itself, and its record.

mod answer;
mod assumptions;
mod decide;
mod evidence;
mod figures;
mod gaps;
mod gates;
mod human;
mod ledger;
mod lines;
mod loses;
mod parameters;
mod plans;
mod record;
mod routes;
mod uncertainty;

pub use gaps::{human as gaps_human, json as gaps_json};
pub use human::human;
pub use record::{GAPS, SCHEMA};

use super::identity;
use super::ink;
use super::sheets;
use crate::model::assessment::Assessment;
use crate::model::document::{Block, Chapter, Document};
use crate::model::planning::Planning;
use crate::model::site::Site;
use ledger::Ledger;

/// Mark on every page: this volume holds costs.
pub const MARK: &str = "INTERNAL";

/// The volume and its record. `dossiers` are the digests of inputs and record of the dossiers that stand behind the states:
/// assembly, digest.
pub fn volume(
    site: &Site,
    assessment: &Assessment,
    planning: &Planning,
    dossiers: &[(String, String)],
) -> (Document, serde_json::Value) {
    let l = Ledger { site, assessment, p: planning };
    let record = record::record(&l, dossiers);
    let chapters = [
        ("answer", "The answer", answer::chapter(&l)),
        ("plans", "Every plan side by side, and why the obvious one loses", plans::chapter(&l)),
        ("uncertainty", "How sure the numbers are", uncertainty::chapter(&l)),
        ("evidence", "What each test is worth", evidence::chapter(&l)),
        ("lines", "What the lines cost", lines::chapter(&l)),
        ("gates", "Steps that cannot be taken back", gates::chapter(&l)),
        ("assumptions", "What all of this rests on", assumptions::chapter(&l, dossiers)),
        ("sheets", "Calculation sheets", Vec::new()),
    ];
    let mut document = Document {
        title: format!("Site plan of {}", site.facts.name),
        identity: entries(&l, &record),
        running: format!(
            "Site plan · {} · {} · {:.16}",
            site.facts.name,
            assessment.as_of,
            identity::digest(site, &record)
        ),
        day: Some(assessment.as_of),
        mark: Some(mark(&l)),
        chapters: chapters
            .into_iter()
            .enumerate()
            .map(|(i, (name, title, blocks))| Chapter {
                name: name.into(),
                number: (i + 1).to_string(),
                title: title.into(),
                audience: "internal".into(),
                blocks,
            })
            .collect(),
    };
    let cited = sheets::cited(&planning.workings, document.chapters.iter());
    if let Some(last) = document.chapters.last_mut() {
        last.blocks = sheets_chapter(site, planning, &cited);
    }
    (document, record)
}

/// The record alone, as [`volume`] gives it beside the document.
pub fn record(
    site: &Site,
    assessment: &Assessment,
    planning: &Planning,
    dossiers: &[(String, String)],
) -> serde_json::Value {
    record::record(&Ledger { site, assessment, p: planning }, dossiers)
}

fn mark(l: &Ledger) -> String {
    let what_if = l.assessment.what_if || !l.site.overrides.is_empty();
    if what_if { format!("{MARK}, WHAT-IF") } else { MARK.to_string() }
}

fn entries(l: &Ledger, record: &serde_json::Value) -> Vec<(String, String)> {
    let months = l.p.months;
    let mut out = vec![
        ("Document".to_string(), format!("Site plan of {}, as of {}", l.site.facts.name, l.assessment.as_of)),
        ("For".into(), "the house itself: it holds costs and is not for customers or laboratories".into()),
        ("Looks ahead".into(), format!("{months} months from {}", l.p.base)),
        ("Amounts".into(), format!("{} of present value unless it says otherwise", l.p.currency)),
        ("Tool".into(), format!("galipot {}", env!("CARGO_PKG_VERSION"))),
        ("Digest of inputs and record (SHA-256)".into(), identity::digest(l.site, record)),
    ];
    out.extend(l.site.plan_digest().map(|d| ("Digest of plan/ (SHA-256)".to_string(), d.to_string())));
    out
}

fn sheets_chapter(site: &Site, planning: &Planning, cited: &[crate::model::workings::WorkingId]) -> Vec<Block> {
    let mut out = vec![ink::says(
        "One sheet for every calculation that a number of this volume leads to, and for those that it rests on. Their \
         names count within this volume alone.",
    )];
    out.extend(sheets::sheets(site, &planning.workings, cited));
    out
}
