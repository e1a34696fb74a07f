//! Takes a unit as people write it ("ug/cm2", "V/mm", "degC", "Mohm"); gives its factor and dimension.

use super::{Dimension, Refusal};
use crate::diag::nearest;

/// A unit: how a number in it becomes SI, and the text it was written as.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    text: String,
    dimension: Dimension,
    factor: f64,
    offset: f64,
}

/// Atoms: symbol, SI factor, dimension, whether SI prefixes may stand before it.
const ATOMS: &[(&str, f64, Dimension, bool)] = &[
    ("m", 1.0, Dimension::LENGTH, true),
    ("in", 0.0254, Dimension::LENGTH, false),
    ("mil", 2.54e-5, Dimension::LENGTH, false),
    ("g", 1e-3, Dimension::MASS, true),
    ("s", 1.0, Dimension::TIME, true),
    ("min", 60.0, Dimension::TIME, false),
    ("h", 3600.0, Dimension::TIME, false),
    ("d", 86400.0, Dimension::TIME, false),
    ("day", 86400.0, Dimension::TIME, false),
    ("days", 86400.0, Dimension::TIME, false),
    ("week", 604800.0, Dimension::TIME, false),
    ("weeks", 604800.0, Dimension::TIME, false),
    ("month", 2629800.0, Dimension::TIME, false),
    ("months", 2629800.0, Dimension::TIME, false),
    ("year", 31557600.0, Dimension::TIME, false),
    ("years", 31557600.0, Dimension::TIME, false),
    ("a", 31557600.0, Dimension::TIME, false),
    ("A", 1.0, Dimension::CURRENT, true),
    ("K", 1.0, Dimension::TEMPERATURE, true),
    ("mol", 1.0, Dimension::AMOUNT, true),
    ("V", 1.0, Dimension::VOLTAGE, true),
    ("ohm", 1.0, Dimension::RESISTANCE, true),
    ("S", 1.0, Dimension::CONDUCTANCE, true),
    ("F", 1.0, Dimension::CAPACITANCE, true),
    ("Hz", 1.0, Dimension::FREQUENCY, true),
    ("W", 1.0, Dimension::POWER, true),
    ("Wh", 3600.0, Dimension::ENERGY, true),
    ("J", 1.0, Dimension::ENERGY, true),
    ("N", 1.0, Dimension::FORCE, true),
    ("Pa", 1.0, Dimension::PRESSURE, true),
    ("C", 1.0, Dimension::CHARGE, true),
    ("L", 1e-3, Dimension([3, 0, 0, 0, 0, 0, 0, 0, 0]), true),
    ("l", 1e-3, Dimension([3, 0, 0, 0, 0, 0, 0, 0, 0]), true),
    ("%", 0.01, Dimension::NONE, false),
    ("ppm", 1e-6, Dimension::NONE, false),
    ("1", 1.0, Dimension::NONE, false),
    ("%RH", 0.01, Dimension::HUMIDITY, false),
    ("dec", 1.0, Dimension::DECADES, false),
    ("decade", 1.0, Dimension::DECADES, false),
    ("decades", 1.0, Dimension::DECADES, false),
    ("cur", 1.0, Dimension::MONEY, false),
];

const PREFIXES: &[(&str, f64)] = &[
    ("f", 1e-15),
    ("p", 1e-12),
    ("n", 1e-9),
    ("u", 1e-6),
    ("m", 1e-3),
    ("c", 1e-2),
    ("d", 1e-1),
    ("k", 1e3),
    ("M", 1e6),
    ("G", 1e9),
    ("T", 1e12),
];

/// Whole texts that no product of atoms can express.
const WHOLE: &[(&str, Dimension, f64, f64)] = &[
    ("degC", Dimension::TEMPERATURE, 1.0, 273.15),
    ("°C", Dimension::TEMPERATURE, 1.0, 273.15),
    ("log10 ohm", Dimension::DECADES, 1.0, 0.0),
    ("lg ohm", Dimension::DECADES, 1.0, 0.0),
    ("ohm/sq", Dimension::RESISTANCE, 1.0, 0.0),
    ("dB", Dimension::NONE, 1.0, 0.0),
    ("% RH", Dimension::HUMIDITY, 0.01, 0.0),
];

impl Unit {
    /// The unit of a plain number.
    pub fn one() -> Self {
        Self { text: "1".into(), dimension: Dimension::NONE, factor: 1.0, offset: 0.0 }
    }

    /// Reads a unit. `µ` and `u`, `Ω` and `ohm`, `cm2` and `cm^2` and `cm²` are the same.
    pub fn parse(text: &str) -> Result<Self, Refusal> {
        let canonical: String = text
            .trim()
            .replace(['µ', 'μ'], "u")
            .replace(['Ω', 'Ω'], "ohm")
            .replace('²', "2")
            .replace('³', "3")
            .replace('^', "")
            .replace('·', " ");
        if let Some(&(_, dimension, factor, offset)) = WHOLE.iter().find(|w| w.0 == canonical) {
            return Ok(Self { text: text.trim().into(), dimension, factor, offset });
        }
        let unknown = |part: &str| Refusal::UnknownUnit {
            unit: part.to_string(),
            nearest: nearest(&canonical, EXAMPLES.iter().copied()).map(str::to_string),
        };
        let mut dimension = Dimension::NONE;
        let mut factor = 1.0;
        for (i, side) in canonical.split('/').enumerate() {
            let sign: i8 = if i == 0 { 1 } else { -1 };
            let mut any = false;
            for part in side.split([' ', '*']).filter(|p| !p.is_empty()) {
                any = true;
                let (f, d, power) = atom(part).ok_or_else(|| unknown(part))?;
                factor *= libm::pow(f, f64::from(sign * power));
                dimension = dimension.times(d, sign * power).ok_or_else(|| unknown(part))?;
            }
            if !any {
                return Err(unknown(&canonical));
            }
        }
        Ok(Self { text: text.trim().into(), dimension, factor, offset: 0.0 })
    }

    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// The unit as it was written.
    pub fn text(&self) -> &str {
        &self.text
    }

    pub fn to_si(&self, number: f64) -> f64 {
        number * self.factor + self.offset
    }

    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }
}

/// Units proposed when one is misspelt.
const EXAMPLES: &[&str] = &[
    "um",
    "mm",
    "cm",
    "mm2",
    "cm2",
    "in2",
    "um3",
    "mm3",
    "ug",
    "mg",
    "g",
    "ug/cm2",
    "ug/in2",
    "mg/L",
    "g/cm3",
    "s",
    "min",
    "h",
    "days",
    "weeks",
    "months",
    "years",
    "K",
    "degC",
    "K/s",
    "%RH",
    "%",
    "ppm",
    "V",
    "kV",
    "V/mm",
    "A",
    "nA",
    "pA",
    "ohm",
    "kohm",
    "Mohm",
    "Gohm",
    "log10 ohm",
    "dec",
    "F",
    "nF",
    "pF",
    "Hz",
    "kHz",
    "MHz",
    "GHz",
    "N",
    "kPa",
    "uS/cm",
    "dB",
    "W",
    "kWh",
];

fn atom(part: &str) -> Option<(f64, Dimension, i8)> {
    let (name, power) = match part.char_indices().find(|(i, c)| *i > 0 && (c.is_ascii_digit() || *c == '-')) {
        Some((i, _)) => (&part[..i], part[i..].parse::<i8>().ok().filter(|p| (-4..=4).contains(p) && *p != 0)?),
        None => (part, 1),
    };
    if let Some(&(_, f, d, _)) = ATOMS.iter().find(|a| a.0 == name) {
        return Some((f, d, power));
    }
    for (prefix, scale) in PREFIXES {
        if let Some(rest) = name.strip_prefix(prefix)
            && let Some(&(_, f, d, true)) = ATOMS.iter().find(|a| a.0 == rest)
        {
            return Some((f * scale, d, power));
        }
    }
    None
}
