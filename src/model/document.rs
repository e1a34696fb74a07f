//! The tree that every written form comes from: chapters of prose and of typed nodes.

use super::Day;
use super::workings::WorkingId;
use crate::diag::At;

/// A dossier, or another volume.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    pub title: String,
    /// Printed on top, and in small print on every page: label and value.
    pub identity: Vec<(String, String)>,
    /// Short form of the identity, printed only at the head of every sheet of paper: document number, revision, assembly, start of the hash.
    pub running: String,
    /// DRAFT, WHAT-IF or nothing.
    pub mark: Option<String>,
    /// Day of judgement, which dates a print form.
    pub day: Option<Day>,
    pub chapters: Vec<Chapter>,
}

/// A chapter with the audience that may see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Chapter {
    /// Stable name, used as anchor: "verdict", "coverage".
    pub name: String,
    pub number: String,
    pub title: String,
    /// all, customer, internal or lab.
    pub audience: String,
    pub blocks: Vec<Block>,
}

/// A block of a chapter.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    Heading {
        level: u8,
        text: Vec<Inline>,
        anchor: Option<String>,
    },
    Paragraph(Vec<Inline>),
    List {
        ordered: bool,
        items: Vec<Vec<Block>>,
    },
    Quote(Vec<Block>),
    Code(String),
    /// A formula, one member for each line.
    Formula(Vec<Formula>),
    Table(Table),
    Figure(Figure),
    /// The big line of the verdict page. `state` is the word of a state, or free words.
    Verdict {
        route: String,
        state: String,
        lines: Vec<Vec<Inline>>,
    },
    /// A sentence that must not be overlooked.
    Caution(Vec<Inline>),
    /// One calculation, worked.
    Sheet(Box<Sheet>),
    /// A line to sign on: role, name, meaning.
    Signature {
        role: String,
        name: String,
        meaning: String,
    },
    /// Blocks that a reader may fold away on a screen; always open on paper.
    Fold {
        summary: Vec<Inline>,
        blocks: Vec<Block>,
    },
    /// A form for the remarks of a reviewer, one row per section.
    Review(Review),
    Rule,
}

/// What a reviewer may fill in. Without scripts it is a form on paper.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Review {
    pub assembly: String,
    pub document: String,
    pub revision: String,
    /// Digest of inputs and record, to which the remarks are bound.
    pub digest: String,
    /// Who may be expected to remark: id, and how he is called.
    pub people: Vec<(String, String)>,
    /// Name and title of every section; the whole dossier comes first.
    pub sections: Vec<(String, String)>,
}

/// A table. The first column names its row. `numeric` columns are set to the right.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub caption: String,
    pub head: Vec<String>,
    pub rows: Vec<Vec<Vec<Inline>>>,
    pub numeric: Vec<bool>,
    /// Many narrow columns: may be turned on paper.
    pub wide: bool,
}

/// Text inside a block.
#[derive(Debug, Clone, PartialEq)]
pub enum Inline {
    Text(String),
    Strong(Vec<Inline>),
    Emphasis(Vec<Inline>),
    Code(String),
    /// A symbol of a formula.
    Symbol(Formula),
    /// Link inside the document, by anchor.
    To {
        anchor: String,
        text: Vec<Inline>,
    },
    /// A number with its unit and what stands behind it.
    Value {
        text: String,
        behind: Behind,
    },
    /// State of a claim.
    State(super::assessment::State),
    /// Sign of a coverage cell.
    Cover(super::assessment::Cover),
    /// `path:line`.
    Place(String),
    /// A spot that links may point at; prints nothing. Headings, chapters, sheets and figures are such
    /// spots already, under their anchor or name.
    Here(String),
    Break,
}

/// What stands behind a number.
#[derive(Debug, Clone, PartialEq)]
pub enum Behind {
    Working(WorkingId),
    /// A place in the evidence, as `path:line`.
    Place(String, At),
    /// A count that the page itself shows.
    Count,
}

/// A line of a formula in every written form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Formula {
    /// As plain text: what is read where there are no signs.
    pub text: String,
    /// Presentation MathML for inside `math`: bare elements without attributes. Empty for a formula in words.
    pub mathml: String,
    /// Typst mathematics for between dollar signs. Empty for a formula in words.
    pub typst: String,
}

impl Formula {
    /// A formula in words.
    pub fn words(text: impl Into<String>) -> Self {
        Self { text: text.into(), mathml: String::new(), typst: String::new() }
    }

    /// The symbol of this text among `symbols`, or its bare text.
    pub fn named(symbols: &[Self], text: &str) -> Self {
        symbols.iter().find(|s| s.text == text).cloned().unwrap_or_else(|| Self::words(text))
    }

    /// The lines of a formula as one text.
    pub fn text_of(lines: &[Self]) -> String {
        lines.iter().map(|l| l.text.as_str()).collect::<Vec<_>>().join("\n")
    }
}

/// A calculation sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// W0001.
    pub name: String,
    pub calc: String,
    pub title: String,
    pub subject: String,
    pub formula: Vec<Formula>,
    /// The symbols of `inputs` and `outputs` as they look in the formula, found by their text.
    pub symbols: Vec<Formula>,
    /// The formula with its inputs in place.
    pub substituted: String,
    /// symbol, value with unit, meaning, origin.
    pub inputs: Vec<(String, String, String, Vec<Inline>)>,
    /// symbol, value with unit, meaning.
    pub outputs: Vec<(String, String, String)>,
    pub strength: String,
    pub weak_because: String,
    pub sources: Vec<String>,
    pub n: usize,
}

/// A picture, drawn by the render stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// File name without ending.
    pub name: String,
    pub caption: String,
    /// Words for those who can't see it: what it shows, worst value, limit.
    pub alternative: String,
    pub plot: Plot,
}

/// What a picture shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Plot {
    /// Small multiples of combs over time on one fixed logarithmic axis. `limit`, `low` and `high` are log10 ohm,
    /// `guard` is decades above the limit, `hours` ends the time axis, `window` is judged. A limit that is no
    /// finite number isn't drawn.
    Combs { panels: Vec<Panel>, limit: f64, guard: f64, low: f64, high: f64, hours: f64, window: (f64, f64) },
    /// A row of values per label on one axis, with a limit. The third member of a row is the statistic that is
    /// judged, NaN for none. `limit`, `low` and `high` are in `unit`.
    Dots { rows: Vec<(String, Vec<f64>, f64)>, limit: f64, unit: String, low: f64, high: f64 },
    /// From one amount to another, cause by cause; all in `unit`.
    Waterfall { from: (String, f64), steps: Vec<(String, f64)>, to: (String, f64), unit: String },
    /// How one number, `centre`, moves with each of several others alone.
    Tornado { bars: Vec<Swing>, centre: f64, unit: String },
    /// How often a number falls between two others: low end, high end, count. `marks` are upright lines with names.
    Histogram { bins: Vec<(f64, f64, usize)>, marks: Vec<(String, f64)>, unit: String },
    /// Months from left to right. `kinds` are what a span may be: letter and words. `events` are marked by month.
    Timeline { months: u32, kinds: Vec<(String, String)>, tracks: Vec<Track>, events: Vec<(u32, String)> },
}

impl Plot {
    /// One word for what is drawn.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Combs { .. } => "combs",
            Self::Dots { .. } => "dots",
            Self::Waterfall { .. } => "waterfall",
            Self::Tornado { .. } => "tornado",
            Self::Histogram { .. } => "histogram",
            Self::Timeline { .. } => "timeline",
        }
    }
}

/// One bar of [`Plot::Tornado`]: what the number is when another one stands at its low and at its high value, which are
/// given as words.
#[derive(Debug, Clone, PartialEq)]
pub struct Swing {
    pub name: String,
    pub low: String,
    pub high: String,
    pub at_low: f64,
    pub at_high: f64,
}

/// One row of [`Plot::Timeline`].
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    pub name: String,
    /// First month, last month, index into the kinds.
    pub spans: Vec<(u32, u32, usize)>,
    /// First and last month of what no claims support.
    pub marked: Vec<(u32, u32)>,
}

/// One small picture of [`Plot::Combs`]: (hours, log10 ohm). A point that is no finite number interrupts its curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    pub title: String,
    pub curves: Vec<Vec<(f64, f64)>>,
    pub controls: Vec<Vec<(f64, f64)>>,
    pub drops: Vec<(f64, f64)>,
    pub place: String,
}

/// The bytes of `record.json`: what is written, and what the digest on every page covers.
pub fn record_bytes(record: &serde_json::Value) -> Vec<u8> {
    let mut text = format!("{record:#}");
    text.push('\n');
    text.into_bytes()
}
