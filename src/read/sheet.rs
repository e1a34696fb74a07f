//! Takes a spreadsheet; gives one of its sheets as a table of readings, by the same rules as text.

use super::columns::{Cell, Columns, Problems};
use crate::diag::{At, Diagnostic, FileId, codes, nearest};
use crate::model::tables::{DataTable, TableSpec};
use calamine::{Data, Reader, Xlsx};
use std::io::Cursor;

/// Reads one sheet; the first one when `name` is none. A place is the row and column of the sheet.
///
/// # Errors
/// Every problem, at most twenty one by one.
pub fn read(
    file: FileId,
    bytes: &[u8],
    spec: &'static TableSpec,
    name: Option<&str>,
) -> Result<DataTable, Vec<Diagnostic>> {
    let at = |row: usize, column: usize| At { file, start: 0, end: 0, line: row as u32 + 1, column: column as u32 + 1 };
    let refuse = |text: String, hint: &str| vec![Diagnostic::error(codes::XLSX, text, hint).at(at(0, 0), "this file")];
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes))
        .map_err(|e| refuse(format!("the spreadsheet cannot be read: {e}"), "save it again as .xlsx, or as CSV"))?;
    let sheets = book.sheet_names();
    let sheet = match name {
        Some(n) if sheets.iter().any(|s| s == n) => n.to_string(),
        Some(n) => {
            let hint = match nearest(n, sheets.iter().map(String::as_str)) {
                Some(near) => format!("did you mean the sheet \"{near}\"?"),
                None => format!("it has the sheets: {}", sheets.join(", ")),
            };
            return Err(refuse(format!("the spreadsheet has no sheet \"{}\"", n.escape_debug()), &hint));
        }
        None => match sheets.first() {
            Some(s) => s.clone(),
            None => return Err(refuse("the spreadsheet has no sheet".into(), "save it again as .xlsx, or as CSV")),
        },
    };
    let range = book.worksheet_range(&sheet).map_err(|e| {
        refuse(format!("the sheet \"{sheet}\" cannot be read: {e}"), "save it again as .xlsx, or as CSV")
    })?;
    let (top, left) = range.start().map_or((0, 0), |s| (s.0 as usize, s.1 as usize));
    let place = |row: usize, i: usize| at(row, left + i);
    let mut rows = range.rows().enumerate().map(|(n, r)| (top + n, r));
    let Some((head_row, head)) = rows.next() else {
        return Err(refuse(format!("the sheet \"{sheet}\" is empty"), "write the header and the rows"));
    };
    let mut problems = Problems::new();
    let head: Vec<String> = head.iter().map(|c| c.to_string()).collect();
    let head: Vec<&str> = head.iter().map(String::as_str).collect();
    let Some(mut columns) = Columns::start(spec, false, &head, &|_, i| place(head_row, i), &mut problems) else {
        return Err(problems.finish(at(head_row, 0)));
    };
    let mut broken = Vec::new();
    let mut last = head_row;
    for (row, data) in rows {
        last = row;
        let mut cells = Vec::with_capacity(data.len());
        for (i, d) in data.iter().enumerate() {
            cells.push(match d {
                Data::Empty => Cell::Text(""),
                Data::String(s) => Cell::Text(s),
                Data::Float(f) => Cell::Number(*f),
                Data::Int(n) => Cell::Number(*n as f64),
                other => {
                    let what = match other {
                        Data::Error(e) => format!("the error {e}"),
                        Data::Bool(b) => format!("the truth value {b}"),
                        _ => "a date or a duration".to_string(),
                    };
                    broken.push(
                        Diagnostic::error(
                            codes::XLSX,
                            format!("the cell holds {what}"),
                            "write a number or a text into the cell",
                        )
                        .at(place(row, i), "this cell"),
                    );
                    Cell::Text("")
                }
            });
        }
        columns.row(row, row as u32 + 1, &cells, &place);
    }
    if !broken.is_empty() {
        broken.truncate(20);
        return Err(broken);
    }
    columns.finish(file).map_err(|p| p.finish(at(last, 0)))
}
