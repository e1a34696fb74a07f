//! Takes the records that people keep; gives requirements, changes, conditions, doubts, assumptions, failure modes, triggers.

use super::desk::{Desk, condition_anchor};
use super::ink::{self, Cell, cell, here, strong, table_or, text};
use super::words;
use crate::model::assessment::DefeaterStatus;
use crate::model::document::{Block, Inline};
use crate::model::governance::{Disposition, Severity};
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

/// Every condition in force: number, limit, feed, owner, due, breach.
pub fn conditions(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .conditions
        .iter()
        .filter(|c| c.assembly.text == desk.r.id)
        .map(|c| {
            let result = desk.r.conditions.iter().find(|r| r.id == c.id.text);
            let standing = match result {
                None => cell("on file; no claim rests on it"),
                Some(r) if r.lacks.is_empty() => cell("complete"),
                Some(r) => vec![strong(format!("INCOMPLETE: lacks {}", r.lacks.join(", ")))],
            };
            let mut limit = vec![text(format!("{} {} ", c.parameter, words::sense(c.sense)))];
            limit.push(desk.written(&c.limit));
            let mut feed = cell(c.feed.as_ref().map_or("none", |f| f.text.as_str()));
            if let Some(f) = &c.frequency {
                feed.extend([text(", every "), desk.written(f)]);
            }
            if let Some(on) = c.feed_on {
                feed.push(text(format!(", newest {on}")));
            }
            vec![
                vec![here(condition_anchor(&c.id)), desk.at(c.id.text.clone(), c.at)],
                cell(c.text.text.clone()),
                limit,
                cell(c.verification.text.clone()),
                feed,
                cell(c.owner.as_ref().map_or("NOBODY".into(), |o| desk.person(o))),
                cell(c.due.map_or("no date".into(), |d| d.to_string())),
                cell(format!(
                    "{}{}",
                    c.breach_action.as_ref().map_or("not stated", |b| b.text.as_str()),
                    match c.stop_ship {
                        Some(true) => "; stops shipment",
                        Some(false) => "",
                        None => "; stop of shipment not stated",
                    }
                )),
                desk.claim_links(c.claims.iter().map(|x| x.text.as_str())),
                standing,
            ]
        })
        .collect();
    let head = ["Id", "Condition", "Limit", "How verified", "Feed", "Owner", "Due", "On breach", "Claims", "Standing"];
    table_or("Conditions", &head, &[], rows, "No condition is on file for this assembly.")
}

/// Doubts, the open ones first, with what became of them.
pub fn doubts(desk: &Desk) -> Vec<Block> {
    let mut all: Vec<_> = desk.r.defeaters.iter().collect();
    all.sort_by_key(|d| {
        let status = match d.status {
            DefeaterStatus::Confirmed => 0,
            DefeaterStatus::Open => 1,
            DefeaterStatus::Accepted => 2,
            DefeaterStatus::Refuted => 3,
            DefeaterStatus::Noted => 4,
        };
        let weight = match d.severity {
            Severity::Major => 0,
            Severity::Minor => 1,
            Severity::Note => 2,
        };
        (status, weight)
    });
    let rows = all
        .into_iter()
        .map(|d| {
            let mut answer = cell(if d.answer.is_empty() { "none" } else { &d.answer });
            if !d.answered_by.is_empty() {
                answer.push(text(format!(" ({})", desk.person(&d.answered_by))));
            }
            let mut id = vec![Inline::Code(d.id.clone())];
            if let Some(at) = d.at {
                id.extend([text(" "), desk.place(at)]);
            }
            vec![
                id,
                vec![desk.claim_link(&d.claim)],
                cell(d.severity.word()),
                cell(d.text.clone()),
                vec![strong(d.status.word())],
                answer,
                cell(if d.standard.is_empty() { "a person" } else { "galipot" }),
            ]
        })
        .collect();
    let head = ["Doubt", "Claim", "Weight", "What it says", "Status", "Answer", "Raised by"];
    table_or(
        "Doubts that were raised, the open ones first",
        &head,
        &[],
        rows,
        "No doubt was raised against this assembly, neither by galipot nor by a person. Read that as a warning.",
    )
}

/// Things accepted without a test.
pub fn assumptions(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .assumptions
        .iter()
        .filter(|a| a.assemblies.iter().any(|x| x.text == desk.r.id))
        .map(|a| {
            let overdue = a.review_on < desk.assessment.as_of;
            vec![
                vec![desk.at(a.id.text.clone(), a.at)],
                cell(a.text.text.clone()),
                cell(a.basis.text.clone()),
                cell(a.falsifier.text.clone()),
                cell(desk.person(&a.owner)),
                cell(format!("{}{}", a.review_on, if overdue { ", OVERDUE" } else { "" })),
                vec![strong(a.status.word().replace('_', " "))],
                desk.claim_links(a.claims.iter().map(|c| c.text.as_str())),
            ]
        })
        .collect();
    let head = ["Id", "Assumed", "Basis", "Shown wrong by", "Owner", "Review", "Status", "Claims"];
    table_or("Assumptions", &head, &[], rows, "No assumption is on file for this assembly.")
}

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
        let id = crate::model::workings::WorkingId(i as u32);
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

/// Criteria and runs that no claim uses.
pub fn unused(desk: &Desk) -> Vec<Block> {
    let items = desk.r.unused.iter().map(|u| cell(u.clone())).collect();
    ink::list_or(items, "Every criterion and every run on file is used by a claim.")
}

/// Acceptance outside the technical claims.
pub fn acceptances(desk: &Desk) -> Vec<Block> {
    let rows = desk
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
    table_or(
        "Acceptance outside the technical claims",
        &["Claim", "Document", "Status", "By", "On"],
        &[],
        rows,
        "No first article, safety file or manual is on file for this assembly.",
    )
}
