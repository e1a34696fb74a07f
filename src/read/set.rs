//! Takes `PATH=VALUE` arguments; replaces values in the raw records, and says what was replaced.

use super::names::tables;
use super::route::{Placed, name_of};
use super::toml;
use crate::diag::{At, Diagnostic, FileId, Log, codes, nearest};
use crate::model::raw::{Key, Node, Raw, Table};
use crate::model::site::Override;
use crate::model::{FieldSpec, Kind};
use crate::quantity::Quantity;

/// Name of the virtual file that holds the arguments, one a line.
pub const FILE: &str = "--set";

/// Text of the virtual file.
pub fn file_text(args: &[String]) -> String {
    args.iter().map(|a| format!("{}\n", a.replace(['\n', '\r'], " "))).collect()
}

/// A record, or a record inside one: which placed table, then steps of (field, index in its list).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Target {
    placed: usize,
    steps: Vec<(String, Option<usize>)>,
}

/// Applies all arguments in order.
pub fn apply(placed: &mut [Placed], file: FileId, args: &[String], log: &mut Log) -> Vec<Override> {
    let text = file_text(args);
    let lines = toml::Lines::new(file, &text);
    let mut done = Vec::new();
    let mut start = 0;
    for arg in args {
        let whole = start..start + arg.len();
        start += arg.len() + 1;
        let Some((path, value)) = arg.split_once('=') else {
            log.push(
                Diagnostic::error(
                    codes::BAD_SET,
                    format!("--set needs PATH=VALUE, and \"{}\" has no equals sign", arg.escape_debug()),
                    "write for example --set site.hv_threshold=\"60 V\"",
                )
                .at(lines.at(whole), "no equals sign"),
            );
            continue;
        };
        let path_at = lines.at(whole.start..whole.start + path.len());
        let value_at = lines.at(whole.start + path.len() + 1..whole.end);
        match find(placed, path.trim()) {
            Ok((target, field)) => {
                if let Some(o) = write(placed, &target, field, path.trim(), value.trim(), path_at, value_at) {
                    done.push(o);
                }
            }
            Err(Miss::None { near }) => {
                let hint = match near {
                    Some(n) => format!("did you mean `{n}`?"),
                    None => "write the id of a record, a dot and a field, for example U4.gap".to_string(),
                };
                log.push(
                    Diagnostic::error(
                        codes::BAD_SET,
                        format!("`{}` leads to no record and field", path.trim().escape_debug()),
                        hint,
                    )
                    .at(path_at, "leads nowhere"),
                );
            }
            Err(Miss::Many(names)) => log.push(
                Diagnostic::error(
                    codes::AMBIGUOUS_SET,
                    format!("`{}` fits {} records", path.trim().escape_debug(), names.len()),
                    format!("write one of: {}", names.join(", ")),
                )
                .at(path_at, "fits more than one"),
            ),
        }
    }
    done
}

enum Miss {
    None { near: Option<String> },
    Many(Vec<String>),
}

/// All names under which a record may be addressed at one level of a path.
fn labels(kind: &str, table: &Table) -> Vec<String> {
    let part = |n: &str| match table.get(n) {
        Some(Node { raw: Raw::Text(s), .. }) => Some(s.clone()),
        _ => None,
    };
    let mut out: Vec<String> = name_of(table).map(|n| n.0.to_string()).into_iter().collect();
    match kind {
        "claim" => out.extend(part("tree").zip(part("id")).map(|(t, i)| format!("{t}/{i}"))),
        "flux_use" => out.extend(part("zone").zip(part("flux")).map(|(z, f)| format!("{z}/{f}"))),
        "not_applicable" => out.extend(part("claim")),
        _ => {}
    }
    out
}

/// One record within reach: its kind, names, target and fields.
struct Reach<'a> {
    kind: &'a str,
    names: Vec<String>,
    target: Target,
    table: &'a Table,
    fields: &'a [FieldSpec],
}

/// Records at the first level of a path.
fn top(placed: &[Placed]) -> Vec<Reach<'_>> {
    let mut all: Vec<Reach<'_>> = placed
        .iter()
        .enumerate()
        .map(|(i, p)| Reach {
            kind: p.rule.kind,
            names: labels(p.rule.kind, &p.table),
            target: Target { placed: i, steps: Vec::new() },
            table: &p.table,
            fields: p.rule.fields,
        })
        .collect();
    for i in 0..placed.len() {
        let nested = inside(&all[i]);
        all.extend(nested.into_iter().filter(|n| name_of(n.table).is_some()));
    }
    name_single_kinds(&mut all);
    all
}

/// Records inside a record, by their ids or by `field.N` counted from 1; and, for an assembly, those of its file.
fn within<'a>(r: &Reach<'a>, placed: &'a [Placed]) -> Vec<Reach<'a>> {
    let mut all = inside(r);
    if r.target.steps.is_empty() && r.kind == "assembly" {
        let file = placed[r.target.placed].file;
        all.extend(top(placed).into_iter().filter(|x| placed[x.target.placed].file == file && x.kind != "assembly"));
    }
    name_single_kinds(&mut all);
    all
}

fn inside<'a>(r: &Reach<'a>) -> Vec<Reach<'a>> {
    let mut out = Vec::new();
    for f in r.fields {
        let (kind, fields) = match (f.kind)() {
            Kind::Record(kind, fields) => (kind, fields),
            Kind::List(inner) => match *inner {
                Kind::Record(kind, fields) => (kind, fields),
                _ => continue,
            },
            _ => continue,
        };
        for (n, table) in tables(r.table, f.name).enumerate() {
            let mut names = labels(kind, table);
            names.push(format!("{}.{}", f.name, n + 1));
            let mut target = r.target.clone();
            target.steps.push((f.name.to_string(), Some(n)));
            out.push(Reach { kind, names, target, table, fields });
        }
        if let Some(Node { raw: Raw::Table(table), .. }) = r.table.get(f.name) {
            let mut target = r.target.clone();
            target.steps.push((f.name.to_string(), None));
            out.push(Reach { kind, names: vec![f.name.to_string()], target, table, fields });
        }
    }
    out
}

/// A kind of which only one record is within reach names that record.
fn name_single_kinds(all: &mut [Reach<'_>]) {
    for i in 0..all.len() {
        let kind = all[i].kind.to_string();
        if all.iter().filter(|r| r.kind == kind).count() == 1 && !all[i].names.contains(&kind) {
            all[i].names.push(kind);
        }
    }
}

/// Finds the one record and field that a path leads to.
fn find(placed: &[Placed], path: &str) -> Result<(Target, &'static FieldSpec), Miss> {
    let mut hits: Vec<(Target, &'static FieldSpec, String)> = Vec::new();
    let mut near: Vec<String> = Vec::new();
    walk(placed, top(placed), path, "", 0, &mut hits, &mut near);
    hits.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.2.cmp(&b.2)));
    hits.dedup_by(|a, b| a.0 == b.0 && a.1 == b.1);
    match hits.len() {
        1 => {
            let (target, field, _) = hits.remove(0);
            Ok((target, field))
        }
        0 => {
            let known = nearest(path, near.iter().map(String::as_str)).map(str::to_string);
            Err(Miss::None { near: known })
        }
        _ => Err(Miss::Many(hits.iter().map(|h| full_name(placed, &h.0, h.1.name)).collect())),
    }
}

fn walk<'a>(
    placed: &'a [Placed],
    level: Vec<Reach<'a>>,
    path: &str,
    before: &str,
    depth: usize,
    hits: &mut Vec<(Target, &'static FieldSpec, String)>,
    near: &mut Vec<String>,
) {
    for r in &level {
        for name in &r.names {
            let rest = path.strip_prefix(name.as_str()).and_then(|x| x.strip_prefix('.'));
            let Some(rest) = rest else {
                if let Some((_, field)) = path.rsplit_once('.')
                    && fields_of(placed, &r.target).iter().any(|f| f.name == field)
                {
                    near.push(format!("{before}{name}.{field}"));
                }
                continue;
            };
            let fields = fields_of(placed, &r.target);
            match fields.iter().find(|f| f.name == rest) {
                Some(f) => hits.push((r.target.clone(), f, name.clone())),
                None => near.extend(fields.iter().map(|f| format!("{before}{name}.{}", f.name))),
            }
            if depth < 4 {
                walk(placed, within(r, placed), rest, &format!("{before}{name}."), depth + 1, hits, near);
            }
        }
    }
}

/// Fields of the record at the end of the steps.
fn fields_of(placed: &[Placed], target: &Target) -> &'static [FieldSpec] {
    let mut fields = placed[target.placed].rule.fields;
    for (step, _) in &target.steps {
        let kind = fields.iter().find(|f| f.name == step).map(|f| (f.kind)());
        fields = match kind {
            Some(Kind::Record(_, inner)) => inner,
            Some(Kind::List(inner)) => match *inner {
                Kind::Record(_, inner) => inner,
                _ => &[],
            },
            _ => &[],
        };
    }
    fields
}

/// A path that leads to this record and no other: with the assembly of its file, or the tree of a claim.
fn full_name(placed: &[Placed], target: &Target, field: &str) -> String {
    let p = &placed[target.placed];
    let own = labels(p.rule.kind, &p.table).pop().unwrap_or_else(|| p.rule.kind.to_string());
    let mut name = own;
    if p.rule.kind != "assembly"
        && let Some(a) = placed.iter().find(|x| x.file == p.file && x.rule.kind == "assembly")
        && let Some((id, _)) = a.id()
    {
        name = format!("{id}.{name}");
    }
    for (step, n) in &target.steps {
        name.push_str(&match n {
            Some(n) => format!(".{step}.{}", n + 1),
            None => format!(".{step}"),
        });
    }
    format!("{name}.{field}")
}

fn write(
    placed: &mut [Placed],
    target: &Target,
    field: &'static FieldSpec,
    path: &str,
    value: &str,
    path_at: At,
    value_at: At,
) -> Option<Override> {
    let mut table = &mut placed.get_mut(target.placed)?.table;
    for (step, n) in &target.steps {
        table = match (&mut table.get_mut(step)?.raw, n) {
            (Raw::Table(t), None) => t,
            (Raw::List(items), Some(n)) => {
                match &mut items.iter_mut().filter(|x| matches!(x.raw, Raw::Table(_))).nth(*n)?.raw {
                    Raw::Table(t) => t,
                    _ => return None,
                }
            }
            _ => return None,
        };
    }
    let old = table.get(field.name).map(|n| written(&n.raw));
    let raw = new_value(value, value_at, old.as_deref(), field);
    let new = written(&raw);
    let node = Node { at: value_at, raw };
    match table.get_mut(field.name) {
        Some(n) => *n = node,
        None => table.entries.push((Key { name: field.name.to_string(), at: path_at }, node)),
    }
    if let Some(Node { raw: Raw::List(unknown), .. }) = table.get_mut("unknown") {
        unknown.retain(|n| !matches!(&n.raw, Raw::Text(s) if s == field.name));
    }
    Some(Override { path: path.to_string(), old, new })
}

/// A TOML value, else text; text where the field holds text; with the old unit where a bare number replaces a quantity.
fn new_value(value: &str, at: At, old: Option<&str>, field: &FieldSpec) -> Raw {
    let parsed = toml::value(value, at).unwrap_or_else(|| Raw::Text(value.to_string()));
    match (&parsed, (field.kind)()) {
        (Raw::Text(_), _) => parsed,
        (Raw::Number(_, number), Kind::Quantity) => {
            let unit = old.and_then(|o| Quantity::parse(o, at).ok()).map(|q| q.unit.text().to_string());
            match unit {
                Some(u) if u != "1" => Raw::Text(format!("{number} {u}")),
                _ => parsed,
            }
        }
        (Raw::Number(..) | Raw::Bool(_) | Raw::Date(_), Kind::Text | Kind::Words(_)) => Raw::Text(value.to_string()),
        _ => parsed,
    }
}

/// The value as a person would write it.
fn written(raw: &Raw) -> String {
    match raw {
        Raw::Text(s) | Raw::Date(s) | Raw::Number(_, s) => s.clone(),
        Raw::Bool(b) => b.to_string(),
        Raw::List(items) => {
            let parts: Vec<String> = items.iter().map(|n| written(&n.raw)).collect();
            format!("[{}]", parts.join(", "))
        }
        Raw::Table(_) => "{...}".to_string(),
    }
}
