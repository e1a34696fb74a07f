//! Takes notices of change that are still to come; gives, beside the day until which a verdict is valid, what ends earlier.

use std::collections::BTreeSet;

use super::desk::Desk;
use super::ink::{self, Cell, text};
use crate::model::assessment::{AssemblyResult, Assessment, ClaimResult, DefeaterStatus};
use crate::model::governance::TreeKind;
use crate::model::processes::Change;
use crate::model::site::Site;

/// A change that was announced, whose day falls within the time for which the verdict is valid.
pub struct Announced<'a> {
    pub change: &'a Change,
    /// Claims of the tree that it opens again, in the order of the tree.
    pub claims: Vec<&'a str>,
}

/// The announced changes that end what the verdict rests on before its own day, the earliest first.
pub fn announced<'a>(
    site: &'a Site,
    assessment: &Assessment,
    r: &'a AssemblyResult,
    tree: TreeKind,
) -> Vec<Announced<'a>> {
    let Some(until) = r.valid_until else { return Vec::new() };
    let noted = |change: &Change, claim: &str| {
        r.defeaters.iter().any(|d| {
            d.standard == "EXPIRED_CHANGE"
                && d.status == DefeaterStatus::Noted
                && d.claim == claim
                && d.id.rsplit(':').next() == Some(change.id.text.as_str())
        })
    };
    let mut out: Vec<Announced> = site
        .changes
        .iter()
        .filter(|c| assessment.as_of < c.effective_on && c.effective_on <= until)
        .map(|change| {
            let of_tree = r.claims.iter().filter(|c| c.tree == tree && noted(change, &c.id));
            Announced { change, claims: of_tree.map(|c| c.id.as_str()).collect() }
        })
        .filter(|a| !a.claims.is_empty())
        .collect();
    out.sort_by_key(|a| a.change.effective_on);
    out
}

impl Desk<'_> {
    /// As [`announced`], for the tree that carries the route.
    pub fn announced(&self) -> Vec<Announced<'_>> {
        announced(self.site, self.assessment, self.r, self.tree())
    }
}

/// One announced change in a few words, for one line of a terminal.
pub fn short(a: &Announced) -> String {
    let claims = ink::many(a.claims.len(), "claim", "claims");
    format!("{}: {} opens {claims} again", a.change.effective_on, a.change.id)
}

/// What stands behind the date of the verdict: for what it speaks until the change, and from when it says nothing.
pub fn words(desk: &Desk) -> Cell {
    let mut out = Cell::new();
    for a in desk.announced() {
        let now = a.change.material.as_ref().and_then(|m| {
            let rev = desk.site.material(m)?.formulation_rev.as_ref()?;
            Some(format!("formulation revision {rev} of {m}"))
        });
        out.push(text(match now {
            Some(n) => {
                format!("; that is for what is built with {n}. For what is built after the change announced for ")
            }
            None => "; that is for what is built before the change announced for ".to_string(),
        }));
        out.push(ink::strong(a.change.effective_on.to_string()));
        out.push(text(", nothing here counts ("));
        out.push(desk.at(a.change.id.text.clone(), a.change.at));
        out.push(text(format!(": {}; ", a.change.text.text.trim_end_matches('.'))));
        let open = if a.claims.len() == 1 { " is open again)" } else { " are open again)" };
        out.extend(desk.claim_links(a.claims.iter().copied()));
        out.push(text(open));
    }
    out
}

/// What an announced change does to one claim, or to a claim above one that it names; nothing where it does nothing.
pub fn of_claim(desk: &Desk, c: &ClaimResult) -> String {
    let mut out = String::new();
    for a in announced(desk.site, desk.assessment, desk.r, c.tree) {
        let mut touched: BTreeSet<&str> = a.claims.iter().copied().collect();
        for id in &a.claims {
            let mut at = desk.claims(c.tree).find(|x| x.id == *id);
            for _ in 0..8 {
                let Some(parent) = at.and_then(|x| x.parent.as_deref()) else { break };
                touched.insert(parent);
                at = desk.claims(c.tree).find(|x| x.id == parent);
            }
        }
        if touched.contains(c.id.as_str()) {
            out.push_str(&format!(
                "; but from {} {} opens it again: {}",
                a.change.effective_on,
                a.change.id,
                a.change.text.text.trim_end_matches('.')
            ));
        }
    }
    out
}
