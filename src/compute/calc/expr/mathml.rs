//! Takes a formula as it lies on paper; gives presentation MathML: elements without attributes, for inside `math`.

use super::shape::{GREEK, Shape};

/// Writes a shape. A name of several letters is upright by itself, one letter is slanted.
pub fn mathml(shape: &Shape) -> String {
    let mut out = String::new();
    write(shape, &mut out);
    out
}

fn write(shape: &Shape, out: &mut String) {
    let mut around = |tag: &str, parts: &[&Shape]| {
        out.push_str(&format!("<{tag}>"));
        parts.iter().for_each(|p| write(p, out));
        out.push_str(&format!("</{tag}>"));
    };
    match shape {
        Shape::Number(digits) => out.push_str(&format!("<mn>{digits}</mn>")),
        Shape::Name(name) => {
            let greek = GREEK.iter().find(|g| g.0 == name).map(|g| g.1);
            out.push_str(&format!("<mi>{}</mi>", greek.unwrap_or(name)));
        }
        Shape::Sign(sign) => out.push_str(&format!("<mo>{}</mo>", sign_of(sign))),
        Shape::Row(parts) => around("mrow", &parts.iter().collect::<Vec<_>>()),
        Shape::Fence(kind, inner) => {
            let (open, close) = match *kind {
                "|" => ("|", "|"),
                "floor" => ("⌊", "⌋"),
                _ => ("(", ")"),
            };
            out.push_str(&format!("<mrow><mo>{open}</mo>"));
            write(inner, out);
            out.push_str(&format!("<mo>{close}</mo></mrow>"));
        }
        Shape::Fraction(a, b) => around("mfrac", &[a, b]),
        Shape::Root(a) => around("msqrt", &[a]),
        Shape::Power(a, b) => around("msup", &[a, b]),
        Shape::Sub(a, b) => around("msub", &[a, b]),
    }
}

fn sign_of(sign: &str) -> &str {
    match sign {
        "-" => "−",
        "*" => "×",
        "sum" => "∑",
        other => other,
    }
}
