//! Takes the ledger; gives the record of schema `galipot.plan/1`: all of the planning, every number finite or null.

use serde_json::{Value, json};

use super::ledger::Ledger;
use crate::compose::record::{finite, working};
use crate::diag::SourceFile;
use crate::model::planning::{
    Amount, ClosingSet, CostRow, EvidenceValue, GateState, LineCost, PathResult, PlanResult, Spread, Used,
};
use crate::model::site::PLAN;
use crate::model::workings::WorkingId;

/// Name and version of the schema of the plan.
pub const SCHEMA: &str = "galipot.plan/1";
/// Name and version of the schema of closing sets.
pub const GAPS: &str = "galipot.gaps/1";

fn amount(a: Amount) -> Value {
    json!({"value": finite(a.value), "working": a.working.name()})
}

fn maybe(a: Option<Amount>) -> Value {
    a.map_or(Value::Null, amount)
}

fn used(u: Option<Used>) -> Value {
    u.map_or(Value::Null, |u| {
        json!({"water_m3": amount(u.water_m3), "effluent_m3": amount(u.effluent_m3), "energy_kwh": amount(u.energy_kwh),
            "saponifier_l": amount(u.saponifier_l), "hours": amount(u.hours)})
    })
}

/// The record; `dossiers` as for the volume.
pub fn record(l: &Ledger, dossiers: &[(String, String)]) -> Value {
    let (p, site) = (l.p, l.site);
    let file = |f: &SourceFile| json!({"path": f.path, "bytes": f.bytes.len(), "sha256": f.sha256});
    let files = site.sources.iter().filter(|(_, f)| f.path.starts_with(PLAN)).map(|(_, f)| file(f));
    let known = &p.workings;
    json!({
        "schema": SCHEMA,
        "tool": {"name": "galipot", "version": env!("CARGO_PKG_VERSION")},
        "audience": "internal",
        "site": site.facts.name.text,
        "as_of": l.assessment.as_of.to_string(),
        "what_if": site.overrides.iter().map(|o| json!({"path": o.path, "old": o.old, "new": o.new})).collect::<Vec<_>>(),
        "currency": p.currency,
        "base_date": p.base.to_string(),
        "months": p.months,
        "rate": finite(p.rate),
        "gates": p.gates.iter().map(|g| gate(l, g)).collect::<Vec<_>>(),
        "plans": p.plans.iter().map(|x| plan(l, x)).collect::<Vec<_>>(),
        "search": {"proven": p.search.proven, "bound": finite(p.search.bound), "gap": finite(p.search.gap),
            "policies": p.search.policies, "solved": p.search.solved, "stopped": p.search.stopped},
        "evidence": p.values.iter().map(value).collect::<Vec<_>>(),
        "committed": p.sums.committed.as_ref().map(|c| json!({"before_month": c.known, "all": amount(c.all),
            "rows": c.rows.iter().map(row).collect::<Vec<_>>()})),
        "unwashed": p.sums.unwashed.iter().map(|u| json!({"plan": u.plan, "boards": amount(u.boards), "of": amount(u.of)})).collect::<Vec<_>>(),
        "closing": p.closing.iter().map(|c| closing(l, c)).collect::<Vec<_>>(),
        "allowed": p.allowed.iter().map(|a| json!({"assembly": a.assembly, "treatment": a.treatment, "today": a.today,
            "state": l.state(&a.assembly, &a.treatment).map(|s| s.word()), "after": a.after, "why": a.why})).collect::<Vec<_>>(),
        "lines": p.lines.iter().map(|x| line(l, x)).collect::<Vec<_>>(),
        "simulation": {"draws": p.draws, "seed": p.seed, "generator": p.generator},
        "uncertain": site.plan.uncertain.iter().map(|u| {
            let q = |q: &Option<crate::quantity::Quantity>| q.as_ref().map_or(Value::Null, |q| finite(q.si));
            json!({"parameter": u.parameter.text, "shape": u.shape.word(), "low": q(&u.low), "mode": q(&u.mode), "high": q(&u.high),
                "mean": q(&u.mean), "sd": q(&u.sd), "relative": u.relative == Some(true), "basis": u.basis.text, "at": l.cite(u.at)})
        }).collect::<Vec<_>>(),
        "warnings": p.warnings,
        "dossiers": dossiers.iter().map(|(a, d)| json!({"assembly": a, "digest": d})).collect::<Vec<_>>(),
        "files": files.collect::<Vec<_>>(),
        "manifest": site.inputs().map(|(_, f)| file(f)).collect::<Vec<_>>(),
        "workings": (0..known.items.len() as u32).map(WorkingId).map(|id| working(site, id, known.get(id))).collect::<Vec<_>>(),
    })
}

fn gate(l: &Ledger, g: &GateState) -> Value {
    let waits: Vec<Value> = g.waits.iter().map(|(met, text)| json!({"met": met, "text": text})).collect();
    json!({"id": g.id, "title": g.title, "open": g.open, "waits": waits, "at": l.cite(g.at)})
}

fn plan(l: &Ledger, p: &PlanResult) -> Value {
    json!({
        "id": p.id, "title": p.title, "at": p.at.map(|at| l.cite(at)),
        "cost": amount(p.cost), "saving": amount(p.saving), "given_back": maybe(p.given_back),
        "contained": finite(p.contained), "payback": p.payback.map_or(Value::Null, finite),
        "used": used(p.used), "forbidden": p.forbidden, "alike": p.alike,
        "spread": p.spread.as_ref().map(spread),
        "tornado": p.tornado.iter().map(|b| json!({"parameter": b.parameter, "low": finite(b.low), "high": finite(b.high),
            "saving_low": finite(b.saving_low), "saving_high": finite(b.saving_high), "basis": b.basis, "at": l.cite(b.at)})).collect::<Vec<_>>(),
        "paths": p.paths.iter().map(path).collect::<Vec<_>>(),
    })
}

fn spread(s: &Spread) -> Value {
    json!({"mean": finite(s.mean), "sd": finite(s.sd), "error": finite(s.error), "exact_mean": finite(s.exact_mean),
        "exact_sd": finite(s.exact_sd), "p5": finite(s.p5), "p50": finite(s.p50), "p95": finite(s.p95), "loss": finite(s.loss),
        "histogram": s.histogram.iter().map(|(a, b, n)| json!([finite(*a), finite(*b), n])).collect::<Vec<_>>()})
}

fn path(x: &PathResult) -> Value {
    let results = x.results.iter().map(|(p, ok, m)| json!({"package": p, "success": ok, "month": m}));
    let steps = x.steps.iter().map(|(a, t, m)| json!({"assembly": a, "treatment": t, "month": m}));
    let machines = x.machines.iter().map(|(line, m, n)| json!({"line": line, "month": m, "number": n}));
    let lines = x.lines.iter().map(|(line, a, b)| json!({"line": line, "from": a, "to": b}));
    json!({
        "text": x.text, "chance": amount(x.chance), "cost": amount(x.cost),
        "results": results.collect::<Vec<_>>(), "steps": steps.collect::<Vec<_>>(),
        "machines": machines.collect::<Vec<_>>(), "lines": lines.collect::<Vec<_>>(), "used": used(x.used),
        "rows": x.rows.iter().map(row).collect::<Vec<_>>(),
        "flows": x.flows.iter().map(|f| finite(*f)).collect::<Vec<_>>(),
    })
}

fn row(r: &CostRow) -> Value {
    json!({"of": r.of, "text": r.text, "from": r.from, "to": r.to, "once": r.once, "amount": amount(r.amount),
        "present": amount(r.present)})
}

fn value(v: &EvidenceValue) -> Value {
    json!({"package": v.package, "cost": finite(v.cost), "with": finite(v.with), "without": finite(v.without),
        "value": amount(v.value), "break_even": v.break_even.map_or(Value::Null, finite),
        "contained_with": finite(v.contained.0), "contained_without": finite(v.contained.1), "instead": v.instead})
}

/// A closing set, as the record and `gaps --json` hold it.
pub fn closing(l: &Ledger, c: &ClosingSet) -> Value {
    let actions = c.actions.iter().map(|a| {
        let lifts = a.lifts.iter().map(|(assembly, claim)| json!({"assembly": assembly, "claim": claim}));
        json!({"action": a.action, "text": a.text, "cost": finite(a.cost), "weeks": finite(a.weeks),
            "from_week": finite(a.span.0), "to_week": finite(a.span.1), "chance": finite(a.chance), "before": a.before,
            "lifts": lifts.collect::<Vec<_>>(), "at": l.cite(a.at)})
    });
    json!({"assembly": if c.assembly.is_empty() { Value::Null } else { json!(c.assembly) }, "tree": c.tree,
        "cost": amount(c.cost), "weeks": finite(c.weeks), "chance": amount(c.chance), "chance_stated": c.stated,
        "beyond": c.beyond, "actions": actions.collect::<Vec<_>>(),
        "wider": c.wider.iter().map(|w| json!({"package": w.package, "actions": w.actions, "cost": finite(w.cost),
            "weeks": finite(w.weeks), "chance": finite(w.chance), "idle": w.idle, "other": w.other})).collect::<Vec<_>>()})
}

fn line(l: &Ledger, x: &LineCost) -> Value {
    let shares = x.shares.iter().map(|s| {
        json!({"assembly": s.assembly, "boards": finite(s.boards), "average": amount(s.average),
            "saved_if_it_leaves": amount(s.saved_if_it_leaves), "alone": amount(s.alone)})
    });
    let book = l.site.plan.line(&x.line).and_then(|w| w.book_value.as_ref()).map_or(Value::Null, |q| finite(q.si));
    json!({
        "line": x.line, "title": x.title, "in_use": x.in_use, "boards": finite(x.boards), "panels": finite(x.panels),
        "yearly": amount(x.yearly), "unit_cost": amount(x.unit_cost), "unit": x.unit, "year": maybe(x.year),
        "average": maybe(x.average), "marginal": maybe(x.marginal), "avoidable": maybe(x.avoidable), "used": used(x.used),
        "shares": shares.collect::<Vec<_>>(),
        "machines": x.machines.map(|(n, last)| json!({"number": n, "use_of_last": amount(last)})),
        "needed_hours": maybe(x.needed_hours), "book_value": book, "warnings": x.warnings, "at": l.cite(x.at),
    })
}
