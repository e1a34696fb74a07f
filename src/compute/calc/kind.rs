//! Takes nothing; gives the form of a calculation: what it needs, gives, says of itself and is checked by.

use crate::model::workings::Strength;
use crate::quantity::compact;

/// A symbol of a formula.
#[derive(Debug, Clone, Copy)]
pub struct Symbol {
    pub symbol: &'static str,
    pub meaning: &'static str,
    /// Unit; "=" for the unit of the readings, whatever it is, "=2" for its square.
    pub unit: &'static str,
    /// Valid range, both ends included.
    pub low: f64,
    pub high: f64,
    /// A list of values.
    pub many: bool,
    /// A whole number.
    pub whole: bool,
}

/// One value of `symbol` in `unit`, from `low` to `high`.
pub const fn one(symbol: &'static str, meaning: &'static str, unit: &'static str, low: f64, high: f64) -> Symbol {
    Symbol { symbol, meaning, unit, low, high, many: false, whole: false }
}

/// A whole number.
pub const fn whole(symbol: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol { symbol, meaning, unit: "1", low, high, many: false, whole: true }
}

/// A list of values.
pub const fn many(symbol: &'static str, meaning: &'static str, unit: &'static str, low: f64, high: f64) -> Symbol {
    Symbol { symbol, meaning, unit, low, high, many: true, whole: false }
}

/// A result.
#[derive(Debug, Clone, Copy)]
pub struct Gives {
    pub symbol: &'static str,
    pub meaning: &'static str,
    pub unit: &'static str,
}

/// A result of a calculation.
pub const fn gives(symbol: &'static str, meaning: &'static str, unit: &'static str) -> Gives {
    Gives { symbol, meaning, unit }
}

/// How well the source of a check is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Read in the named document.
    Seen,
    /// From memory of the named document.
    Memory,
    /// Common practice, no document.
    Practice,
    /// Computed by an independent library.
    Reference,
    /// A limit case or a sum done by hand.
    Hand,
}

impl Known {
    pub fn word(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::Memory => "from memory",
            Self::Practice => "common practice",
            Self::Reference => "reference library",
            Self::Hand => "worked by hand",
        }
    }
}

/// A known answer.
#[derive(Debug, Clone, Copy)]
pub struct Check {
    pub inputs: &'static [(&'static str, f64)],
    /// Results that the source prints; others are not compared.
    pub expected: &'static [(&'static str, f64)],
    /// Largest deviation, as a share of the expected value plus an absolute part: half of the last printed digit.
    pub relative: f64,
    pub absolute: f64,
    /// Document and table.
    pub source: &'static str,
    pub known: Known,
}

impl Check {
    /// The command that computes this check.
    pub fn call(&self, id: &str) -> String {
        let mut out = format!("galipot calc {id}");
        for (i, (name, value)) in self.inputs.iter().enumerate() {
            let value = compact(*value);
            match self.inputs[..i].last().filter(|before| before.0 == *name) {
                Some(_) => out.push_str(&format!(",{value}")),
                None => out.push_str(&format!(" {name}={value}")),
            }
        }
        out
    }
}

/// Longest command that is shown as an example, in characters.
const LONGEST: usize = 300;

impl Calc {
    /// The command of the first check; of the shortest one when that is too long to be read.
    pub fn example(&self) -> Option<String> {
        let calls = || self.checks.iter().map(|k| k.call(self.id));
        let first = calls().next().filter(|c| c.len() <= LONGEST);
        first.or_else(|| calls().min_by_key(String::len))
    }
}

/// The inputs of a calculation, by symbol.
#[derive(Debug, Clone, Copy)]
pub struct Args<'a>(pub &'a [(&'a str, f64)]);

impl Args<'_> {
    /// The value of a symbol; NaN when it is not there.
    pub fn one(&self, symbol: &str) -> f64 {
        self.0.iter().find(|a| a.0 == symbol).map_or(f64::NAN, |a| a.1)
    }

    /// All values of a symbol, in the order given.
    pub fn many(&self, symbol: &str) -> Vec<f64> {
        self.0.iter().filter(|a| a.0 == symbol).map(|a| a.1).collect()
    }
}

/// A calculation: everything that a reader, a test and the program need to know of it.
#[derive(Debug)]
pub struct Calc {
    pub id: &'static str,
    pub title: &'static str,
    /// Lines "symbol = expression"; words when it is not `closed`.
    pub formula: &'static [&'static str],
    /// The formula is an expression that [`super::expr`] reads and that equals the function.
    pub closed: bool,
    pub symbols: &'static [Symbol],
    pub outputs: &'static [Gives],
    /// When the formula holds.
    pub holds_when: &'static str,
    pub strength: Strength,
    /// The fixed sentence on its weakness.
    pub weak_because: &'static str,
    /// Keys into [`super::sources::SOURCES`].
    pub sources: &'static [&'static str],
    pub checks: &'static [Check],
    /// Results in the order of `outputs`; the reason in words when there is none.
    pub run: fn(&Args) -> Result<Vec<f64>, String>,
}
