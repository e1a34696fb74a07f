//! Takes failure modes, charts, triggers and notices; gives what could go wrong and who would notice.

use super::desk::Desk;
use super::ink::{self, Cell, cell, strong, table_or, text};
use crate::model::document::Block;
use crate::model::workings::WorkingId;

/// Failure modes, the most severe first; the product of ranks is a column and orders nothing.
pub fn failure_modes(desk: &Desk) -> Vec<Block> {
    let mut all: Vec<_> =
        desk.site.failure_modes.iter().filter(|f| f.assemblies.iter().any(|x| x.text == desk.r.id)).collect();
    all.sort_by(|a, b| {
        b.severity
            .si
            .total_cmp(&a.severity.si)
            .then(b.occurrence.si.total_cmp(&a.occurrence.si))
            .then(b.detection.si.total_cmp(&a.detection.si))
    });
    let rows = all
        .into_iter()
        .map(|f| {
            let product = f.severity.si * f.occurrence.si * f.detection.si;
            vec![
                vec![desk.at(f.id.text.clone(), f.at)],
                cell(f.step.text.clone()),
                cell(format!("{}: {}", f.failure, f.effect)),
                cell(f.cause.text.clone()),
                vec![desk.written(&f.severity)],
                vec![desk.written(&f.occurrence)],
                vec![desk.written(&f.detection)],
                vec![desk.at(format!("{product:.0}"), f.at)],
                cell(format!("{} ({})", f.action, desk.person(&f.owner))),
                desk.claim_links(f.claims.iter().map(|c| c.text.as_str())),
            ]
        })
        .collect();
    let head = ["Id", "Step", "Failure and effect", "Cause", "S", "O", "D", "S·O·D", "Action (owner)", "Claims"];
    table_or(
        "Failure modes, the most severe first",
        &head,
        &[4, 5, 6, 7],
        rows,
        "No failure mode is on file for this assembly.",
    )
}

/// Charts with their reaction plans.
pub fn charts(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .charts
        .iter()
        .filter(|c| c.assemblies.iter().any(|x| x.text == desk.r.id))
        .map(|c| {
            vec![
                vec![desk.at(c.id.text.clone(), c.at)],
                cell(c.quantity.text.clone()),
                vec![desk.run_link(&c.run)],
                chart_limits(desk, &c.run),
                cell(c.reaction.as_ref().map_or("NONE", |r| r.text.as_str())),
                cell(c.owner.as_ref().map_or("NOBODY".into(), |o| desk.person(o))),
                desk.written_or(c.witness_interval.as_ref(), "no witness coupons"),
                cell(if c.returns_coded { "yes" } else { "no" }),
            ]
        })
        .collect();
    let head =
        ["Chart", "What is charted", "Points", "Limits", "Reaction", "Owner", "Witness interval", "Returns coded"];
    table_or("Charts", &head, &[], rows, "No chart is on file for this assembly.")
}

fn chart_limits(desk: &Desk, run: &str) -> Cell {
    let mut out: Vec<Cell> = Vec::new();
    for (i, w) in
        desk.w.items.iter().enumerate().filter(|(_, w)| w.calc == "individuals_limits" && w.subject.contains(run))
    {
        let id = WorkingId(i as u32);
        for o in &w.outputs {
            out.push(vec![text(format!("{} ", o.symbol)), ink::worked(o.value, &o.unit, id)]);
        }
    }
    if out.is_empty() { cell("not calculated") } else { ink::joined(out, ", ") }
}

/// Changes that re-open claims, and who watches.
pub fn triggers(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .triggers
        .iter()
        .map(|t| {
            vec![
                vec![desk.at(t.id.text.clone(), t.at)],
                cell(t.signal.text.clone()),
                cell(t.owner.as_ref().map_or("NOBODY".into(), |o| desk.person(o))),
                cell(if t.stop_ship { "yes" } else { "no" }),
                desk.claim_links(t.claims.iter().map(|c| c.text.as_str())),
            ]
        })
        .collect();
    table_or(
        "What would re-open claims",
        &["Trigger", "Signal", "Owner", "Stops shipment", "Claims"],
        &[],
        rows,
        "No trigger is on file. That is a gap: nobody would notice a change.",
    )
}

/// Notices of changes to come.
pub fn notices(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .changes
        .iter()
        .filter(|c| super::verdict::change_concerns(desk, c))
        .map(|c| {
            let standing = if desk.assessment.as_of < c.effective_on { "to come" } else { "IN FORCE" };
            vec![
                vec![desk.at(c.id.text.clone(), c.at)],
                cell(c.text.text.clone()),
                cell(c.notified_on.to_string()),
                cell(c.effective_on.to_string()),
                vec![strong(standing)],
                desk.claim_links(c.claims.iter().map(|x| x.text.as_str())),
            ]
        })
        .collect();
    table_or(
        "Changes on notice",
        &["Notice", "What changes", "Notified", "From", "Standing", "Re-opens"],
        &[],
        rows,
        "No change is on notice for the materials of this assembly.",
    )
}

/// Criteria and runs that no claim uses.
pub fn unused(desk: &Desk) -> Vec<Block> {
    let items = desk.r.unused.iter().map(|u| cell(u.clone())).collect();
    ink::list_or(items, "Every criterion and every run on file is used by a claim.")
}
