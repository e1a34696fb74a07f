//! Takes the bytes of a machine's log and its dialect; gives its columns as numbers, gaps and overloads.

/// One cell of a log.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell {
    Number(f64),
    /// Empty, or written as none: NaN, NA, -.
    Missing,
    /// The instrument was at its upper end: OVL, OL, OVERLOAD, >.
    Over,
}

/// A log of numbers: names of the columns, then one list of cells per column.
#[derive(Debug)]
pub struct Table<'a> {
    names: Vec<&'a str>,
    rows: Vec<Vec<&'a str>>,
    /// Cells may use a decimal comma.
    comma: bool,
}

impl<'a> Table<'a> {
    /// Splits a log. Cells are separated by semicolons, tabs or commas, whichever the header line has first in this
    /// order; with semicolons or tabs a decimal comma is read. A mark at the start of the file and either line end pass.
    ///
    /// # Errors
    /// In words: not UTF-8, a quoted cell, no header, no rows, a row of another length, a name twice.
    pub fn read(bytes: &'a [u8]) -> Result<Self, String> {
        let text = std::str::from_utf8(bytes).map_err(|_| "the log is not UTF-8 text")?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut lines = text.lines().map(|l| l.trim_end_matches('\r')).enumerate().filter(|l| !l.1.trim().is_empty());
        let (_, header) = lines.next().ok_or("the log is empty")?;
        let separator = [';', '\t', ','].into_iter().find(|s| header.contains(*s)).unwrap_or(',');
        let split = |line: &'a str| line.split(separator).map(str::trim).collect::<Vec<_>>();
        if header.contains('"') {
            return Err("the log has quoted names; write them without quotes".into());
        }
        let names = split(header);
        if let Some(n) = names.iter().enumerate().find(|(i, n)| names[..*i].contains(n)) {
            return Err(format!("two columns of the log are called {}", n.1));
        }
        let mut rows = Vec::new();
        for (i, line) in lines {
            if line.contains('"') {
                return Err(format!("line {} of the log has a quoted cell; write numbers without quotes", i + 1));
            }
            let cells = split(line);
            if cells.len() != names.len() {
                return Err(format!("line {} of the log has {} cells, the header {}", i + 1, cells.len(), names.len()));
            }
            rows.push(cells);
        }
        if rows.is_empty() {
            return Err("the log has no rows".into());
        }
        Ok(Self { names, rows, comma: separator != ',' })
    }

    /// Names of the columns, in order.
    pub fn names(&self) -> &[&'a str] {
        &self.names
    }

    /// Column of a name that `wanted` accepts.
    pub fn find(&self, wanted: impl Fn(&str) -> bool) -> Option<usize> {
        self.names.iter().position(|n| wanted(n))
    }

    /// Cells of a column.
    ///
    /// # Errors
    /// A cell that is neither number, gap nor overload.
    pub fn cells(&self, column: usize) -> Result<Vec<Cell>, String> {
        let one = |(i, row): (usize, &Vec<&str>)| {
            let text = row[column];
            cell(text, self.comma)
                .ok_or_else(|| format!("row {} of column {}: {text:?} is not a number", i + 1, self.names[column]))
        };
        self.rows.iter().enumerate().map(one).collect()
    }

    /// Numbers of a column that has no gaps.
    ///
    /// # Errors
    /// A gap or an overload, or a cell that is no number.
    pub fn numbers(&self, column: usize) -> Result<Vec<f64>, String> {
        let one = |(i, c): (usize, Cell)| match c {
            Cell::Number(x) => Ok(x),
            _ => Err(format!("row {} of column {} has no number", i + 1, self.names[column])),
        };
        self.cells(column)?.into_iter().enumerate().map(one).collect()
    }

    /// Times of the log, which must rise from row to row.
    ///
    /// # Errors
    /// No number somewhere, or a time that is not later than the one before.
    pub fn times(&self, column: usize) -> Result<Vec<f64>, String> {
        let t = self.numbers(column)?;
        match t.windows(2).position(|w| w[1] <= w[0]) {
            Some(i) => Err(format!("time goes from {} to {} at row {}; it must rise", t[i], t[i + 1], i + 2)),
            None => Ok(t),
        }
    }
}

/// A cell; none when it is no number.
fn cell(text: &str, comma: bool) -> Option<Cell> {
    let upper = text.to_ascii_uppercase();
    match upper.as_str() {
        "" | "NAN" | "NA" | "N/A" | "-" | "--" => return Some(Cell::Missing),
        "OVL" | "OL" | "OVERLOAD" | "OVERFLOW" | "INF" | "+INF" => return Some(Cell::Over),
        _ if upper.starts_with('>') => return Some(Cell::Over),
        _ => {}
    }
    let written = if comma && upper.contains(',') {
        // A thousands mark beside a decimal comma has no one reading.
        if upper.contains('.') || upper.matches(',').count() > 1 {
            return None;
        }
        upper.replace(',', ".")
    } else {
        upper
    };
    let digits = written.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'E'));
    written.parse().ok().filter(|x: &f64| digits && x.is_finite()).map(Cell::Number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_dialects_give_the_same_numbers() {
        let iso = Table::read(b"t,R\n0.5,1.5E+9\n1.0,\n").expect("a log");
        let euro = Table::read("\u{feff}t;R\r\n0,5;1,5E+9\r\n1,0;NaN\r\n".as_bytes()).expect("a log");
        for log in [iso, euro] {
            assert_eq!(log.times(0), Ok(vec![0.5, 1.0]));
            assert_eq!(log.cells(1), Ok(vec![Cell::Number(1.5e9), Cell::Missing]));
        }
    }

    #[test]
    fn what_has_no_one_reading_is_refused() {
        let fails = |text: &str| Table::read(text.as_bytes()).map(|_| ()).unwrap_err();
        assert!(fails("t,R\n\"1,5\",2\n").contains("quoted"));
        assert!(fails("t,R\n1\n").contains("1 cells"));
        assert!(fails("t,t\n1,2\n").contains("two columns"));
        assert!(fails("t,R\n").contains("no rows") && fails("").contains("empty"));
        assert!(Table::read(b"\xff\xfe").is_err());
        let log = Table::read(b"t;R\n2;1.234,5\n1;OVL\n").expect("a log");
        assert!(log.cells(1).unwrap_err().contains("not a number") && log.times(0).unwrap_err().contains("must rise"));
        assert_eq!(cell("0x10", false), None);
        assert_eq!(cell(">1E12", false), Some(Cell::Over));
    }
}
