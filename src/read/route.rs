//! Takes the raw table of one file and the room it lies in; gives its records, each with the rule that it follows.

use super::layout::{ROOMS, Room, TableRule};
use crate::diag::{At, Diagnostic, FileId, Log, codes, nearest};
use crate::model::raw::{Key, Node, Raw, Table};
use std::collections::BTreeSet;

/// A record that was found, not yet read.
#[derive(Debug)]
pub struct Placed {
    pub file: FileId,
    pub rule: &'static TableRule,
    pub table: Table,
    /// False when the file has syntax errors, so that a field may be missing only because of them.
    pub whole: bool,
}

impl Placed {
    /// The text that names the record, when it has one.
    pub fn id(&self) -> Option<(&str, At)> {
        name_of(&self.table)
    }
}

/// Id or reference designator of a table.
pub fn name_of(table: &Table) -> Option<(&str, At)> {
    match table.get("id").or_else(|| table.get("refdes")) {
        Some(Node { raw: Raw::Text(s), at }) => Some((s, *at)),
        _ => None,
    }
}

/// Splits a file into its records. Kinds that a wrong header may have hidden go into `unsure`.
pub fn split(
    file: FileId,
    room: &'static Room,
    root: Table,
    whole: bool,
    log: &mut Log,
    out: &mut Vec<Placed>,
    unsure: &mut BTreeSet<&'static str>,
) {
    if !whole {
        doubt(room, unsure);
    }
    let mut seen = Vec::new();
    for (key, node) in root.entries {
        let Some(rule) = room.tables.iter().find(|r| r.kind == key.name) else {
            log.push(stranger(&key, &node, room));
            if let Some(near) = nearest(&key.name, room.tables.iter().map(|t| t.kind)) {
                unsure.extend(room.tables.iter().map(|t| t.kind).filter(|k| *k == near));
            }
            continue;
        };
        seen.push(rule.kind);
        match node.raw {
            Raw::Table(table) if !rule.many => out.push(Placed { file, rule, table, whole }),
            Raw::List(items) if rule.many && items.iter().all(|n| matches!(n.raw, Raw::Table(_))) => {
                for n in items {
                    if let Raw::Table(table) = n.raw {
                        out.push(Placed { file, rule, table, whole });
                    }
                }
            }
            other => {
                unsure.insert(rule.kind);
                let wanted = header(rule);
                let number = if rule.many { "may stand many times" } else { "stands once" };
                log.push(
                    Diagnostic::error(
                        codes::WRONG_TYPE,
                        format!("{} {number}, and this is {}", rule.kind, other.name()),
                        format!("write the header as {wanted}"),
                    )
                    .at(node.at, format!("not {wanted}")),
                );
            }
        }
    }
    if !whole {
        return;
    }
    for rule in room.tables.iter().filter(|r| r.required && !seen.contains(&r.kind)) {
        log.push(
            Diagnostic::error(
                codes::MISSING_TABLE,
                format!("the file has no [{}]", rule.kind),
                format!("add the table [{}] with its fields; docs/files.md lists them", rule.kind),
            )
            .at(root.at, format!("no [{}] in this file", rule.kind)),
        );
    }
}

/// Marks all kinds of a room as perhaps unseen.
pub fn doubt(room: &Room, unsure: &mut BTreeSet<&'static str>) {
    for rule in room.tables {
        unsure.insert(rule.kind);
        match rule.kind {
            "vehicle" => unsure.extend(["pattern", "build"]),
            "protocol" => unsure.extend(["planned", "run"]),
            _ => {}
        }
    }
}

fn header(rule: &TableRule) -> String {
    if rule.many { format!("[[{}]]", rule.kind) } else { format!("[{}]", rule.kind) }
}

fn stranger(key: &Key, node: &Node, room: &Room) -> Diagnostic {
    let tables = match &node.raw {
        Raw::Table(_) => true,
        Raw::List(items) => items.iter().all(|n| matches!(n.raw, Raw::Table(_))) && !items.is_empty(),
        _ => false,
    };
    let name = key.name.escape_debug();
    if !tables {
        let first = room.tables.first().map_or_else(String::new, header);
        return Diagnostic::error(
            codes::UNKNOWN_KEY,
            format!("`{name}` stands outside any table"),
            format!("move it below a table header such as {first}"),
        )
        .at(key.at, "no record holds this");
    }
    let home = ROOMS.iter().find_map(|r| r.tables.iter().find(|t| t.kind == key.name).map(|t| (r, t)));
    let hint = match (home, nearest(&key.name, room.tables.iter().map(|t| t.kind))) {
        (Some((r, t)), _) => format!("{} belongs in {}", header(t), r.pattern),
        (None, Some(n)) => format!("did you mean `{n}`?"),
        (None, None) => {
            let known: Vec<String> = room.tables.iter().map(header).collect();
            format!("this file may hold {}", known.join(", "))
        }
    };
    Diagnostic::error(codes::UNKNOWN_TABLE, format!("{} may not hold a table `{name}`", room.pattern), hint)
        .at(node.at, "does not belong here")
}
