//! Takes the declared records and tables; gives the reference of all input files as Markdown (`docs/files.md`).

use super::layout::{FREE, ROOMS, TableRule};
use super::names::with_article;
use crate::model::tables::{ColumnSpec, FLAGS, Holds, TABLES, TableSpec};
use crate::model::{FieldSpec, Kind};
use crate::quantity::{Unit, compact};
use std::fmt::Write;

/// Fields that every record has; they are told once.
const COMMON: &[&str] = &["unknown", "source_ref", "note"];

const HEAD: &str = "# Files of a site

This page is made from the declarations that galipot reads by, and a test keeps it so. `galipot new DIR` writes a small
site to begin from.

A site is a folder with a `galipot.toml`. Facts are TOML, readings are tables. A file that no rule below places is an
error, so nothing is left out unseen. At the root, `README.md` and names that begin with `.git` are left alone; hidden
files, links, and the folders `target`, `drafts` and `issued` at the root are no part of a site.

- **Ids** have 2 to 40 of the characters `A-Z a-z 0-9 . _ -`, begin with a letter or digit, and are unique within their kind.
  Ids of parts, pairs, nodes and zones count within their assembly, ids of patterns within their vehicle.
- **Quantities** are texts with their unit: `\"36.7 um\"`, `\"25 pA\"`, `\"1.4 ug/cm2\"`, `\"40 degC\"`, `\"90 %RH\"`, `\"8.0 log10 ohm\"`.
  `µ` and `u`, `Ω` and `ohm`, `cm2` and `cm²` are the same. A bare number stands only for what has no dimension.
- **Days** are `2026-03-31`, moments `2025-10-06T08:00:00+01:00` with their offset.
- **Must**: *yes* means that the field must be given; *or unknown* that it must be given or be named in `unknown`. What is
  not known is never written as 0 or left empty.

Every record may also have `unknown` (names of the fields that are not known), `source_ref` (document, revision and page
that it was taken from) and `note` (free text for the reader).

";

/// The whole page.
pub fn markdown() -> String {
    let mut out = String::from(HEAD);
    for room in ROOMS {
        let _ = writeln!(out, "## `{}`\n\n{}\n", room.pattern, room.doc);
        for rule in room.tables {
            table(&mut out, rule);
        }
    }
    out.push_str("## Free folders\n\nRecords name these files, people read them; galipot only digests them.\n\n");
    for (folder, doc) in FREE {
        let _ = writeln!(out, "- `{folder}` {doc}");
    }
    readings(&mut out);
    out
}

fn table(out: &mut String, rule: &TableRule) {
    let (header, how) = match (rule.many, rule.required) {
        (true, _) => (format!("[[{}]]", rule.kind), "any number of times"),
        (false, true) => (format!("[{}]", rule.kind), "once"),
        (false, false) => (format!("[{}]", rule.kind), "at most once"),
    };
    let _ = writeln!(out, "### `{header}`\n\n{} Written {how}.\n", rule.about.trim());
    fields(out, rule.kind, rule.fields);
}

fn fields(out: &mut String, path: &str, specs: &'static [FieldSpec]) {
    out.push_str("| field | holds | must | what it is |\n|---|---|---|---|\n");
    let mut inner = Vec::new();
    for f in specs.iter().filter(|f| !COMMON.contains(&f.name)) {
        let kind = (f.kind)();
        let must = match (f.required(), f.spec.stated) {
            (true, _) => "yes",
            (false, true) => "or unknown",
            _ => "",
        };
        let _ = writeln!(out, "| `{}` | {} | {must} | {} |", f.name, holds(&kind, f), f.doc);
        match kind {
            Kind::Record(_, s) => inner.push((format!("[{path}.{}]", f.name), format!("{path}.{}", f.name), s)),
            Kind::List(k) => {
                if let Kind::Record(_, s) = *k {
                    inner.push((format!("[[{path}.{}]]", f.name), format!("{path}.{}", f.name), s));
                }
            }
            _ => {}
        }
    }
    out.push('\n');
    for (header, path, specs) in inner {
        let _ = writeln!(out, "#### `{header}`\n");
        fields(out, &path, specs);
    }
}

fn holds(kind: &Kind, f: &FieldSpec) -> String {
    let range = |unit: &str| {
        let (low, high) = (f.spec.low, f.spec.high);
        let unit = if unit == "1" { String::new() } else { format!(" {unit}") };
        match (low.is_finite(), high.is_finite()) {
            (true, true) => format!(", {} to {}{unit}", compact(low), compact(high)),
            (true, false) => format!(", at least {}{unit}", compact(low)),
            (false, true) => format!(", at most {}{unit}", compact(high)),
            _ => String::new(),
        }
    };
    match kind {
        Kind::Text => match f.spec.to {
            Some("dimension") => "coverage dimension".into(),
            Some(to) => format!("id of {}", with_article(to)),
            None if f.spec.id => "id".into(),
            None => "text".into(),
        },
        Kind::Number => "number".into(),
        Kind::Quantity => match f.spec.unit {
            "1" => format!("number{}", range("1")),
            "*" => "quantity in any unit".into(),
            "%" | "ppm" => format!("a share (`{}`){}", f.spec.unit, range(f.spec.unit)),
            unit => {
                let name = Unit::parse(unit).map_or_else(|_| "quantity".into(), |u| u.dimension().name());
                format!("{name} (`{unit}`){}", range(unit))
            }
        },
        Kind::Bool => "true or false".into(),
        Kind::Day => "day".into(),
        Kind::Moment => "moment".into(),
        Kind::Words(words) => words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "),
        Kind::List(inner) => match **inner {
            Kind::Record(..) => "tables, see below".into(),
            _ => format!("list: {}", holds(inner, f)),
        },
        Kind::Record(..) => "table, see below".into(),
    }
}

fn readings(out: &mut String) {
    out.push_str(
        "
## Tables of readings

A file with the role `readings` or `chamber` in `runs/<id>/run.toml` names its kind of table. The first row is the header;
columns may stand in any order; the unit is part of the header (`R_Gohm`), and every column below must be there unless it
is marked optional. Nothing is guessed: a token that the dialect does not know is an error with its line and column.

| dialect | separator | decimals |
|---|---|---|
| `plain` | comma | point |
| `semicolon` | semicolon | comma |
| `tab` | tabulator | point |
| `sheet` | cells of a sheet of an `.xlsx` file | numbers as the cell holds them |

Text is UTF-8 without byte-order mark. A cell with a separator or a quote inside stands in quotes, and a quote inside is
doubled. There are no blanks around cells, no thousands separators, no `NaN`, `OL`, `<0.02` or `n.d.`: a reading above the
ceiling has the ceiling as its number and the flag `ceil`, one that was not taken is empty with the flag `noread`, and a
content below detection is empty, with the limit in its own column.

",
    );
    let _ = writeln!(
        out,
        "Flags of a resistance: {}.\n",
        FLAGS.iter().map(|f| format!("`{f}`")).collect::<Vec<_>>().join(", ")
    );
    for t in TABLES {
        kind_of_table(out, t);
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
}

fn kind_of_table(out: &mut String, t: &TableSpec) {
    let _ = writeln!(out, "### `{}`\n\n| column | holds | may be empty | what it is |\n|---|---|---|---|", t.kind);
    for c in t.columns {
        let empty = if c.empty_ok { "yes" } else { "" };
        let optional = if c.required { "" } else { " (optional)" };
        let _ = writeln!(out, "| {}{optional} | {} | {empty} | {} |", headers(c), cell(c), c.doc);
    }
    out.push('\n');
    let code = |names: &[&str]| names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    match t.rising {
        Some(r) if t.series.is_empty() => {
            let _ = writeln!(out, "`{r}` rises from row to row.\n");
        }
        Some(r) => {
            let _ = writeln!(out, "`{r}` rises from row to row for the same {}.\n", code(t.series));
        }
        None => {}
    }
    if !t.unique.is_empty() {
        let _ = writeln!(out, "One row for each {}.\n", code(t.unique));
    }
}

fn headers(c: &ColumnSpec) -> String {
    match c.holds {
        Holds::Number { suffixes, .. } if !suffixes.is_empty() => {
            suffixes.iter().map(|(s, _)| format!("`{}_{s}`", c.name)).collect::<Vec<_>>().join(" ")
        }
        _ => format!("`{}`", c.name),
    }
}

fn cell(c: &ColumnSpec) -> String {
    match c.holds {
        Holds::Text => "text of at most 120 characters".into(),
        Holds::Words(words) => words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "),
        Holds::Unit => "unit".into(),
        Holds::Number { suffixes, low, high } => {
            let unit = suffixes.first().map_or(String::new(), |s| format!(" {}", s.0));
            format!("number, {} to {}{unit}", compact(low), compact(high))
        }
    }
}
