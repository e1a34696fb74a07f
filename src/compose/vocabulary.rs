//! Takes the desk; gives the variables, values and states that templates may use; see docs/templates.md.

use std::collections::{BTreeMap, BTreeSet};

use super::desk::Desk;
use super::ink::{self, Cell, cell, count};
use super::registry::BLOCKS;
use super::template::{Var, Vocabulary};
use super::{weakest, words};
use crate::model::document::Inline;
use crate::model::governance::TreeKind;

fn t(s: impl Into<String>) -> Var {
    Var::Text(s.into())
}

fn map<const N: usize>(entries: [(&'static str, Var); N]) -> Var {
    Var::Map(BTreeMap::from(entries))
}

/// Everything that the templates of this dossier may say.
pub fn vocabulary(desk: &Desk, audience: &str) -> Vocabulary {
    let mut states: BTreeMap<String, Cell> = BTreeMap::new();
    for c in &desk.r.claims {
        states.insert(c.id.clone(), vec![Inline::State(c.state)]);
    }
    states.insert("leave".into(), vec![Inline::State(desk.r.state)]);
    states.insert("wash".into(), vec![Inline::State(desk.r.wash_state)]);
    states.insert("present".into(), vec![Inline::State(desk.r.present_state)]);
    let blocks: BTreeSet<&'static str> = BLOCKS.iter().map(|b| b.name).collect();
    Vocabulary { variables: variables(desk, audience), values: values(desk), states, blocks }
}

fn variables(desk: &Desk, audience: &str) -> BTreeMap<&'static str, Var> {
    let (a, r) = (&desk.a.assembly, desk.r);
    let conditions = desk.route_conditions().len();
    let p = desk.process();
    let present = desk.site.process(&a.present_process);
    let env = desk.environment();
    let customer = desk.site.customers.iter().find(|c| c.id.text == a.customer.text);
    BTreeMap::from([
        (
            "assembly",
            map([
                ("id", t(a.id.text.clone())),
                ("rev", t(a.rev.text.clone())),
                ("product", t(a.product.text.clone())),
                ("drawing", t(a.drawing.text.clone())),
                ("life", t(a.life.written.clone())),
                ("class", t(a.ipc_class.written.clone())),
                ("effectivity", t(a.effectivity.as_ref().map_or("not stated", |e| e.text.as_str()))),
            ]),
        ),
        (
            "document",
            map([
                ("number", t(a.document.text.clone())),
                ("rev", t(a.document_rev.text.clone())),
                ("status", t(super::identity::status(desk).to_uppercase())),
            ]),
        ),
        (
            "process",
            map([
                ("id", t(a.process.text.clone())),
                ("rev", t(p.map_or("", |p| p.rev.text.as_str()))),
                ("title", t(p.map_or("not on file", |p| p.title.text.as_str()))),
            ]),
        ),
        (
            "present",
            map([
                ("id", t(a.present_process.text.clone())),
                ("title", t(present.map_or("not on file", |p| p.title.text.as_str()))),
            ]),
        ),
        (
            "environment",
            map([
                ("id", t(a.environment.text.clone())),
                ("title", t(env.map_or("not on file", |e| e.title.text.as_str()))),
            ]),
        ),
        (
            "customer",
            map([
                ("id", t(a.customer.text.clone())),
                ("name", t(customer.map_or(a.customer.text.as_str(), |c| c.name.text.as_str()))),
                ("agreement", t(customer.map_or("not on file", |c| c.quality_agreement.text.as_str()))),
            ]),
        ),
        ("site", map([("id", t(desk.site.facts.id.text.clone())), ("name", t(desk.site.facts.name.text.clone()))])),
        (
            "verdict",
            map([
                ("route", t(r.route.word())),
                ("answer", t(words::answer(r, conditions))),
                ("meaning", t(words::meaning(r))),
                ("tree", t(words::tree(desk.tree()))),
                ("valid_until", t(valid_until(desk))),
                ("valid_until_from", t(r.valid_until_from.clone())),
                ("stop_ship", Var::List(r.stop_ship.iter().map(|s| t(s.clone())).collect())),
            ]),
        ),
        (
            "has",
            map([
                ("conditions", Var::Flag(conditions > 0)),
                ("coating", Var::Flag(desk.a.coating.is_some())),
                ("wash_tree", Var::Flag(desk.claims(TreeKind::Wash).next().is_some())),
                ("present_tree", Var::Flag(desk.claims(TreeKind::Present).next().is_some())),
                ("what_if", Var::Flag(!desk.site.overrides.is_empty())),
            ]),
        ),
        ("previous", map([("revision", t(desk.since.map_or("", |c| c.old.revision.as_str())))])),
        ("as_of", t(desk.assessment.as_of.to_string())),
        ("audience", t(audience)),
        ("tool", t(format!("galipot {}", env!("CARGO_PKG_VERSION")))),
        ("self_test", t(desk.w.self_test.clone())),
    ])
}

/// The last day, and what an announced change ends before it.
fn valid_until(desk: &Desk) -> String {
    let mut out = desk.r.valid_until.map_or("no date".into(), |d| d.to_string());
    for a in desk.announced() {
        out.push_str(&format!(", but from {}", super::announced::short(&a)));
    }
    out
}

fn values(desk: &Desk) -> BTreeMap<String, Cell> {
    let r = desk.r;
    let mut out: BTreeMap<String, Cell> = BTreeMap::new();
    let counts = [
        ("conditions", desk.route_conditions().len()),
        ("runs", r.runs.registered),
        ("runs_planned", r.runs.planned),
        ("runs_used", r.runs.used),
        ("runs_pending", r.runs.unreported.len()),
        ("open_claims", desk.unproven(TreeKind::Leave).len()),
        ("claims", desk.leaves(TreeKind::Leave).filter(|c| !c.after_issue).count()),
        ("doubts", r.defeaters.len()),
        ("criteria", desk.criteria().len()),
        ("files", desk.site.inputs().count()),
        ("risks", super::asked::risks(desk).len()),
        ("answers_met", desk.w.known_answers.0),
        ("answers_missed", desk.w.known_answers.1),
    ];
    for (name, n) in counts {
        out.insert(name.into(), vec![count(n)]);
    }
    let weak = weakest::places(desk, desk.tree());
    let numbered = weak.iter().find(|w| w.decades.is_finite() && w.working().is_some());
    let (margin, place) = match numbered {
        Some(w) => (weakest::margin(w), cell(w.place.place.clone())),
        None => (cell("no number"), cell("no place")),
    };
    out.insert("worst_margin".into(), margin);
    out.insert("worst_place".into(), place);
    out.insert("life".into(), vec![desk.written(&desk.a.assembly.life)]);
    out.insert("retention".into(), vec![desk.written(&desk.site.facts.retention)]);
    out.insert("max_conditions".into(), vec![desk.written(&desk.site.facts.max_conditions)]);
    out.insert("hv_threshold".into(), vec![desk.written(&desk.site.facts.hv_threshold)]);
    out.insert("regimes".into(), ink::joined(desk.site.facts.regimes.iter().map(|q| vec![desk.written(q)]), ", "));
    out
}
