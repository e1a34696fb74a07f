//! Takes the desk; gives the record of schema `galipot.record/1`: all that a machine needs, every number finite or null.

use serde_json::{Map, Value, json};

use super::chapters::Template;
use super::desk::Desk;
use super::words;
use crate::diag::{At, SourceFile, sha256_hex};
use crate::model::Day;
use crate::model::assessment::{ClaimResult, Defeater, RunStanding, Voice};
use crate::model::document::record_bytes;
use crate::model::governance::Criterion;
use crate::model::parts;
use crate::model::site::Site;
use crate::model::workings::{Origin, Working, WorkingId};

/// Name and version of the schema.
pub const SCHEMA: &str = "galipot.record/1";

/// A number, or null where there is none.
pub fn finite(x: f64) -> Value {
    if x.is_finite() { json!(x) } else { Value::Null }
}

fn day(d: Option<Day>) -> Value {
    d.map_or(Value::Null, |d| json!(d.to_string()))
}

fn texts(list: &[crate::model::Text]) -> Value {
    list.iter().map(|t| t.text.as_str()).collect()
}

fn place(desk: &Desk, at: At) -> Value {
    json!(desk.cite(at))
}

/// The short form of a claim that `status --json` prints, in its field order.
pub fn claim_short(c: &ClaimResult) -> Map<String, Value> {
    let mut codes: Vec<&str> = c.reasons.iter().map(|r| r.code.word()).collect();
    let mut seen = Vec::new();
    codes.retain(|w| {
        !seen.contains(w) && {
            seen.push(*w);
            true
        }
    });
    let fields = [
        ("id", json!(c.id)),
        ("tree", json!(c.tree.word())),
        ("state", json!(c.state.word())),
        ("codes", json!(codes)),
        ("value", finite(c.value)),
        ("limit", finite(c.limit)),
        ("guard", finite(c.guard)),
        ("margin", finite(c.margin)),
        ("unit", if c.unit.is_empty() { Value::Null } else { json!(c.unit) }),
        ("place", if c.place.is_empty() { Value::Null } else { json!(c.place) }),
        ("runs", json!(c.runs)),
        ("conditions", json!(c.conditions)),
    ];
    fields.into_iter().map(|(k, v)| (k.to_string(), v)).collect()
}

/// Everything that is known of a claim.
pub fn claim(desk: &Desk, c: &ClaimResult) -> Value {
    let mut out = claim_short(c);
    let more = [
        ("parent", json!(c.parent)),
        ("title", json!(c.title)),
        ("text", json!(c.text)),
        ("rule", json!(c.rule)),
        ("leaf", json!(c.leaf)),
        ("after_issue", json!(c.after_issue)),
        ("statistic", json!(c.statistic)),
        ("criterion", json!(c.criterion)),
        ("n", json!(c.n)),
        (
            "reasons",
            c.reasons
                .iter()
                .map(|r| json!({"code": r.code.word(), "detail": r.detail, "text": r.text, "at": r.at.map(|a| desk.cite(a))}))
                .collect(),
        ),
        (
            "places",
            c.places
                .iter()
                .map(|p| {
                    json!({"place": p.place, "state": p.state.word(), "text": p.text, "value": finite(p.value),
                        "limit": finite(p.limit), "margin": finite(p.margin), "unit": p.unit, "run": p.run})
                })
                .collect(),
        ),
        ("voices", c.voices.iter().map(|v| voice(desk, v)).collect()),
        ("assumptions", json!(c.assumptions)),
        ("bridges", json!(c.bridges)),
        ("waivers", json!(c.waivers)),
        ("defeaters", json!(c.defeaters)),
        ("valid_until", day(c.valid_until)),
        ("valid_until_from", json!(c.valid_until_from)),
        ("next_action", json!(c.next_action)),
        ("workings", c.workings.iter().map(|w| w.name()).collect()),
        ("looked_at", c.looked_at.iter().map(|(w, at)| json!({"text": w, "at": desk.cite(*at)})).collect()),
    ];
    out.extend(more.into_iter().map(|(k, v)| (k.to_string(), v)));
    Value::Object(out)
}

fn voice(desk: &Desk, v: &Voice) -> Value {
    json!({"run": v.run, "cell": v.cell, "pattern": v.pattern, "criterion": v.criterion, "verdict": v.verdict.word(),
        "counts_as": v.counts_as, "value": finite(v.value), "guard": finite(v.guard), "limit": finite(v.limit),
        "margin": finite(v.margin), "unit": v.unit, "n": v.n, "n_eff": v.n_eff, "reason": v.reason,
        "working": v.working.name(), "at": desk.cite(v.at)})
}

/// A run with its verdict, its role and every gate.
pub fn run(desk: &Desk, id: &str, s: Option<&RunStanding>) -> Value {
    let folder = desk.site.run(id);
    let gates: Vec<Value> = s
        .map(|s| s.gates.iter())
        .into_iter()
        .flatten()
        .map(|g| json!({"gate": g.gate, "effect": words::effect_word(g.effect), "text": g.text, "at": desk.cite(g.at)}))
        .collect();
    let planned = desk.site.planned().any(|(_, p)| p.id.text == id);
    let verdict = desk.verdict(id).word();
    let mut out = json!({"id": id, "verdict": verdict, "role": s.map_or("pending", |s| s.role), "planned": planned,
        "first_failed": s.map(|s| s.first_failed).filter(|g| !g.is_empty()), "expires": day(s.and_then(|s| s.expires)), "gates": gates});
    if let (Some(f), Some(map)) = (folder, out.as_object_mut()) {
        let r = &f.run;
        map.insert("kind".into(), json!(r.kind.word()));
        map.insert("title".into(), json!(r.title.text));
        map.insert("lab".into(), json!(r.lab.text));
        map.insert("method".into(), json!(r.method.text));
        map.insert("method_edition".into(), json!(r.method_edition.text));
        map.insert("start".into(), json!(r.start.written));
        map.insert("end".into(), json!(r.end.written));
        map.insert("excluded".into(), json!(r.excluded == Some(true)));
        map.insert("excluded_reason".into(), json!(r.excluded_reason.as_ref().map(|t| &t.text)));
        map.insert("at".into(), place(desk, r.at));
        let dir = &desk.site.sources.get(r.at.file).path;
        let dir = dir.rsplit_once('/').map_or("", |d| d.0);
        let files: Vec<Value> = r
            .file
            .iter()
            .map(|x| json!({"path": if dir.is_empty() { x.path.text.clone() } else { format!("{dir}/{}", x.path) }, "sha256": x.sha256.text, "role": x.role.word()}))
            .collect();
        map.insert("files".into(), json!(files));
        map.insert("altered".into(), f.altered.iter().map(|(p, d)| json!({"path": p, "sha256_found": d})).collect());
    }
    out
}

/// Every run that concerns the assembly: registered ones, then planned ones that are not reported.
pub fn runs(desk: &Desk) -> Vec<Value> {
    let mut out: Vec<Value> = desk.runs().into_iter().map(|r| run(desk, &r.run.id, desk.standing(&r.run.id))).collect();
    for (_, p) in desk.site.planned() {
        if p.assemblies.iter().any(|a| a.text == desk.r.id) && desk.site.run(&p.id).is_none() {
            out.push(run(desk, &p.id, None));
        }
    }
    out
}

/// A working with its inputs, each with where it came from.
pub fn working(site: &Site, id: WorkingId, w: &Working) -> Value {
    let inputs: Vec<Value> = w
        .inputs
        .iter()
        .map(|i| {
            let origin = match i.origin {
                Origin::Place(at) => json!({"place": site.sources.cite(at)}),
                Origin::Rows(at, n) => json!({"place": site.sources.cite(at), "rows": n}),
                Origin::Working(x) => json!({"working": x.name()}),
                Origin::Constant(source) => json!({"constant": source}),
            };
            json!({"symbol": i.symbol, "value": finite(i.value), "unit": i.unit, "origin": origin})
        })
        .collect();
    let outputs: Vec<Value> =
        w.outputs.iter().map(|o| json!({"symbol": o.symbol, "value": finite(o.value), "unit": o.unit})).collect();
    json!({"id": id.name(), "calc": w.calc, "subject": w.subject, "n": w.n, "inputs": inputs, "outputs": outputs})
}

/// Workings that the claims and facts of this assembly rest on, in order of number.
fn workings(desk: &Desk) -> Vec<Value> {
    let mut all = std::collections::BTreeSet::new();
    let mut queue: Vec<WorkingId> =
        desk.w.facts.iter().filter(|f| f.assembly == desk.r.id).map(|f| f.working).collect();
    for c in &desk.r.claims {
        queue.extend(&c.workings);
        queue.extend(c.voices.iter().map(|v| v.working));
        queue.extend(c.places.iter().filter_map(|p| p.working));
    }
    queue.extend(desk.r.triads.iter().flat_map(|t| &t.legs).flat_map(|l| &l.workings));
    while let Some(id) = queue.pop() {
        let Some(w) = desk.w.items.get(id.0 as usize) else { continue };
        if all.insert(id) {
            queue.extend(w.inputs.iter().filter_map(|i| match i.origin {
                Origin::Working(x) => Some(x),
                _ => None,
            }));
        }
    }
    all.into_iter().map(|id| working(desk.site, id, desk.w.get(id))).collect()
}

fn conditions(desk: &Desk) -> Vec<Value> {
    desk.r
        .conditions
        .iter()
        .map(|c| {
            let mut out = json!({"id": c.id, "claims": c.claims, "complete": c.lacks.is_empty(), "lacks": c.lacks, "due": day(c.due)});
            if let (Some(k), Some(map)) = (desk.site.condition(&c.id), out.as_object_mut()) {
                map.insert("text".into(), json!(k.text.text));
                map.insert("parameter".into(), json!(k.parameter.text));
                map.insert("sense".into(), json!(k.sense.word()));
                map.insert("limit".into(), json!(k.limit.written));
                map.insert("verification".into(), json!(k.verification.text));
                map.insert("feed".into(), json!(k.feed.as_ref().map(|f| &f.text)));
                map.insert("owner".into(), json!(k.owner.as_ref().map(|f| &f.text)));
                map.insert("breach_action".into(), json!(k.breach_action.as_ref().map(|f| &f.text)));
                map.insert("stop_ship".into(), json!(k.stop_ship));
                map.insert("excludes".into(), texts(&k.excludes));
                map.insert("at".into(), place(desk, k.at));
            }
            out
        })
        .collect()
}

/// Coverage rows of one claim.
pub fn coverage_of(desk: &Desk, claim: &str) -> Vec<Value> {
    coverage(desk, |c| c == claim)
}

fn coverage(desk: &Desk, wanted: impl Fn(&str) -> bool) -> Vec<Value> {
    desk.r
        .coverage
        .iter()
        .filter(|r| wanted(&r.claim))
        .map(|r| {
            let cells: Vec<Value> = r
                .cells
                .iter()
                .map(|c| {
                    json!({"dimension": c.dimension, "cover": c.cover.sign(), "tested": c.tested, "needed": c.needed,
                        "no_more_severe": c.no_more_severe, "bridge": c.bridge})
                })
                .collect();
            json!({"claim": r.claim, "place": r.place, "run": r.run, "cell": r.cell, "pattern": r.pattern, "cells": cells})
        })
        .collect()
}

/// Criteria that a claim is judged by.
pub fn criteria_of(desk: &Desk, claim: &ClaimResult) -> Vec<Value> {
    criteria(desk, |c| c.id.text == claim.criterion || c.applies_to.iter().any(|a| a.text == claim.id))
}

fn criteria(desk: &Desk, wanted: impl Fn(&Criterion) -> bool) -> Vec<Value> {
    desk.criteria()
        .into_iter()
        .filter(|c| wanted(c))
        .map(|c| {
            json!({"id": c.id.text, "quantity": c.quantity.text, "operator": c.operator.word(), "value": c.value.written,
                "upper": c.upper.as_ref().map(|q| &q.written), "statistic": c.statistic.word(),
                "p": c.p.as_ref().map_or(Value::Null, |q| finite(q.si)), "conf": c.conf.as_ref().map_or(Value::Null, |q| finite(q.si)),
                "guard_rule": c.guard_rule.word(), "geometry": texts(&c.geometry), "window": c.window.iter().map(|q| &q.written).collect::<Vec<_>>(),
                "standard": c.standard.text, "edition": c.edition.text, "clause": c.clause.text,
                "standing": c.standing.word(), "applies_to": texts(&c.applies_to), "set": c.set.text, "at": desk.cite(c.at)})
        })
        .collect()
}

fn defeater(desk: &Desk, d: &Defeater) -> Value {
    json!({"id": d.id, "standard": d.standard, "claim": d.claim, "severity": d.severity.word(), "text": d.text,
        "status": d.status.word(), "answer": d.answer, "answered_by": d.answered_by, "at": d.at.map(|at| desk.cite(at))})
}

/// Doubts that were raised against a claim.
pub fn defeaters_of(desk: &Desk, c: &ClaimResult) -> Vec<Value> {
    let touches = |d: &&Defeater| d.claim == c.id || c.defeaters.contains(&d.id);
    desk.r.defeaters.iter().filter(touches).map(|d| defeater(desk, d)).collect()
}

/// The record of one assembly. Members for one audience stand together (`model/parts.rs`), so that a copy leaves out few
/// and large parts: the digest of a short one could be guessed.
pub fn record(desk: &Desk, templates: &[Template]) -> Value {
    let (a, r) = (&desk.a.assembly, desk.r);
    let c = &r.runs;
    let file = |f: &SourceFile| json!({"path": f.path, "bytes": f.bytes.len(), "sha256": f.sha256});
    json!({
        "schema": SCHEMA,
        "tool": {"name": "galipot", "version": env!("CARGO_PKG_VERSION"),
            "self_test": {"met": desk.w.known_answers.0, "missed": desk.w.known_answers.1, "sha256": desk.w.self_test}},
        "document": {"number": a.document.text, "revision": a.document_rev.text, "status": super::identity::status(desk)},
        "as_of": desk.assessment.as_of.to_string(),
        "assembly": {"id": a.id.text, "revision": a.rev.text, "product": a.product.text, "drawing": a.drawing.text,
            "bom_rev": a.bom_rev.text, "layout_rev": a.layout_rev.text, "customer": a.customer.text, "life": a.life.written,
            "limits_of_use": texts(&a.limits_of_use), "effectivity": a.effectivity.as_ref().map(|e| &e.text)},
        "process": {"id": a.process.text, "revision": desk.process().map(|p| &p.rev.text)},
        "environment": a.environment.text,
        "what_if": desk.site.overrides.iter().map(|o| json!({"path": o.path, "old": o.old, "new": o.new})).collect::<Vec<_>>(),
        "route": r.route.word(),
        "route_conditions": desk.route_conditions().into_iter().chain(words::waivers(r).iter().map(String::as_str)).collect::<Vec<_>>(),
        "state": r.state.word(),
        "wash_state": r.wash_state.word(),
        "present_state": r.present_state.word(),
        "interim": r.interim,
        "valid_until": day(r.valid_until),
        "valid_until_from": r.valid_until_from,
        "stop_ship": r.stop_ship,
        "conditions": conditions(desk),
        "claims": r.claims.iter().map(|c| claim(desk, c)).collect::<Vec<_>>(),
        "run_count": {"planned": c.planned, "registered": c.registered, "used": c.used, "informative": c.informative,
            "inadmissible": c.inadmissible, "excluded": c.excluded, "exploratory": c.exploratory, "pending": c.pending,
            "unreported": c.unreported},
        "runs": runs(desk),
        "coverage": coverage(desk, |_| true),
        "triads": r.triads.iter().map(|t| json!({"place": t.place, "why_critical": t.why_critical, "legs": t.legs.iter().map(|l| {
            json!({"leg": l.leg, "broken": l.broken, "text": l.text, "claims": l.claims, "workings": l.workings.iter().map(|w| w.name()).collect::<Vec<_>>()})
        }).collect::<Vec<_>>()})).collect::<Vec<_>>(),
        "defeaters": r.defeaters.iter().map(|d| defeater(desk, d)).collect::<Vec<_>>(),
        "assumptions": desk.site.assumptions.iter().filter(|x| x.assemblies.iter().any(|y| y.text == r.id)).map(|x| {
            json!({"id": x.id.text, "text": x.text.text, "status": x.status.word(), "owner": x.owner.text, "review_on": x.review_on.to_string(), "claims": texts(&x.claims)})
        }).collect::<Vec<_>>(),
        "comments": desk.site.comments.iter().filter(|x| x.assembly.text == r.id).map(|x| {
            json!({"id": x.id.text, "by": x.by.text, "raised_on": x.raised_on.to_string(), "section": x.section.text,
                "decision": x.decision.word(), "text": x.text.as_ref().map(|t| &t.text),
                "disposition": x.disposition.as_ref().map(|t| &t.text), "closed_by": x.closed_by.as_ref().map(|t| &t.text),
                "closed_on": x.closed_on.map(|d| d.to_string()), "at": desk.cite(x.at)})
        }).collect::<Vec<_>>(),
        "bridges": desk.site.bridges.iter().filter(|x| x.assembly.text == r.id).map(|x| {
            json!({"id": x.id.text, "run": x.run.text, "claims": texts(&x.claims), "dimensions": texts(&x.dimensions),
                "reason": x.reason.text, "data_ref": x.data_ref.text, "approved_by": x.approved_by.as_ref().map(|p| &p.text),
                "approved_on": day(x.approved_on), "expires": day(x.expires), "at": desk.cite(x.at)})
        }).collect::<Vec<_>>(),
        "waivers": desk.site.waivers.iter().filter(|x| x.assembly.text == r.id).map(|x| {
            json!({"id": x.id.text, "claims": texts(&x.claims), "scope": x.scope.text, "limit_of_use": x.limit_of_use.text,
                "customer_authority": x.customer_authority.text, "from": x.from.to_string(), "to": x.to.to_string(), "at": desk.cite(x.at)})
        }).collect::<Vec<_>>(),
        "unused": r.unused,
        "workings": workings(desk),
        "criteria": criteria(desk, |_| true),
        "manifest": desk.site.inputs().map(|(_, f)| file(f)).collect::<Vec<_>>(),
        "built_in": desk.site.sources.iter().filter(|(_, f)| f.built_in).map(|(_, f)| file(f)).collect::<Vec<_>>(),
        "templates": templates.iter().map(|t| json!({"file": t.file, "sha256": t.sha256, "built_in": t.at.is_none()})).collect::<Vec<_>>(),
    })
}

/// The record for one reader: in place of each part that is not for him stand its audience and its SHA-256.
pub fn redacted(record: &Value, reads: impl Fn(&str) -> bool) -> Value {
    let text = String::from_utf8(record_bytes(record)).unwrap_or_default();
    let all = parts::parts(&text);
    let mut left = all.iter().enumerate().peekable();
    let mut out = Map::new();
    for (name, value) in record.as_object().into_iter().flatten() {
        if let Some((i, part)) = left.next_if(|p| p.1.name == *name).filter(|p| !reads(p.1.audience)) {
            let stands = json!({"audience": part.audience, "sha256": sha256_hex(part.text.as_bytes())});
            out.insert(parts::label(&parts::file_name(i, &part.name)), stands);
        }
        if reads(parts::audience_of(name)) {
            out.insert(name.clone(), value.clone());
        }
    }
    Value::Object(out)
}
