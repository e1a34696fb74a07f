//! Takes the bytes of a TOML file; gives raw tables with the place of every key and value, and all syntax errors.

use crate::diag::{At, Diagnostic, FileId, Log, codes};
use crate::model::raw::{Key, Node, Raw, Table};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

/// Line starts of one text, so that a place costs a search and no walk.
pub struct Lines<'a> {
    file: FileId,
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    pub fn new(file: FileId, text: &'a str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Self { file, text, starts: std::iter::once(0).chain(breaks).collect() }
    }

    /// The place of a stretch of bytes; offsets beyond the end, or inside a character, are drawn in.
    pub fn at(&self, span: Range<usize>) -> At {
        let mut start = span.start.min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let mut end = span.end.clamp(start, self.text.len());
        while !self.text.is_char_boundary(end) {
            end += 1;
        }
        let line = self.starts.partition_point(|&s| s <= start);
        let column = self.text[self.starts[line - 1]..start].chars().count() + 1;
        At { file: self.file, start: start as u32, end: end as u32, line: line as u32, column: column as u32 }
    }
}

/// Checks that bytes are UTF-8 without a byte-order mark.
pub fn text<'a>(file: FileId, bytes: &'a [u8], log: &mut Log) -> Option<&'a str> {
    let top = At { file, start: 0, end: 0, line: 1, column: 1 };
    let mark = [&b"\xEF\xBB\xBF"[..], b"\xFF\xFE", b"\xFE\xFF"].into_iter().find(|m| bytes.starts_with(m));
    if let Some(m) = mark {
        let hint = if m.len() == 3 {
            "save it as UTF-8 without byte-order mark"
        } else {
            "it looks like UTF-16: save it as UTF-8 without byte-order mark"
        };
        log.push(
            Diagnostic::error(codes::BAD_ENCODING, "the file begins with a byte-order mark", hint)
                .at(top, "before the first character"),
        );
        return None;
    }
    match std::str::from_utf8(bytes) {
        Ok(t) => Some(t),
        Err(e) => {
            let good = std::str::from_utf8(&bytes[..e.valid_up_to()]).unwrap_or_default();
            let mut at = Lines::new(file, good).at(good.len()..good.len());
            at.end = (at.start + e.error_len().unwrap_or(1) as u32).min(bytes.len() as u32);
            log.push(
                Diagnostic::error(
                    codes::BAD_ENCODING,
                    format!("the file is not UTF-8 text: byte 0x{:02X}", bytes[e.valid_up_to()]),
                    "save it as UTF-8",
                )
                .at(at, "not a character"),
            );
            None
        }
    }
}

/// Reads a file. The second value is false when it has syntax errors; the table then holds what could be saved.
pub fn parse(file: FileId, source: &str, log: &mut Log) -> (Table, bool) {
    let lines = Lines::new(file, source);
    let (root, errors) = DeTable::parse_recoverable(source);
    let mut told = Vec::new();
    for e in &errors {
        let span = e.span().unwrap_or(0..0);
        let at = lines.at(span);
        // One mistake often breaks the rest of its line as well; the first report is the true one.
        if told.contains(&at.line) {
            continue;
        }
        told.push(at.line);
        let (label, hint) = advice(e.message());
        log.push(
            Diagnostic::error(codes::TOML_SYNTAX, format!("this is not valid TOML: {}", e.message()), hint)
                .at(at, label),
        );
    }
    let mut table = convert(root.get_ref(), &lines, At { end: 0, ..lines.at(0..0) });
    table.at = lines.at(0..0);
    (table, errors.is_empty())
}

/// Reads one value, as `--set` gives it; none when the text is no TOML value.
pub fn value(source: &str, at: At) -> Option<Raw> {
    let value = DeValue::parse(source).ok()?;
    let lines = Lines::new(at.file, source);
    let mut raw = node(&value, &lines).raw;
    move_to(&mut raw, at);
    Some(raw)
}

fn move_to(raw: &mut Raw, at: At) {
    match raw {
        Raw::List(items) => {
            for n in items {
                n.at = at;
                move_to(&mut n.raw, at);
            }
        }
        Raw::Table(t) => {
            t.at = at;
            for (k, n) in &mut t.entries {
                k.at = at;
                n.at = at;
                move_to(&mut n.raw, at);
            }
        }
        _ => {}
    }
}

fn convert(table: &DeTable<'_>, lines: &Lines<'_>, at: At) -> Table {
    let mut entries: Vec<(Key, Node)> = table
        .iter()
        .map(|(k, v)| {
            let key = Key { name: k.get_ref().to_string(), at: lines.at(k.span()) };
            let mut n = node(v, lines);
            if n.at.start == n.at.end && !matches!(n.raw, Raw::Text(_)) {
                // A table that only its children imply has no place of its own.
                n.at = key.at;
                if let Raw::Table(t) = &mut n.raw {
                    t.at = key.at;
                }
            }
            (key, n)
        })
        .collect();
    entries.sort_by_key(|(k, n)| (k.at.start, n.at.start));
    Table { at, entries }
}

fn list(items: &DeArray<'_>, lines: &Lines<'_>) -> Raw {
    Raw::List(items.iter().map(|v| node(v, lines)).collect())
}

fn node(v: &Spanned<DeValue<'_>>, lines: &Lines<'_>) -> Node {
    let span = v.span();
    let at = lines.at(span.clone());
    let written = || lines.text.get(span.clone()).unwrap_or_default().to_string();
    let raw = match v.get_ref() {
        DeValue::String(s) => Raw::Text(s.to_string()),
        DeValue::Integer(i) => {
            let number = i128::from_str_radix(i.as_str(), i.radix()).map_or(f64::NAN, |n| n as f64);
            Raw::Number(number, written())
        }
        DeValue::Float(f) => Raw::Number(f.as_str().parse().unwrap_or(f64::NAN), written()),
        DeValue::Boolean(b) => Raw::Bool(*b),
        DeValue::Datetime(_) => Raw::Date(written()),
        DeValue::Array(items) => list(items, lines),
        DeValue::Table(t) => Raw::Table(convert(t, lines, at)),
    };
    Node { at, raw }
}

/// What to mark and what to do about a syntax error, in the words of someone who has a text editor.
fn advice(message: &str) -> (&'static str, &'static str) {
    if message.contains("duplicate key") {
        ("written before", "keep one of the two")
    } else if message.contains("string") || message.contains("quote") {
        ("here", "put text between two quotes, and write a quote inside it as \\\"")
    } else if message.contains("value") || message.contains("literal") {
        ("here", "write a value: text and quantities in quotes, numbers, true or false, dates, or a [list]")
    } else if message.contains("table") || message.contains("header") || message.contains("]") {
        ("here", "a table header stands alone on its line, as [name] or [[name]]")
    } else {
        ("here", "write one `key = value` a line; text and quantities stand in quotes")
    }
}
