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

    /// Bytes of a line, without its line break.
    fn span(&self, line: u32) -> (usize, usize) {
        let from = self.starts.get(line as usize - 1).copied().unwrap_or(self.text.len());
        let to = self.starts.get(line as usize).map_or(self.text.len(), |next| next - 1);
        (from, to.max(from))
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
    let mut text = source.to_string();
    let mut told: Vec<u32> = Vec::new();
    // The parser gives up values behind a broken key, and one open list breaks all lines behind it. So only the first
    // error counts; its line is blanked and the file read again. Offsets stay what they are.
    loop {
        let (root, errors) = DeTable::parse_recoverable(&text);
        let places = errors.iter().map(|e| (lines.at(e.span().unwrap_or(0..0)), e.message()));
        let first = places.filter(|(at, m)| told.is_empty() || stands_alone(&lines, *at, m)).min_by_key(|x| x.0);
        let open_list = first.is_some_and(|f| is_list(f.1));
        match first {
            Some((at, message)) if told.len() < ROUNDS && !told.contains(&at.line) => {
                told.push(at.line);
                let list = open_list.then(|| opening(&lines, at.line)).flatten();
                let (at, message, (label, hint)) = match list {
                    Some(open) => (open, "the list is not closed", ("begins here", "close the list with ]")),
                    None => (at, message, advice(message)),
                };
                log.push(
                    Diagnostic::error(codes::TOML_SYNTAX, format!("this is not valid TOML: {message}"), hint)
                        .at(at, label),
                );
                // Of an open list, the line that it swallowed stays.
                let last = told.last().copied().unwrap_or(at.line);
                for line in at.line..=if list.is_some() { last - 1 } else { last } {
                    let (from, to) = lines.span(line);
                    text.replace_range(from..to, &" ".repeat(to - from));
                }
            }
            _ => return (convert(root.get_ref(), &lines, lines.at(0..0)), told.is_empty()),
        }
    }
}

/// Syntax errors that are reported of one file.
const ROUNDS: usize = 20;

/// The list that is still open before a line which begins a new key or table.
fn opening(lines: &Lines<'_>, line: u32) -> Option<At> {
    if !begins(lines, line) {
        return None;
    }
    for before in (1..line).rev() {
        if begins(lines, before) {
            let (from, to) = lines.span(before);
            let text = &lines.text[from..to];
            let open = from + text.find('[')?;
            return (text.contains('=') && !text.contains(']')).then(|| lines.at(open..to));
        }
    }
    None
}

/// Whether a line begins with a key or a header.
fn begins(lines: &Lines<'_>, line: u32) -> bool {
    let (from, to) = lines.span(line);
    let text = lines.text[from..to].trim_start();
    let word = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'.');
    text.starts_with('[')
        || text.split_once('=').is_some_and(|(k, _)| !k.trim().is_empty() && k.trim().bytes().all(word))
}

fn is_list(message: &str) -> bool {
    message.contains("array") && !message.contains("table")
}

/// Whether an error that shows up after other lines were blanked stands on its own: on a line with a key or a header,
/// and not one that the blanking itself has made.
fn stands_alone(lines: &Lines<'_>, at: At, message: &str) -> bool {
    begins(lines, at.line) && !message.contains("duplicate")
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
    } else if message.contains("key") {
        ("here", "write one `key = value` a line: a key of letters, digits and _, an equals sign, a value")
    } else if message.contains("must be quoted") {
        ("not in quotes", "put quotes around it: text, and quantities with their units, stand in quotes")
    } else if is_list(message) {
        ("here", "put commas between the elements of a list, and close it with ]")
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
