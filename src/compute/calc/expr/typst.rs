//! Takes a formula as it lies on paper; gives Typst mathematics, for between dollar signs.

use super::shape::{GREEK, Shape};

/// Writes a shape. A name of several letters is quoted, so that no name of Typst's own is met by accident.
pub fn typst(shape: &Shape) -> String {
    match shape {
        Shape::Number(digits) => digits.clone(),
        Shape::Name(name) if GREEK.iter().any(|g| g.0 == name) => name.clone(),
        Shape::Name(name) if name.len() == 1 && name.starts_with(|c: char| c.is_ascii_alphabetic()) => name.clone(),
        Shape::Name(name) => format!("\"{name}\""),
        Shape::Sign("*") => "times".into(),
        // A bare `/` would build a fraction.
        Shape::Sign("/") => "slash".into(),
        Shape::Sign(sign) => (*sign).into(),
        Shape::Row(parts) => parts.iter().map(typst).collect::<Vec<_>>().join(" "),
        Shape::Fence("(", inner) => format!("({})", typst(inner)),
        Shape::Fence("|", inner) => format!("abs({})", typst(inner)),
        Shape::Fence(kind, inner) => format!("{kind}({})", typst(inner)),
        Shape::Fraction(a, b) => format!("frac({}, {})", typst(a), typst(b)),
        Shape::Root(a) => format!("sqrt({})", typst(a)),
        // Brackets behind ^ and _ only gather; they are not printed.
        Shape::Power(a, b) => format!("{}^({})", typst(a), typst(b)),
        Shape::Sub(a, b) => format!("{}_({})", typst(a), typst(b)),
    }
}
