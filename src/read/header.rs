//! Takes a cell of the header of a table; gives its column and unit, or the column that was probably meant.

use crate::diag::nearest;
use crate::model::tables::{ColumnSpec, Holds, TableSpec};

/// The header that a column may have, for people.
pub fn names(c: &ColumnSpec) -> String {
    match c.holds {
        Holds::Number { suffixes, .. } if !suffixes.is_empty() => {
            suffixes.iter().map(|(s, _)| format!("{}_{s}", c.name)).collect::<Vec<_>>().join(" or ")
        }
        _ => c.name.to_string(),
    }
}

/// What is wrong with a header cell, what to do, and the column that was probably meant.
pub type OddHeader = (String, String, Option<usize>);

/// Finds the column of a header cell and the factor of its unit.
pub fn header(spec: &TableSpec, cell: &str) -> Result<(usize, f64), OddHeader> {
    for (i, c) in spec.columns.iter().enumerate() {
        match c.holds {
            Holds::Number { suffixes, .. } if !suffixes.is_empty() => {
                if let Some((_, factor)) = cell
                    .strip_prefix(c.name)
                    .and_then(|r| r.strip_prefix('_'))
                    .and_then(|unit| suffixes.iter().find(|s| s.0 == unit))
                {
                    return Ok((i, *factor));
                }
            }
            _ if cell == c.name => return Ok((i, 1.0)),
            _ => {}
        }
    }
    let shown = cell.escape_debug();
    let with_unit = |c: &ColumnSpec| matches!(c.holds, Holds::Number { suffixes, .. } if !suffixes.is_empty());
    let stem = |c: &ColumnSpec| cell == c.name || cell.strip_prefix(c.name).is_some_and(|r| r.starts_with('_'));
    if let Some(i) = spec.columns.iter().position(|c| with_unit(c) && stem(c)) {
        let c = &spec.columns[i];
        let text = if cell == c.name {
            format!("the column {shown} has no unit")
        } else {
            format!("the column {} does not know the unit of \"{shown}\"", c.name)
        };
        return Err((text, format!("write {}", names(c)), Some(i)));
    }
    let all: Vec<String> = spec.columns.iter().map(names).collect();
    let each: Vec<(usize, &str)> =
        all.iter().enumerate().flat_map(|(i, n)| n.split(" or ").map(move |x| (i, x))).collect();
    let near = nearest(cell, each.iter().map(|e| e.1));
    let meant = each.iter().find(|e| Some(e.1) == near).map(|e| e.0);
    let hint = match near {
        Some(n) => format!("did you mean `{n}`?"),
        None => {
            let known: Vec<&str> = each.iter().map(|e| e.1).collect();
            format!("columns of kind {}: {}", spec.kind, known.join(", "))
        }
    };
    Err((format!("a table of kind {} has no column \"{shown}\"", spec.kind), hint, meant))
}
