//! Takes criteria, laboratories, instruments, files; gives the annexes that let a reader check the rest.

use std::collections::BTreeSet;

use super::desk::{Desk, criterion_anchor};
use super::ink::{self, Cell, cell, here, table_or, text};
use super::words;
use crate::diag::SourceFile;
use crate::model::assessment::State;
use crate::model::document::{Block, Inline};
use crate::model::governance::Criterion;

/// Every criterion that speaks to this assembly, with its source and standing.
pub fn criteria(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .criteria()
        .into_iter()
        .map(|c| {
            vec![
                vec![here(criterion_anchor(&c.id)), desk.at(c.id.text.clone(), c.at)],
                cell(c.quantity.text.clone()),
                limit(desk, c),
                statistic(desk, c),
                geometry(desk, c),
                cell(c.guard_rule.word()),
                cell(format!("{} {}, {}", c.standard, c.edition, c.clause)),
                cell(standing(c)),
                cell(c.rationale.text.clone()),
                cell(c.applies_to.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(", ")),
            ]
        })
        .collect();
    let head = [
        "Id",
        "Quantity",
        "Limit",
        "Statistic",
        "For",
        "Guard",
        "Standard, edition, clause",
        "Source is",
        "Why",
        "Claims and gates",
    ];
    let mut out = sets(desk);
    out.extend(table_or(
        "Criteria",
        &head,
        &[],
        rows,
        "No criterion is on file. Without an agreed limit no claim can hold.",
    ));
    out
}

fn standing(c: &Criterion) -> &'static str {
    match c.standing.word() {
        "agreed" => "agreed between user and supplier",
        "seen" => "read in the document",
        "memory" => "FROM MEMORY: check against a purchased edition",
        "practice" => "common practice, no document",
        _ => "INVENTED for this example",
    }
}

fn limit(desk: &Desk, c: &Criterion) -> Cell {
    let mut out = vec![text(format!("{} ", words::sense(c.operator))), desk.written(&c.value)];
    if let Some(u) = &c.upper {
        out.extend([text(" to "), desk.written(u)]);
    }
    out
}

fn statistic(desk: &Desk, c: &Criterion) -> Cell {
    let mut out = cell(words::statistic(c.statistic));
    for (q, name) in [
        (&c.p, "share"),
        (&c.conf, "confidence"),
        (&c.min_n, "n at least"),
        (&c.min_boards, "boards at least"),
        (&c.min_lots, "lots at least"),
    ] {
        if let Some(q) = q {
            out.extend([text(format!(", {name} ")), desk.written(q)]);
        }
    }
    out
}

fn geometry(desk: &Desk, c: &Criterion) -> Cell {
    let mut parts: Vec<Cell> = Vec::new();
    if !c.geometry.is_empty() {
        parts.push(cell(format!(
            "patterns {}",
            c.geometry.iter().map(|g| g.text.as_str()).collect::<Vec<_>>().join(", ")
        )));
    }
    if let [a, b, ..] = c.window.as_slice() {
        parts.push(vec![text("window "), desk.written(a), text(" to "), desk.written(b)]);
    }
    if let Some(i) = &c.max_interval {
        parts.push(vec![text("a reading at least every "), desk.written(i)]);
    }
    if parts.is_empty() { cell("any") } else { ink::joined(parts, "; ") }
}

fn sets(desk: &Desk) -> Vec<Block> {
    let used: BTreeSet<&str> = desk.criteria().into_iter().map(|c| c.set.text.as_str()).collect();
    let rows = desk
        .site
        .criteria_sets
        .iter()
        .filter(|s| used.contains(s.id.text.as_str()))
        .map(|s| {
            vec![
                vec![desk.at(s.id.text.clone(), s.at)],
                cell(s.agreed_on.to_string()),
                cell(s.agreed_by.iter().map(|p| desk.person(p)).collect::<Vec<_>>().join(", ")),
                cell(s.valid_to.map_or("no end".into(), |d| d.to_string())),
            ]
        })
        .collect();
    table_or("Criteria sets", &["Set", "Agreed on", "Agreed by", "Valid to"], &[], rows, "No criteria set is on file.")
}

/// Protocols: what was planned and signed before the data.
pub fn protocols(desk: &Desk) -> Vec<Block> {
    let concerns = |p: &&crate::model::governance::Protocol| {
        p.planned.iter().any(|x| x.assemblies.iter().any(|a| a.text == desk.r.id))
    };
    let first = desk.runs().iter().filter(|r| r.run.protocol.is_some()).map(|r| r.run.start.day).min();
    let rows = desk
        .site
        .protocols
        .iter()
        .filter(concerns)
        .map(|p| {
            vec![
                vec![desk.at(format!("{} {}", p.id, p.version), p.at)],
                cell(p.signed_on.to_string()),
                cell(p.signers.iter().map(|s| desk.person(s)).collect::<Vec<_>>().join(", ")),
                cell(p.criteria_set.text.clone()),
                cell(p.decision_rule.word()),
                cell(p.exclusions_rule.text.clone()),
                cell(first.map_or("no run yet".into(), |d| d.to_string())),
            ]
        })
        .collect();
    let head =
        ["Protocol", "Signed on", "Signers", "Criteria", "Decision rule", "Readings may be left out", "First run"];
    table_or("Agreed before the data", &head, &[], rows, "No protocol plans a run for this assembly.")
}

/// How long each kind of evidence counts.
pub fn ages(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .ages
        .iter()
        .map(|a| {
            vec![cell(a.kind.text.clone()), vec![desk.written(&a.months), text(" months")], cell(a.set.text.clone())]
        })
        .collect();
    table_or(
        "How long evidence counts",
        &["Kind", "Age", "Set"],
        &[1],
        rows,
        "No age of evidence is agreed, so no evidence counts.",
    )
}

/// Laboratories of the runs, with the methods in their scope.
pub fn laboratories(desk: &Desk) -> Vec<Block> {
    let used: BTreeSet<&str> = desk.runs().into_iter().map(|r| r.run.lab.text.as_str()).collect();
    let rows = desk
        .site
        .labs
        .iter()
        .filter(|l| used.contains(l.id.text.as_str()))
        .map(|l| {
            let scope: Vec<Cell> = l
                .scope
                .iter()
                .map(|s| {
                    vec![
                        desk.at(format!("{} {}", s.method, s.edition), s.at),
                        text(format!(" from {} to {}", s.valid_from, s.valid_to)),
                    ]
                })
                .collect();
            let sells: Vec<&str> = l.sells.iter().map(|m| m.text.as_str()).collect();
            vec![
                vec![desk.at(l.id.text.clone(), l.at), text(format!(" {}", l.name))],
                cell(l.independence.word()),
                cell(l.accreditation.as_ref().map_or("none", |a| a.text.as_str())),
                if scope.is_empty() { cell("none") } else { ink::joined(scope, "; ") },
                cell(match (&l.method_validation, &l.approved_by) {
                    (Some(v), Some(p)) => format!("{v}, accepted by {}", desk.person(p)),
                    (Some(v), None) => format!("{v}, not accepted by the customer"),
                    (None, _) => "none".into(),
                }),
                cell(if sells.is_empty() { "nothing".into() } else { sells.join(", ") }),
            ]
        })
        .collect();
    let head = ["Laboratory", "Independence", "Accreditation", "Scope", "Own method validated", "Sells"];
    table_or("Laboratories", &head, &[], rows, "No laboratory made a run for this assembly.")
}

/// Instruments of the runs, with their calibrations.
pub fn instruments(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .site
        .instruments
        .iter()
        .filter_map(|i| {
            let runs: Vec<&str> = desk
                .runs()
                .into_iter()
                .filter(|r| r.run.instruments.iter().any(|x| x.text == i.id.text))
                .map(|r| r.run.id.text.as_str())
                .collect();
            (!runs.is_empty()).then(|| {
                vec![
                    vec![desk.at(i.id.text.clone(), i.at)],
                    cell(i.kind.text.clone()),
                    cell(i.certificate.text.clone()),
                    cell(format!("{} to {}", i.cal_from, i.cal_to)),
                    cell(i.post_check.map_or("none".into(), |d| d.to_string())),
                    desk.run_links(runs),
                ]
            })
        })
        .collect();
    table_or(
        "Instruments and calibrations",
        &["Instrument", "Kind", "Certificate", "Calibrated", "Check after", "Runs"],
        &[],
        rows,
        "No run of this assembly names an instrument.",
    )
}

/// Every input file with its size and digest, in order of path.
pub fn manifest(desk: &Desk) -> Vec<Block> {
    let row = |f: &SourceFile| {
        let (path, sha256) = (Inline::Code(f.path.clone()), Inline::Code(f.sha256.clone()));
        vec![vec![path], vec![ink::count(f.bytes.len())], vec![sha256]]
    };
    let rows = desk.site.inputs().map(|(_, f)| row(f)).collect();
    let mut out = table_or("Input files", &["Path", "Bytes", "SHA-256"], &[1], rows, "No input file was read.");
    if desk.site.plan_digest().is_some() {
        out.push(super::ink::says(
            "plan.sha256 names the files of the site plan by their digests. The plan, with all cost, is a volume of its \
             own; no claim looks at it, and nothing of it is in this dossier.",
        ));
    }
    let inside: Vec<Vec<Cell>> = desk.site.sources.iter().filter(|(_, f)| f.built_in).map(|(_, f)| row(f)).collect();
    out.push(super::ink::says(
        "A place that begins with built-in/ stands in a text that travels inside the program. An issued bag holds these \
         texts beside the input files; the folder of a draft does not.",
    ));
    out.extend(table_or(
        "Texts that travel inside the program, and values set on the command line",
        &["Name", "Bytes", "SHA-256"],
        &[1],
        inside,
        "Nothing that travels inside the program was read.",
    ));
    out
}

/// What-if values in force.
pub fn what_if(desk: &Desk) -> Vec<Block> {
    if desk.site.overrides.is_empty() {
        return Vec::new();
    }
    let rows = desk
        .site
        .overrides
        .iter()
        .map(|o| {
            vec![
                vec![Inline::Code(o.path.clone())],
                cell(o.old.clone().unwrap_or_else(|| "not given".into())),
                cell(o.new.clone()),
            ]
        })
        .collect();
    vec![
        Block::Caution(cell(
            "WHAT-IF: the values below replace what the files say. This is not a statement about the assembly.",
        )),
        ink::table("Values that were replaced", &["What", "In the files", "Here"], &[], rows),
    ]
}

/// Claims that do not apply, with reason and proof.
pub fn not_applicable(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .a
        .not_applicable
        .iter()
        .map(|n| {
            let state = desk.claim(&n.claim).map_or(cell("no such claim"), |c| vec![Inline::State(c.state)]);
            vec![
                vec![desk.claim_link(&n.claim)],
                state,
                cell(n.reason.text.clone()),
                vec![desk.at(n.proof.text.clone(), n.at)],
                cell(format!("{}, {}", desk.person(&n.by), n.on)),
            ]
        })
        .collect();
    let by_facts: Vec<Cell> = desk
        .r
        .claims
        .iter()
        .filter(|c| {
            c.leaf && c.state == State::NotApplicable && desk.a.not_applicable.iter().all(|n| n.claim.text != c.id)
        })
        .map(|c| vec![desk.claim_link(&c.id), text(format!(" {}: {}", c.title, super::verdict::reason_line(c)))])
        .collect();
    let mut out = table_or(
        "Stated as not applicable",
        &["Claim", "State", "Reason", "Proof", "By"],
        &[],
        rows,
        "No claim is stated as not applicable.",
    );
    if !by_facts.is_empty() {
        out.push(ink::says("Not applicable by the facts of the assembly:"));
        out.push(ink::list(by_facts));
    }
    out
}
