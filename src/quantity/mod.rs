//! Takes text such as "36.7 um"; gives a number with its dimension and unit, and prints it back.

mod dimension;
mod distance;
mod number;
mod unit;

pub use dimension::Dimension;
pub use distance::{distance, is_log};
pub use number::{compact, signed, significant};
pub use unit::Unit;

use crate::diag::At;

/// A number with its unit and the place where it was written.
///
/// `si` is the value in coherent SI units of its dimension (kelvin for temperatures, ohm for
/// resistances, kg/m2 for areal masses). Relative humidity, decades ("log10 ohm") and plain
/// numbers are dimensions of their own; humidity and percentages are held as fractions.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    pub si: f64,
    pub unit: Unit,
    pub at: At,
    /// The text as it was written.
    pub written: String,
}

/// Why a text is not a quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The text does not begin with a decimal number.
    NoNumber,
    /// The number is not followed by a unit.
    NoUnit,
    /// The unit is not known; the nearest known one, if any.
    UnknownUnit { unit: String, nearest: Option<String> },
    /// The number is infinite, or not a number.
    NotFinite,
}

impl Quantity {
    /// Reads "36.7 um", "1e9 ohm", "90 %RH", "1.4 ug/cm2". A bare number has the unit "1".
    pub fn parse(text: &str, at: At) -> Result<Self, Refusal> {
        let t = text.trim();
        let split = number_length(t).ok_or(Refusal::NoNumber)?;
        let (digits, rest) = t.split_at(split);
        let number: f64 = digits.parse().map_err(|_| Refusal::NoNumber)?;
        if !number.is_finite() {
            return Err(Refusal::NotFinite);
        }
        let rest = rest.trim();
        let unit = if rest.is_empty() { Unit::one() } else { Unit::parse(rest)? };
        let si = unit.to_si(number);
        if !si.is_finite() {
            return Err(Refusal::NotFinite);
        }
        Ok(Self { si, unit, at, written: t.to_string() })
    }

    /// A bare number.
    pub fn plain(value: f64, at: At) -> Self {
        Self { si: value, unit: Unit::one(), at, written: number::shortest(value) }
    }

    pub fn dimension(&self) -> Dimension {
        self.unit.dimension()
    }

    /// The value in `unit`, which must be a known unit of the same dimension.
    ///
    /// # Panics
    /// If the program itself names an unknown unit or one of another dimension; text from
    /// a site never reaches this argument.
    pub fn in_unit(&self, unit: &str) -> f64 {
        let u = Unit::parse(unit).expect("the program names a known unit");
        assert_eq!(u.dimension(), self.dimension(), "the program converts within a dimension");
        u.from_si(self.si)
    }

    /// The number in the unit as written.
    pub fn number(&self) -> f64 {
        self.unit.from_si(self.si)
    }
}

impl std::fmt::Display for Quantity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.written)
    }
}

/// Length of the decimal number at the start of `t`: sign, digits, point, exponent; never "inf", "nan" or a comma.
fn number_length(t: &str) -> Option<usize> {
    let b = t.as_bytes();
    let digits = |mut i: usize| {
        while i < b.len() && b[i].is_ascii_digit() {
            i += 1;
        }
        i
    };
    let start = usize::from(matches!(b.first(), Some(b'+' | b'-')));
    let mut end = digits(start);
    let mut any = end > start;
    if b.get(end) == Some(&b'.') {
        let after = digits(end + 1);
        any |= after > end + 1;
        end = after;
    }
    if !any {
        return None;
    }
    if matches!(b.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(b.get(end + 1), Some(b'+' | b'-')));
        let after = digits(end + 1 + sign);
        if after > end + 1 + sign {
            end = after;
        }
    }
    Some(end)
}

#[cfg(test)]
mod tests;
