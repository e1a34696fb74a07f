//! Takes the bytes of a table of readings and its dialect; gives its columns, or every odd token with its place.
//!
//! RFC 4180 cells with one delimiter. The scanner is our own because it must know the bytes of every cell, and
//! because a reader of laboratory files may forgive nothing.

use super::columns::{Cell, Columns, Problems};
use super::toml::{Lines, text};
use crate::diag::{At, Diagnostic, FileId, Log, codes};
use crate::model::evidence::Dialect;
use crate::model::tables::{DataTable, TableSpec};

/// Reads a table of text.
///
/// # Errors
/// Every problem, at most twenty one by one.
pub fn read(
    file: FileId,
    bytes: &[u8],
    spec: &'static TableSpec,
    dialect: Dialect,
) -> Result<DataTable, Vec<Diagnostic>> {
    let mut log = Log::default();
    let Some(source) = text(file, bytes, &mut log) else {
        return Err(log.items);
    };
    let lines = Lines::new(file, source);
    let delimiter = match dialect {
        Dialect::Semicolon => b';',
        Dialect::Tab => b'\t',
        Dialect::Plain | Dialect::Sheet => b',',
    };
    let end = lines.at(source.len()..source.len());
    let mut scan = Scan { bytes: source.as_bytes(), at: 0, line: 1, delimiter };
    let mut spans: Vec<Span> = Vec::new();
    if !scan.row(&mut spans) {
        return Err(vec![
            Diagnostic::error(codes::TABLE_HEADER, "the table is empty", "write the header and the rows")
                .at(end, "no header"),
        ]);
    }
    let mut problems = Problems::new();
    let head: Vec<&str> = spans.iter().map(|s| s.inner(source)).collect();
    if dialect == Dialect::Plain && head.len() == 1 && head[0].contains(';') {
        let what = "the cells are parted by semicolons, and the file is declared as plain";
        let hint = "write dialect = \"semicolon\" at this file in run.toml; decimal commas are read then too";
        let at = place(&lines, &spans, 0);
        return Err(vec![Diagnostic::error(codes::TABLE_HEADER, what, hint).at(at, "semicolons")]);
    }
    let head_spans = spans.clone();
    let place_head = |_: usize, i: usize| place(&lines, &head_spans, i);
    let Some(mut columns) = Columns::start(spec, dialect == Dialect::Semicolon, &head, &place_head, &mut problems)
    else {
        return Err(problems.finish(end));
    };
    let mut cells: Vec<Cell<'_>> = Vec::new();
    loop {
        let line = scan.line;
        if !scan.row(&mut spans) {
            break;
        }
        cells.clear();
        cells.extend(spans.iter().map(|s| {
            let t = s.inner(source);
            if s.quoted && t.contains('"') { Cell::Quoted(t) } else { Cell::Text(t) }
        }));
        columns.row(0, line, &cells, &|_, i| place(&lines, &spans, i));
    }
    columns.finish(file).map_err(|p| p.finish(end))
}

fn place(lines: &Lines<'_>, spans: &[Span], i: usize) -> At {
    match spans.get(i).or(spans.last()) {
        Some(s) => lines.at(s.start..s.end),
        None => lines.at(0..0),
    }
}

/// Bytes of one cell, quotes included.
#[derive(Debug, Clone, Copy)]
struct Span {
    start: usize,
    end: usize,
    quoted: bool,
}

impl Span {
    /// The cell without the quotes around it.
    fn inner<'a>(&self, source: &'a str) -> &'a str {
        let raw = source.get(self.start..self.end).unwrap_or_default();
        if !self.quoted {
            return raw;
        }
        let inner = raw.strip_prefix('"').unwrap_or(raw);
        inner.strip_suffix('"').unwrap_or(inner)
    }
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
    delimiter: u8,
}

impl Scan<'_> {
    /// The cells of the next row; false at the end of the file.
    fn row(&mut self, spans: &mut Vec<Span>) -> bool {
        spans.clear();
        if self.at >= self.bytes.len() {
            return false;
        }
        loop {
            let start = self.at;
            let quoted = self.bytes.get(start) == Some(&b'"');
            if quoted {
                self.at += 1;
                while let Some(&b) = self.bytes.get(self.at) {
                    self.at += 1;
                    if b == b'\n' {
                        self.line += 1;
                    }
                    if b == b'"' {
                        if self.bytes.get(self.at) != Some(&b'"') {
                            break;
                        }
                        self.at += 1;
                    }
                }
            }
            while let Some(&b) = self.bytes.get(self.at) {
                if b == self.delimiter || b == b'\n' {
                    break;
                }
                self.at += 1;
            }
            let mut end = self.at;
            let stop = self.bytes.get(self.at).copied();
            self.at += 1;
            if stop != Some(self.delimiter) && end > start && self.bytes[end - 1] == b'\r' {
                end -= 1;
            }
            spans.push(Span { start, end, quoted });
            if stop == Some(self.delimiter) {
                continue;
            }
            if stop == Some(b'\n') {
                self.line += 1;
            }
            return true;
        }
    }
}
