//! What tables of readings look like: one entry per kind of table, with columns, units and tokens.

use crate::diag::{At, FileId};

/// What a column holds.
#[derive(Debug, Clone, Copy)]
pub enum Holds {
    /// Text of at most 120 characters.
    Text,
    /// One of these words.
    Words(&'static [&'static str]),
    /// A number. The header is `name_suffix`; each suffix has the factor to the first one's unit.
    /// A column without suffixes is a plain number.
    Number { suffixes: &'static [(&'static str, f64)], low: f64, high: f64 },
    /// A unit written in the cell.
    Unit,
}

/// One column of a kind of table.
#[derive(Debug, Clone, Copy)]
pub struct ColumnSpec {
    pub name: &'static str,
    pub holds: Holds,
    /// The column must be in the header.
    pub required: bool,
    /// A cell may be empty; numbers then read as NaN, texts as "".
    pub empty_ok: bool,
    pub doc: &'static str,
}

/// A kind of table.
#[derive(Debug)]
pub struct TableSpec {
    pub kind: &'static str,
    pub columns: &'static [ColumnSpec],
    /// Columns that together name a series in which `rising` must strictly rise.
    pub series: &'static [&'static str],
    pub rising: Option<&'static str>,
    /// Columns that together may not repeat.
    pub unique: &'static [&'static str],
}

const fn text(name: &'static str, doc: &'static str) -> ColumnSpec {
    ColumnSpec { name, holds: Holds::Text, required: true, empty_ok: false, doc }
}
const fn words(name: &'static str, w: &'static [&'static str], doc: &'static str) -> ColumnSpec {
    ColumnSpec { name, holds: Holds::Words(w), required: true, empty_ok: false, doc }
}
const fn num(
    name: &'static str,
    suffixes: &'static [(&'static str, f64)],
    low: f64,
    high: f64,
    doc: &'static str,
) -> ColumnSpec {
    ColumnSpec { name, holds: Holds::Number { suffixes, low, high }, required: true, empty_ok: false, doc }
}
const fn optional(c: ColumnSpec) -> ColumnSpec {
    ColumnSpec { required: false, empty_ok: true, ..c }
}
const fn empty_ok(c: ColumnSpec) -> ColumnSpec {
    ColumnSpec { empty_ok: true, ..c }
}

/// Flags of a resistance reading: read, above the ceiling, below the floor, not read.
pub const FLAGS: &[&str] = &["ok", "ceil", "floor", "noread"];
const HOURS: &[(&str, f64)] = &[("h", 1.0), ("min", 1.0 / 60.0), ("s", 1.0 / 3600.0), ("d", 24.0)];
const OHM: &[(&str, f64)] = &[("ohm", 1.0), ("kohm", 1e3), ("Mohm", 1e6), ("Gohm", 1e9)];
const CELSIUS: &[(&str, f64)] = &[("c", 1.0)];
const PERCENT: &[(&str, f64)] = &[("pct", 1.0)];
const MG_L: &[(&str, f64)] = &[("mg_L", 1.0), ("ug_L", 1e-3)];
const AREA: &[(&str, f64)] = &[("cm2", 1.0), ("in2", 6.4516)];
const NONE: &[(&str, f64)] = &[];

/// Every kind of table that galipot reads.
pub const TABLES: &[TableSpec] = &[
    TableSpec {
        kind: "sir",
        columns: &[
            num("t", HOURS, 0.0, 20000.0, "Time from the start of bias."),
            text("board", "Board."),
            text("pattern", "Pattern."),
            empty_ok(num("R", OHM, 1e3, 1e16, "Insulation resistance; empty when not read.")),
            words("flag", FLAGS, "ok, ceil, floor or noread."),
        ],
        series: &["board", "pattern"],
        rising: Some("t"),
        unique: &[],
    },
    TableSpec {
        kind: "chamber",
        columns: &[
            num("t", HOURS, -100.0, 20000.0, "Time on the clock of the readings."),
            num("T", CELSIUS, -80.0, 200.0, "Air temperature."),
            num("RH", PERCENT, 0.0, 105.0, "Relative humidity."),
        ],
        series: &[],
        rising: Some("t"),
        unique: &[],
    },
    TableSpec {
        kind: "ecm",
        columns: &[
            text("board", "Board."),
            text("pattern", "Pattern."),
            words("phase", &["start", "end"], "Reading before or after the bias."),
            empty_ok(num("R", OHM, 1e3, 1e16, "Insulation resistance.")),
            words("flag", FLAGS, "ok, ceil, floor or noread."),
            empty_ok(num("filament", PERCENT, 0.0, 100.0, "Longest filament, share of the spacing; end only.")),
        ],
        series: &[],
        rising: None,
        unique: &["board", "pattern", "phase"],
    },
    TableSpec {
        kind: "ionic",
        columns: &[
            text("sample", "Sample."),
            text("board", "Board."),
            text("place", "Board, zone, part or fabricator that was extracted."),
            text("ion", "Ion."),
            empty_ok(num("conc", MG_L, 0.0, 1e6, "Concentration in the extract; empty below detection.")),
            num("blank", MG_L, 0.0, 1e6, "Concentration in the blank."),
            num("volume", &[("mL", 1.0), ("L", 1e3)], 0.01, 1e5, "Volume of the extract."),
            num("dilution", NONE, 1.0, 1e6, "Dilution before injection."),
            num("area", AREA, 0.001, 1e5, "Extracted area."),
            words("area_basis", &["both_sides", "one_side", "local"], "What the area counts."),
            num("lod", MG_L, 0.0, 1e6, "Limit of detection in the extract."),
            optional(num("recovery", PERCENT, 1.0, 200.0, "Recovery of a spike.")),
            optional(num(
                "expected",
                &[("ug_cm2", 1.0), ("ug_in2", 1.0 / 6.4516)],
                0.0,
                1e5,
                "Content predicted by the mass balance.",
            )),
        ],
        series: &[],
        rising: None,
        unique: &["sample", "ion"],
    },
    TableSpec {
        kind: "rf",
        columns: &[
            text("board", "Board: the same in all states."),
            text("structure", "Structure."),
            words("state", &["as_built", "washed", "humid"], "State of the board."),
            num("f", &[("MHz", 1.0), ("GHz", 1e3), ("kHz", 1e-3)], 1e-3, 1e6, "Frequency."),
        ],
        series: &[],
        rising: None,
        unique: &["board", "structure", "state"],
    },
    TableSpec {
        kind: "under_body",
        columns: &[
            text("board", "Board."),
            text("refdes", "Part."),
            words("method", &["section", "xray", "glass", "laser", "lift"], "How it was seen."),
            empty_ok(num("gap", &[("um", 1.0)], 0.0, 5000.0, "Gap.")),
            empty_ok(num("fill", PERCENT, 0.0, 130.0, "Share of the cavity that residue fills.")),
            words("state", &["dry", "hard", "wet", "none"], "Residue."),
            text("photo", "Photograph."),
        ],
        series: &[],
        rising: None,
        unique: &["board", "refdes"],
    },
    TableSpec {
        kind: "profile",
        columns: &[
            text("profile", "Run of the oven."),
            text("tc", "Thermocouple."),
            num("t", &[("s", 1.0), ("min", 60.0)], 0.0, 10000.0, "Time."),
            num("T", CELSIUS, -20.0, 350.0, "Temperature."),
        ],
        series: &["profile", "tc"],
        rising: Some("t"),
        unique: &[],
    },
    TableSpec {
        kind: "arms",
        columns: &[
            words("arm", &["old", "new"], "Process."),
            text("lot", "Lot."),
            num("boards", NONE, 1.0, 1e9, "Boards tested."),
            num("failures", NONE, 0.0, 1e9, "Boards with the event counted."),
        ],
        series: &[],
        rising: None,
        unique: &["arm", "lot"],
    },
    TableSpec {
        kind: "agreement",
        columns: &[
            text("study", "Study."),
            text("inspector", "Inspector."),
            text("item", "Item."),
            words("reference", &["accept", "indicator", "defect"], "Agreed rating."),
            words("rating", &["accept", "indicator", "defect"], "Inspector's rating."),
        ],
        series: &[],
        rising: None,
        unique: &["study", "inspector", "item"],
    },
    TableSpec {
        kind: "findings",
        columns: &[
            text("board", "Board, panel or unit."),
            text("place", "Zone, part, pair, contact; or all."),
            text("looked_for", "What was looked for, for example corrosion."),
            words("found", &["no", "yes"], "Whether it was found."),
            text("photo", "Photograph, or none."),
        ],
        series: &[],
        rising: None,
        unique: &["board", "place", "looked_for"],
    },
    TableSpec {
        kind: "measured",
        columns: &[
            text("board", "Board, panel, unit or sample."),
            text("lot", "Lot, or none."),
            text("place", "Zone, part, node, contact; or all."),
            text("quantity", "What was measured, for example leakage."),
            num("value", NONE, -1e18, 1e18, "Value in the unit."),
            ColumnSpec { name: "unit", holds: Holds::Unit, required: true, empty_ok: false, doc: "Unit of the value." },
        ],
        series: &[],
        rising: None,
        unique: &["board", "place", "quantity", "lot"],
    },
];

/// A column that was read.
#[derive(Debug, Clone)]
pub enum Column {
    /// Index into `dictionary` of the table, per row.
    Text(Vec<u32>),
    /// In the unit of the first suffix; NaN where empty.
    Number(Vec<f64>),
}

/// A table that was read, by column. Rows are in the order of the file.
#[derive(Debug, Clone)]
pub struct DataTable {
    pub file: FileId,
    pub spec: &'static TableSpec,
    pub dictionary: Vec<String>,
    /// One per entry of `spec.columns`; none where an optional column is absent.
    pub columns: Vec<Option<Column>>,
    /// Line of each row in its file (row of the sheet for a spreadsheet).
    pub lines: Vec<u32>,
}

impl DataTable {
    pub fn rows(&self) -> usize {
        self.lines.len()
    }

    fn column(&self, name: &str) -> Option<&Column> {
        let i = self.spec.columns.iter().position(|c| c.name == name)?;
        self.columns[i].as_ref()
    }

    /// Text of a cell; "" where the column is absent or the cell empty.
    pub fn text(&self, name: &str, row: usize) -> &str {
        match self.column(name) {
            Some(Column::Text(v)) => &self.dictionary[v[row] as usize],
            _ => "",
        }
    }

    /// Number of a cell in the unit of the first suffix; NaN where absent or empty.
    pub fn number(&self, name: &str, row: usize) -> f64 {
        match self.column(name) {
            Some(Column::Number(v)) => v[row],
            _ => f64::NAN,
        }
    }

    /// Whole column of numbers; none where it is absent.
    pub fn numbers(&self, name: &str) -> Option<&[f64]> {
        match self.column(name) {
            Some(Column::Number(v)) => Some(v),
            _ => None,
        }
    }

    /// Place of a row.
    pub fn at(&self, row: usize) -> At {
        At { file: self.file, start: 0, end: 0, line: self.lines[row], column: 1 }
    }
}
