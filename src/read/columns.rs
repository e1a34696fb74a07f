//! Takes a kind of table and its cells, from text or from a spreadsheet; gives a table by column, or every odd token.

use super::header::{header, names};
use super::tokens::{decimal, odd_number, odd_text};
use crate::diag::{At, Diagnostic, FileId, codes};
use crate::model::tables::{Column, ColumnSpec, DataTable, Holds, TableSpec};
use crate::quantity::compact;
use std::collections::BTreeMap;

/// Problems of one file that are listed one by one; the rest is counted.
const LISTED: usize = 20;

/// One cell as the file gives it.
#[derive(Debug, Clone, Copy)]
pub enum Cell<'a> {
    Text(&'a str),
    /// Text from between quotes, in which a quote is written twice.
    Quoted(&'a str),
    /// A number of a spreadsheet, which needs no reading.
    Number(f64),
}

/// Where cells lie: row number given to [`Columns::row`] and index of the cell.
pub type Place<'a> = &'a dyn Fn(usize, usize) -> At;

/// Problems of one table, cut off after [`LISTED`].
#[derive(Debug)]
pub struct Problems {
    pub listed: Vec<Diagnostic>,
    more: usize,
}

impl Problems {
    pub fn new() -> Self {
        Self { listed: Vec::new(), more: 0 }
    }

    fn push(&mut self, make: impl FnOnce() -> Diagnostic) {
        if self.listed.len() < LISTED {
            self.listed.push(make());
        } else {
            self.more += 1;
        }
    }

    /// All problems, the last one saying how many are not listed.
    pub fn finish(mut self, end: At) -> Vec<Diagnostic> {
        if self.more > 0 {
            let text = format!("{} more problems in this table are not listed", self.more);
            self.listed
                .push(Diagnostic::error(codes::TABLE_TOKEN, text, "mend those above first").at(end, "end of file"));
        }
        self.listed
    }

    pub fn is_empty(&self) -> bool {
        self.listed.is_empty()
    }
}

/// A table while it is being read.
pub struct Columns {
    spec: &'static TableSpec,
    comma: bool,
    /// Per cell of the header: index into the columns of the kind, and factor of its unit.
    map: Vec<(usize, f64)>,
    columns: Vec<Option<Column>>,
    dictionary: Vec<String>,
    words: BTreeMap<String, u32>,
    lines: Vec<u32>,
    last: BTreeMap<Vec<u32>, f64>,
    seen: BTreeMap<Vec<u32>, u32>,
    /// Columns that the checks between cells look at, as (column of the kind, cell of the row).
    rising: Option<(usize, usize)>,
    flag: Option<(usize, usize)>,
    reading: Option<(usize, usize)>,
    series: Vec<Option<(usize, usize)>>,
    unique: Vec<Option<(usize, usize)>>,
    key: Vec<u32>,
    /// A number of this row could not be read, so nothing more is said of it.
    odd: bool,
    pub problems: Problems,
}

impl Columns {
    /// Reads the header. None when it is so wrong that cells can't be told apart.
    pub fn start(
        spec: &'static TableSpec,
        comma: bool,
        head: &[&str],
        place: Place<'_>,
        problems: &mut Problems,
    ) -> Option<Self> {
        let mut map = Vec::new();
        let mut columns: Vec<Option<Column>> = spec.columns.iter().map(|_| None).collect();
        let mut sound = true;
        let mut meant = Vec::new();
        for (i, cell) in head.iter().enumerate() {
            match header(spec, cell) {
                Ok((c, factor)) if columns[c].is_none() => {
                    columns[c] = Some(match spec.columns[c].holds {
                        Holds::Number { .. } => Column::Number(Vec::new()),
                        _ => Column::Text(Vec::new()),
                    });
                    map.push((c, factor));
                }
                Ok((c, _)) => {
                    sound = false;
                    let text = format!("the column {} stands twice in the header", spec.columns[c].name);
                    problems.push(|| {
                        Diagnostic::error(codes::TABLE_HEADER, text, "remove one of the two").at(place(0, i), "again")
                    });
                }
                Err((text, hint, near)) => {
                    sound = false;
                    meant.extend(near);
                    problems
                        .push(|| Diagnostic::error(codes::TABLE_HEADER, text, hint).at(place(0, i), "in the header"));
                }
            }
        }
        for (i, c) in spec.columns.iter().enumerate() {
            if !c.required || columns[i].is_some() || meant.contains(&i) {
                continue;
            }
            sound = false;
            problems.push(|| {
                Diagnostic::error(
                    codes::TABLE_HEADER,
                    format!("a table of kind {} lacks the column {}", spec.kind, names(c)),
                    format!("add the column; it holds: {}", c.doc),
                )
                .at(place(0, 0), "header")
            });
        }
        let cells = map.clone();
        let find = |name: &str| {
            let c = spec.columns.iter().position(|c| c.name == name)?;
            Some((c, cells.iter().position(|m: &(usize, f64)| m.0 == c)?))
        };
        sound.then(|| Self {
            spec,
            comma,
            rising: spec.rising.and_then(find),
            flag: find("flag"),
            reading: find("R"),
            series: spec.series.iter().map(|n| find(n)).collect(),
            unique: spec.unique.iter().map(|n| find(n)).collect(),
            key: Vec::new(),
            odd: false,
            map,
            columns,
            dictionary: Vec::new(),
            words: BTreeMap::new(),
            lines: Vec::new(),
            last: BTreeMap::new(),
            seen: BTreeMap::new(),
            problems: Problems::new(),
        })
    }

    /// Reads one row. `row` is passed on to `place`; `line` is kept for citing.
    pub fn row(&mut self, row: usize, line: u32, cells: &[Cell<'_>], place: Place<'_>) {
        if cells.len() != self.map.len() {
            let (have, want) = (cells.len(), self.map.len());
            self.problems.push(|| {
                let (text, hint) = match cells {
                    [Cell::Text("")] => ("the row is empty".to_string(), "remove the empty line"),
                    _ if have > want => (
                        format!("the row has {have} cells and the header {want}"),
                        "remove the odd cell; a comma inside a number makes two cells",
                    ),
                    _ => (
                        format!("the row ends after cell {have} of {want}"),
                        "write every cell; an unknown one stays empty between its separators",
                    ),
                };
                Diagnostic::error(codes::ROW_LENGTH, text, hint)
                    .at(place(row, have.min(want).min(have.saturating_sub(1))), "here the row departs")
            });
            return;
        }
        self.lines.push(line);
        self.odd = false;
        for (i, cell) in cells.iter().enumerate() {
            let (c, factor) = self.map[i];
            let spec = &self.spec.columns[c];
            if let Holds::Number { low, high, suffixes } = spec.holds {
                let value = self.number(spec, *cell, factor, low, high, suffixes, row, i, place);
                if let Some(Column::Number(v)) = &mut self.columns[c] {
                    v.push(value);
                }
            } else {
                let word = match *cell {
                    Cell::Text(t) => {
                        self.check_text(spec, t, row, i, place);
                        self.word(t)
                    }
                    Cell::Quoted(t) => {
                        let t = t.replace("\"\"", "\"");
                        self.check_text(spec, &t, row, i, place);
                        self.word(&t)
                    }
                    Cell::Number(n) => self.word(&format!("{n}")),
                };
                if let Some(Column::Text(v)) = &mut self.columns[c] {
                    v.push(word);
                }
            }
        }
        self.flag(row, place);
        self.order(row, line, place);
    }

    fn word(&mut self, t: &str) -> u32 {
        if let Some(&i) = self.words.get(t) {
            return i;
        }
        let i = self.dictionary.len() as u32;
        self.dictionary.push(t.to_string());
        self.words.insert(t.to_string(), i);
        i
    }

    #[allow(clippy::too_many_arguments, reason = "one cell with everything that is known of it")]
    fn number(
        &mut self,
        spec: &ColumnSpec,
        cell: Cell<'_>,
        factor: f64,
        low: f64,
        high: f64,
        suffixes: &[(&str, f64)],
        row: usize,
        i: usize,
        place: Place<'_>,
    ) -> f64 {
        let (read, token) = match cell {
            Cell::Number(n) => (Some(n), ""),
            Cell::Text("") if spec.empty_ok => return f64::NAN,
            Cell::Text(t) | Cell::Quoted(t) => (decimal(t, self.comma), t),
        };
        let Some(n) = read.filter(|n| n.is_finite()) else {
            let comma = self.comma;
            self.odd = true;
            self.problems.push(|| odd_number(spec, token, comma).at(place(row, i), "not a number of this dialect"));
            return f64::NAN;
        };
        let value = n * factor;
        if value < low || value > high {
            self.odd = true;
            self.problems.push(|| {
                let unit = suffixes.first().map_or("", |s| s.0);
                Diagnostic::error(
                    codes::OUT_OF_RANGE,
                    format!(
                        "{} is {} {unit}, outside {} to {}",
                        spec.name,
                        compact(value),
                        compact(low),
                        compact(high)
                    )
                    .replace(" ,", ","),
                    "check the value, and the unit in the header",
                )
                .at(place(row, i), "not plausible")
            });
            return f64::NAN;
        }
        value
    }

    fn check_text(&mut self, spec: &ColumnSpec, t: &str, row: usize, i: usize, place: Place<'_>) {
        if let Some((text, hint)) = odd_text(spec, t) {
            self.problems.push(|| Diagnostic::error(codes::TABLE_TOKEN, text, hint).at(place(row, i), "this token"));
        }
    }

    fn last_word(&self, c: usize) -> Option<u32> {
        match &self.columns[c] {
            Some(Column::Text(v)) => v.last().copied(),
            _ => None,
        }
    }

    fn last_number(&self, c: usize) -> Option<f64> {
        match &self.columns[c] {
            Some(Column::Number(v)) => v.last().copied(),
            _ => None,
        }
    }

    /// A reading that was read has a number; one that was not has none.
    fn flag(&mut self, row: usize, place: Place<'_>) {
        let (Some((f, fi)), Some((r, ri))) = (self.flag, self.reading) else { return };
        if self.odd {
            return;
        }
        let (Some(word), Some(value)) = (self.last_word(f), self.last_number(r)) else { return };
        let flag = self.dictionary[word as usize].clone();
        match flag.as_str() {
            "ok" | "ceil" if value.is_nan() => self.problems.push(|| {
                Diagnostic::error(
                    codes::TABLE_TOKEN,
                    format!("R is empty and the flag is {flag}"),
                    "write the resistance (the ceiling for `ceil`), or the flag `noread`",
                )
                .at(place(row, ri), "empty")
            }),
            "noread" if !value.is_nan() => self.problems.push(|| {
                Diagnostic::error(
                    codes::TABLE_TOKEN,
                    "the flag is noread and R has a value",
                    "leave R empty, or correct the flag",
                )
                .at(place(row, fi), "noread")
                .at(place(row, ri), "a value")
            }),
            _ => {}
        }
    }

    /// Time rises within a series; key columns do not repeat.
    fn order(&mut self, row: usize, line: u32, place: Place<'_>) {
        if let Some((c, i)) = self.rising
            && let Some(t) = self.last_number(c).filter(|t| !t.is_nan())
        {
            self.fill_key(false);
            match self.last.get_mut(&self.key) {
                Some(before) => {
                    let earlier = std::mem::replace(before, t);
                    if t <= earlier {
                        let series = self.name_key();
                        let rising = self.spec.columns[c].name;
                        self.problems.push(|| {
                            Diagnostic::error(
                                codes::TABLE_ORDER,
                                format!("{rising} does not rise{series}: {t} after {earlier}"),
                                "sort the rows by time and remove a sample that stands twice",
                            )
                            .at(place(row, i), "not later")
                        });
                    }
                }
                None => {
                    self.last.insert(self.key.clone(), t);
                }
            }
        }
        if !self.unique.is_empty() && !self.odd {
            self.fill_key(true);
            match self.seen.get(&self.key) {
                Some(&first) => {
                    let series = self.name_key();
                    let unique = self.spec.unique;
                    self.problems.push(|| {
                        Diagnostic::error(
                            codes::TABLE_ORDER,
                            format!("the row stands twice{series}; the first is line {first}"),
                            format!("keep one row for each {}", unique.join(", ")),
                        )
                        .at(place(row, 0), "again")
                    });
                }
                None => {
                    self.seen.insert(self.key.clone(), line);
                }
            }
        }
    }

    fn fill_key(&mut self, unique: bool) {
        let mut key = std::mem::take(&mut self.key);
        key.clear();
        let columns = if unique { &self.unique } else { &self.series };
        let word = |c: &Option<(usize, usize)>| c.and_then(|(c, _)| self.last_word(c)).unwrap_or(u32::MAX);
        key.extend(columns.iter().map(word));
        self.key = key;
    }

    fn name_key(&self) -> String {
        let parts: Vec<&str> =
            self.key.iter().filter_map(|&i| self.dictionary.get(i as usize)).map(String::as_str).collect();
        if parts.is_empty() { String::new() } else { format!(" for {}", parts.join(", ")) }
    }

    /// The finished table; none when it has problems.
    pub fn finish(self, file: FileId) -> Result<DataTable, Problems> {
        if !self.problems.is_empty() {
            return Err(self.problems);
        }
        Ok(DataTable { file, spec: self.spec, dictionary: self.dictionary, columns: self.columns, lines: self.lines })
    }
}
