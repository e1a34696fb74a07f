//! Takes what the house and the customer agreed and do; gives requirements, the change of process, audits, acceptance.

use super::desk::Desk;
use super::ink::{self, Cell, cell, strong, table_or, text};
use crate::model::assessment::{Code, State};
use crate::model::document::Block;
use crate::model::governance::Disposition;
use crate::model::processes::{Process, Step, WashKind};

/// Clauses that touch cleaning, the open ones first.
pub fn requirements(desk: &Desk) -> Vec<Block> {
    let mut all: Vec<_> =
        desk.site.requirements.iter().filter(|r| r.assemblies.iter().any(|a| a.text == desk.r.id)).collect();
    all.sort_by_key(|r| match r.disposition {
        Disposition::Forbids => 0,
        Disposition::Open => 1,
        Disposition::Waived => 2,
        Disposition::Complied => 3,
        Disposition::NotApplicable => 4,
    });
    let open = all.iter().filter(|r| matches!(r.disposition, Disposition::Open | Disposition::Forbids)).count();
    let rows = all
        .iter()
        .map(|r| {
            vec![
                vec![desk.at(r.id.text.clone(), r.at)],
                cell(format!("{} {}, {}", r.document, r.document_rev, r.clause)),
                cell(r.text.text.clone()),
                vec![strong(r.disposition.word().replace('_', " "))],
                cell(r.customer_ref.as_ref().map_or("none", |c| c.text.as_str())),
                cell(desk.person(&r.owner)),
            ]
        })
        .collect();
    let mut out = vec![Block::Paragraph(vec![text("Open or forbidding clauses: "), ink::count(open), text(".")])];
    let head = ["Id", "Document and clause", "What it asks", "Disposition", "Customer's letter", "Owner"];
    out.extend(table_or(
        "Clauses that touch cleaning",
        &head,
        &[],
        rows,
        "No clause is on file. That is a gap: nobody has swept drawing, order and agreement.",
    ));
    out
}

/// Old process beside new: what comes, goes and stays.
pub fn changes(desk: &Desk) -> Vec<Block> {
    let (new, old) = (desk.process(), desk.site.process(&desk.a.assembly.present_process));
    let (Some(new), Some(old)) = (new, old) else {
        return vec![ink::says("The present process or the new one is not on file, so they cannot be compared.")];
    };
    let mut rows: Vec<Vec<Cell>> = vec![
        vec![
            cell("Process"),
            named(desk, old),
            named(desk, new),
            changed(old.id.text != new.id.text || old.rev.text != new.rev.text),
        ],
        vec![
            cell("Line"),
            cell(old.line.text.clone()),
            cell(new.line.text.clone()),
            changed(old.line.text != new.line.text),
        ],
        vec![cell("Washing"), wash(old), wash(new), changed(old.wash != new.wash)],
    ];
    let mut kinds: Vec<_> = old.step.iter().chain(&new.step).map(|s| s.kind).collect();
    let mut seen = Vec::new();
    kinds.retain(|k| {
        let fresh = !seen.contains(k);
        seen.push(*k);
        fresh
    });
    for kind in kinds {
        let of = |p: &Process| p.step.iter().filter(|s| s.kind == kind).map(step).collect::<Vec<_>>().join("; ");
        let (was, is) = (of(old), of(new));
        let differs = was != is;
        let shown = |s: String| if s.is_empty() { cell("none") } else { cell(s) };
        rows.push(vec![cell(kind.word().replace('_', " ")), shown(was), shown(is), changed(differs)]);
    }
    rows.push(vec![
        cell("Storage until coat or pack"),
        stored(old),
        stored(new),
        changed(ink::plain(&stored(old)) != ink::plain(&stored(new))),
    ]);
    let head = ["What", "Present", "New", "Changed"];
    let mut out = table_or("Present process beside the new one", &head, &[], rows, "");
    let functions = desk
        .site
        .hidden_functions
        .iter()
        .map(|h| {
            vec![
                vec![desk.at(h.id.text.clone(), h.at)],
                cell(h.what.text.clone()),
                cell(h.replacement.as_ref().map_or("NOTHING TAKES ITS PLACE", |t| t.text.as_str())),
                cell(h.evidence.as_ref().map_or("none", |t| t.text.as_str())),
            ]
        })
        .collect();
    out.extend(table_or(
        "What the wash did besides removing flux",
        &["Id", "What", "Now done by", "Shown by"],
        &[],
        functions,
        "No hidden function of the wash is listed. That is a gap: every wash does more than remove flux.",
    ));
    out
}

fn named(desk: &Desk, p: &Process) -> Cell {
    vec![desk.at(format!("{} revision {}", p.id, p.rev), p.at), text(format!(", {}", p.title))]
}

fn changed(differs: bool) -> Cell {
    if differs { vec![strong("changed")] } else { cell("same") }
}

fn wash(p: &Process) -> Cell {
    match (p.wash, &p.wash_agent) {
        (WashKind::None, _) => cell("not washed"),
        (k, Some(agent)) => cell(format!("{k}, {agent}")),
        (k, None) => cell(k.word()),
    }
}

fn stored(p: &Process) -> Cell {
    let time = p.coat_within.as_ref().map_or("no limit of time".to_string(), |t| format!("at most {t}"));
    cell(format!("{time}, {}", p.storage.as_ref().map_or("storage not stated", |s| s.text.as_str())))
}

fn step(s: &Step) -> String {
    let mut out = format!("{} {} rev {}", s.machine, s.recipe, s.recipe_rev);
    if !s.fluxes.is_empty() {
        let f: Vec<&str> = s.fluxes.iter().map(|f| f.text.as_str()).collect();
        out.push_str(&format!(", flux {}", f.join(", ")));
    }
    if s.metered == Some(false) {
        out.push_str(", not metered");
    }
    if let Some(r) = &s.rate {
        out.push_str(&format!(", {r} of assemblies"));
    }
    out
}

/// Audits on the floor with their findings.
pub fn audits(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .audits
        .iter()
        .filter(|a| a.assemblies.iter().any(|x| x.text == desk.r.id))
        .map(|a| {
            let findings: Vec<Cell> = a
                .finding
                .iter()
                .filter(|f| f.assemblies.is_empty() || f.assemblies.iter().any(|x| x.text == desk.r.id))
                .map(|f| {
                    let closed = f.closed_on.map_or("OPEN".to_string(), |d| format!("closed {d}"));
                    vec![desk.at(format!("{} ({}, {closed})", f.text, f.severity), f.at)]
                })
                .collect();
            vec![
                vec![desk.at(a.id.text.clone(), a.at)],
                cell(a.kind.word()),
                cell(a.date.to_string()),
                cell(desk.person(&a.auditor)),
                if findings.is_empty() { cell("none") } else { ink::joined(findings, "; ") },
                cell(a.report.text.clone()),
            ]
        })
        .collect();
    table_or(
        "Audits",
        &["Audit", "Kind", "Day", "Auditor", "Findings", "Report"],
        &[],
        rows,
        "No audit is on file for this assembly.",
    )
}

/// Acceptance outside the technical claims.
pub fn acceptances(desk: &Desk) -> Vec<Block> {
    let mut rows: Vec<Vec<Cell>> = desk
        .site
        .acceptances
        .iter()
        .filter(|a| a.assembly.text == desk.r.id)
        .map(|a| {
            vec![
                vec![desk.claim_link(&a.claim)],
                vec![desk.at(a.document.text.clone(), a.at)],
                vec![strong(a.status.word().replace('_', " "))],
                cell(a.by.as_ref().map_or("nobody".into(), |p| desk.person(p))),
                cell(a.on.map_or("no day".into(), |d| d.to_string())),
            ]
        })
        .collect();
    // What nobody has put on file yet is as open as what stands there as open.
    let filed = |id: &str| desk.site.acceptances.iter().any(|a| a.assembly.text == desk.r.id && a.claim.text == id);
    for c in desk.leaves(desk.tree()).filter(|c| c.rule == "acceptance" && c.state < State::Supported && !filed(&c.id))
    {
        let signed = c.reasons.iter().any(|r| r.code == Code::AwaitingSignature);
        rows.push(vec![
            vec![desk.claim_link(&c.id)],
            cell(if signed { "this dossier" } else { c.title.as_str() }),
            vec![strong(if signed { "awaiting signature" } else { "MISSING" })],
            cell("nobody"),
            cell("no day"),
        ]);
    }
    table_or(
        "Acceptance outside the technical claims",
        &["Claim", "Document", "Status", "By", "On"],
        &[],
        rows,
        "No first article, safety file or manual is on file for this assembly.",
    )
}
