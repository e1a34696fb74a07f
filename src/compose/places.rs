//! Takes the assembly; gives its places: conductor pairs, low parts, sensitive functions, each with its source.

use super::desk::Desk;
use super::ink::{self, Cell, cell, table_or, text};
use crate::model::assessment::{ClaimResult, State};
use crate::model::document::{Block, Inline};
use crate::model::governance::TreeKind;

/// State of a place in the claims of the route's tree that are judged by a rule or check of this name.
fn state_at(desk: &Desk, place: &str, rules: &[&str]) -> Cell {
    let at = format!("{place} @");
    let mut worst: Option<(&ClaimResult, State)> = None;
    for c in desk.leaves(TreeKind::Leave).filter(|c| rules.contains(&c.rule.as_str())) {
        for p in c.places.iter().filter(|p| p.place == place || p.place.starts_with(&at)) {
            if worst.is_none_or(|w| p.state < w.1) {
                worst = Some((c, p.state));
            }
        }
    }
    match worst {
        Some((c, s)) => vec![Inline::State(s), text(" in "), desk.claim_link(&c.id)],
        None => cell("no claim names it"),
    }
}

/// Conductor pairs, the highest field first.
pub fn pairs(desk: &Desk) -> Vec<Block> {
    let mut pairs: Vec<_> = desk.a.pairs.iter().collect();
    let field = |p: &&crate::model::assembly::NetPair| p.v_peak.si / p.spacing.si;
    pairs.sort_by(|a, b| field(b).total_cmp(&field(a)).then_with(|| a.id.text.cmp(&b.id.text)));
    let rows = pairs
        .into_iter()
        .map(|p| {
            let mut need = match (&p.r_need, &p.i_leak_max) {
                (Some(r), _) => vec![desk.written(r)],
                (None, Some(i)) => vec![text("at most "), desk.written(i)],
                (None, None) => cell("none stated"),
            };
            if p.guard == Some(true) {
                need.push(text(", guarded"));
            }
            vec![
                vec![desk.at(p.id.text.clone(), p.at), text(format!(" {} / {}", p.net_a, p.net_b))],
                cell(format!("{}, {}", p.place, p.geometry)),
                vec![desk.written(&p.v_peak)],
                vec![desk.written(&p.spacing)],
                desk.fact_cell("field", &p.id, "not calculated"),
                need,
                cell(format!("mask {}{}", p.mask_cover, if p.coated { ", coated" } else { "" })),
                cell(p.source.word()),
                state_at(desk, &p.id, &["field", "leakage"]),
            ]
        })
        .collect();
    let head = ["Pair", "Where", "Peak voltage", "Spacing", "Field", "Need", "Cover", "Source", "State"];
    table_or(
        "Conductor pairs, the highest field first",
        &head,
        &[2, 3, 4],
        rows,
        "No conductor pair is listed. That is a gap: without pairs no field is judged.",
    )
}

/// Parts, the lowest gap first, with the source of every gap.
pub fn parts(desk: &Desk) -> Vec<Block> {
    let mut parts: Vec<_> = desk.a.components.iter().collect();
    let gap = |c: &&crate::model::assembly::Component| c.gap.as_ref().map_or(f64::INFINITY, |g| g.si);
    parts.sort_by(|a, b| gap(a).total_cmp(&gap(b)).then_with(|| a.refdes.text.cmp(&b.refdes.text)));
    let rows = parts
        .into_iter()
        .map(|c| {
            let mut name = vec![desk.at(c.refdes.text.clone(), c.at)];
            if !c.like.is_empty() {
                let like: Vec<&str> = c.like.iter().map(|l| l.text.as_str()).collect();
                name.push(text(format!(" and {}", super::verdict::short_list(&like, 6))));
            }
            let source = match (&c.gap, c.gap_source) {
                (None, _) => cell("gap not known"),
                (Some(_), None) => cell("source not stated"),
                (Some(_), Some(s)) => {
                    let mut out = cell(s.word());
                    if let Some(n) = &c.gap_n {
                        out.extend([text(", n "), desk.written(n)]);
                    }
                    if let Some(r) = &c.source_ref {
                        out.push(text(format!(", {r}")));
                    }
                    out
                }
            };
            let fill = match &c.fill {
                Some(f) => vec![desk.written(f)],
                None => desk.fact_cell("fill", &c.refdes, "not known"),
            };
            vec![
                name,
                cell(c.body_class.word()),
                desk.written_or(c.gap.as_ref(), "not known"),
                desk.fact_cell("gap_predicted", &c.refdes, "not calculated"),
                source,
                fill,
                cell(c.street_mask.map_or("not stated", |s| s.word())),
                cell(c.zone.as_ref().map_or("none", |z| z.text.as_str())),
                state_at(desk, &c.refdes, &["evidence"]),
            ]
        })
        .collect();
    let head = ["Part", "Class", "Gap", "Gap by calculation", "Source of the gap", "Fill", "Street", "Zone", "State"];
    table_or(
        "Parts, the lowest gap first",
        &head,
        &[2, 3, 5],
        rows,
        "No part is listed. That is a gap: without parts no body is judged.",
    )
}

/// Nodes, radio structures, contacts and keep-outs.
pub fn sensitive(desk: &Desk) -> Vec<Block> {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for n in &desk.a.nodes {
        rows.push(vec![
            vec![desk.at(n.id.text.clone(), n.at)],
            cell(format!("node: {}", n.role)),
            vec![text("leakage at most "), desk.written(&n.budget)],
            cell(n.test_method.text.clone()),
            state_at(desk, &n.id, &["evidence"]),
        ]);
    }
    for r in &desk.a.rf {
        rows.push(vec![
            vec![desk.at(r.id.text.clone(), r.at)],
            vec![text(format!("{} at ", r.kind)), desk.written(&r.frequency)],
            vec![text("shift at most "), desk.written(&r.shift_limit)],
            cell("same boards, with and without residue"),
            state_at(desk, &r.id, &["evidence"]),
        ]);
    }
    for c in &desk.a.contacts {
        rows.push(vec![
            vec![desk.at(c.id.text.clone(), c.at)],
            cell(format!("contact {}, {}", c.refdes, if c.sealed { "sealed" } else { "not sealed" })),
            cell("no flux inside"),
            cell(format!("mounted: {}", c.order_in_process)),
            if c.sealed { cell("sealed against flux") } else { state_at(desk, &c.id, &["evidence"]) },
        ]);
    }
    for k in &desk.a.keep_outs {
        rows.push(vec![
            vec![desk.at(k.id.text.clone(), k.at)],
            cell(format!("keep-out: {} {}", k.kind, k.refdes)),
            cell("no residue"),
            cell("inspection"),
            state_at(desk, &k.id, &["evidence"]),
        ]);
    }
    table_or(
        "Sensitive functions",
        &["Id", "What", "Bears", "How it is measured", "State"],
        &[],
        rows,
        "No node, radio structure, contact or keep-out is listed for this assembly.",
    )
}

/// Leakage that the circuit needs against what the insulation gives, pair by pair.
pub fn leakage_need(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .a
        .pairs
        .iter()
        .filter(|p| p.r_need.is_some() || p.i_leak_max.is_some())
        .map(|p| {
            let need = match (&p.r_need, &p.i_leak_max) {
                (Some(r), _) => vec![desk.written(r)],
                (None, Some(i)) => vec![text("at most "), desk.written(i)],
                (None, None) => cell("none"),
            };
            vec![
                vec![desk.at(p.id.text.clone(), p.at), text(format!(" {} / {}", p.net_a, p.net_b))],
                cell(p.node.as_ref().map_or("none", |n| n.text.as_str())),
                vec![desk.written(&p.v_peak)],
                need,
                desk.fact_cell("leakage_need", &p.id, "stated"),
                desk.fact_cell("leakage_ltb", &p.id, "no covering run"),
                desk.fact_cell("leakage_mean", &p.id, "no covering run"),
                cell(match (p.guard, &p.guard_dv) {
                    (Some(true), Some(v)) => format!("guard, {v} left"),
                    (Some(true), None) => "guard".into(),
                    (Some(false), _) => "no guard".into(),
                    (None, _) => "not stated".into(),
                }),
                state_at(desk, &p.id, &["leakage"]),
            ]
        })
        .collect();
    let head = [
        "Pair",
        "Node",
        "Voltage",
        "Circuit needs",
        "Needed, calculated",
        "Given at the lower bound",
        "Given at the mean",
        "Guard",
        "State",
    ];
    table_or(
        "Leakage need, pair by pair",
        &head,
        &[2, 3, 4, 5, 6],
        rows,
        "No pair states a leakage that its circuit bears, so no need is compared.",
    )
}

/// Gap and fill under bodies, as calculated and as known.
pub fn gaps(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .a
        .components
        .iter()
        .filter(|c| desk.fact("gap_predicted", &c.refdes).is_some() || desk.fact("fill_predicted", &c.refdes).is_some())
        .map(|c| {
            vec![
                vec![desk.at(c.refdes.text.clone(), c.at)],
                cell(c.body_class.word()),
                desk.written_or(c.gap.as_ref(), "not known"),
                desk.fact_cell("gap_predicted", &c.refdes, "not calculated"),
                desk.written_or(c.fill.as_ref(), "not measured"),
                desk.fact_cell("fill_predicted", &c.refdes, "not calculated"),
            ]
        })
        .collect();
    let head = ["Part", "Class", "Gap, stated", "Gap, calculated", "Fill, stated", "Fill, calculated"];
    table_or(
        "Gap and fill by calculation against what is known",
        &head,
        &[2, 3, 4, 5],
        rows,
        "No gap or fill is calculated for this assembly: the paste data it needs are not given.",
    )
}

/// Aperture area ratios.
pub fn apertures(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .a
        .apertures
        .iter()
        .map(|a| {
            let mut size = vec![desk.written(&a.length)];
            if let Some(w) = &a.width {
                size.extend([text(" × "), desk.written(w)]);
            }
            vec![
                vec![desk.at(a.refdes.text.clone(), a.at)],
                cell(a.shape.word()),
                size,
                vec![desk.written(&a.foil)],
                desk.fact_cell("area_ratio", &a.refdes, "not calculated"),
                desk.written_or(a.transfer.as_ref(), "not measured"),
            ]
        })
        .collect();
    table_or(
        "Apertures",
        &["Part", "Shape", "Size", "Foil", "Area ratio", "Transfer"],
        &[3, 4, 5],
        rows,
        "No aperture is listed for this assembly.",
    )
}

/// Whether numbers of the page are few enough to be read: how many pairs and parts there are.
pub fn counted(desk: &Desk) -> Vec<Block> {
    let line = vec![
        ink::count(desk.a.pairs.len()),
        text(" conductor pairs, "),
        ink::count(desk.a.components.len()),
        text(" parts or groups of parts, "),
        ink::count(desk.a.zones.len()),
        text(" flux zones, "),
        ink::count(desk.a.nodes.len() + desk.a.rf.len() + desk.a.contacts.len() + desk.a.keep_outs.len()),
        text(" nodes, radio structures, contacts and keep-outs."),
    ];
    vec![Block::Paragraph(line)]
}
