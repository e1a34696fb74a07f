//! Takes the tree of a formula; gives it as it lies on paper: rows, fractions, roots, powers, and the brackets between.
//!
//! Every bracket that a reader needs is decided here once, so that the written forms cannot differ in them.

use super::Expr;

/// A part of a formula on paper.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Digits, as written.
    Number(String),
    /// A name without subscript: "k", "LTB", "rho".
    Name(String),
    /// `+`, `-`, `*`, `/`, `=`, `,` or `sum`.
    Sign(&'static str),
    Row(Vec<Shape>),
    /// Round brackets, `|` or `floor` around a part.
    Fence(&'static str, Box<Shape>),
    Fraction(Box<Shape>, Box<Shape>),
    Root(Box<Shape>),
    /// Base and exponent.
    Power(Box<Shape>, Box<Shape>),
    /// A name and its subscript.
    Sub(Box<Shape>, Box<Shape>),
}

/// The line "symbol = expression".
pub fn line(symbol: &str, e: &Expr) -> Shape {
    Shape::Row(vec![name(symbol), Shape::Sign("="), shape(e)])
}

/// A symbol: what follows an underscore is its subscript, and so are digits at the end of a name.
pub fn name(symbol: &str) -> Shape {
    let mut parts = symbol.split('_');
    let first = parts.next().unwrap_or_default();
    let letters = first.trim_end_matches(|c: char| c.is_ascii_digit());
    let mut below = Vec::new();
    if !letters.is_empty() && letters.len() < first.len() {
        below.push(Shape::Number(first[letters.len()..].to_string()));
    }
    for part in parts {
        if !below.is_empty() {
            below.push(Shape::Sign(","));
        }
        below.push(Shape::Name(part.to_string()));
    }
    let base = Shape::Name(if letters.is_empty() { first } else { letters }.to_string());
    match below.len() {
        0 => base,
        1 => Shape::Sub(Box::new(base), Box::new(below.remove(0))),
        _ => Shape::Sub(Box::new(base), Box::new(Shape::Row(below))),
    }
}

fn bracketed(e: &Expr) -> Shape {
    Shape::Fence("(", Box::new(shape(e)))
}

/// A number as people write it: 1e-5 as a power of ten.
fn number(written: &str) -> Shape {
    let Some((mantissa, exponent)) = written.split_once('e') else { return Shape::Number(written.to_string()) };
    let digits = Shape::Number(exponent.trim_start_matches('-').to_string());
    let exponent = if exponent.starts_with('-') { Shape::Row(vec![Shape::Sign("-"), digits]) } else { digits };
    let ten = Shape::Power(Box::new(Shape::Number("10".into())), Box::new(exponent));
    if mantissa == "1" { ten } else { Shape::Row(vec![Shape::Number(mantissa.into()), Shape::Sign("*"), ten]) }
}

/// How tightly a part holds together on paper: a fraction as tightly as a name.
fn rank(e: &Expr) -> u8 {
    match e {
        Expr::Binary('+' | '-', ..) => 1,
        Expr::Binary('*', ..) => 2,
        Expr::Number(_, w) if w.contains('e') => 2,
        Expr::Minus(_) => 3,
        Expr::Binary('^', ..) => 4,
        _ => 5,
    }
}

/// Whether the first thing on paper is a minus.
fn begins_with_minus(e: &Expr) -> bool {
    match e {
        Expr::Minus(_) => true,
        Expr::Binary('+' | '-', a, _) => begins_with_minus(a),
        Expr::Binary('*', a, _) => rank(a) > 1 && begins_with_minus(a),
        _ => false,
    }
}

fn is_total(e: &Expr) -> bool {
    matches!(e, Expr::Call(f, list) if f == "sum" && list.len() == 1)
}

/// A factor of a product; a sum over a list looks as if it reached further, so it is bracketed.
fn factor(e: &Expr, least: u8) -> Shape {
    let bare = rank(e) >= least && !is_total(e) && (least == 2 || !begins_with_minus(e));
    if bare { shape(e) } else { bracketed(e) }
}

/// An expression on paper.
pub fn shape(e: &Expr) -> Shape {
    match e {
        Expr::Number(_, written) => number(written),
        Expr::Symbol(s) => name(s),
        Expr::Minus(inner) => {
            let bare = rank(inner) >= 4;
            Shape::Row(vec![Shape::Sign("-"), if bare { shape(inner) } else { bracketed(inner) }])
        }
        Expr::Binary('/', a, b) => Shape::Fraction(Box::new(shape(a)), Box::new(shape(b))),
        Expr::Binary('^', a, b) => {
            let written_small = matches!(&**a, Expr::Number(_, w) if !w.contains('e'));
            let atom =
                written_small || matches!(&**a, Expr::Symbol(_)) || matches!(&**a, Expr::Call(..) if !is_total(a));
            let base = if atom { shape(a) } else { bracketed(a) };
            Shape::Power(Box::new(base), Box::new(exponent(b)))
        }
        Expr::Binary('*', a, b) => Shape::Row(vec![factor(a, 2), Shape::Sign("*"), factor(b, 3)]),
        Expr::Binary(op, a, b) => {
            let sign = Shape::Sign(if *op == '-' { "-" } else { "+" });
            let right = if rank(b) < 2 || begins_with_minus(b) { bracketed(b) } else { shape(b) };
            Shape::Row(vec![shape(a), sign, right])
        }
        Expr::Call(f, list) => call(f, list),
    }
}

/// A fraction in an exponent stands on one line: a bar would make it too small to read.
fn exponent(e: &Expr) -> Shape {
    match e {
        Expr::Binary('/', a, b) => Shape::Row(vec![factor(a, 2), Shape::Sign("/"), factor(b, 3)]),
        other => shape(other),
    }
}

fn call(f: &str, list: &[Expr]) -> Shape {
    match (f, list) {
        ("sqrt", [x]) => Shape::Root(Box::new(shape(x))),
        ("abs", [x]) => Shape::Fence("|", Box::new(shape(x))),
        ("floor", [x]) => Shape::Fence("floor", Box::new(shape(x))),
        ("sum", [x]) => Shape::Row(vec![Shape::Sign("sum"), shape(x)]),
        _ => {
            let head = match f {
                "log10" => Shape::Sub(Box::new(Shape::Name("log".into())), Box::new(Shape::Number("10".into()))),
                other => Shape::Name(other.to_string()),
            };
            let mut inner = Vec::new();
            for (i, x) in list.iter().enumerate() {
                if i > 0 {
                    inner.push(Shape::Sign(","));
                }
                inner.push(shape(x));
            }
            Shape::Row(vec![head, Shape::Fence("(", Box::new(Shape::Row(inner)))])
        }
    }
}

/// Greek letters by the names that formulas use: name, letter.
pub const GREEK: &[(&str, &str)] = &[
    ("alpha", "α"),
    ("beta", "β"),
    ("gamma", "γ"),
    ("delta", "δ"),
    ("epsilon", "ε"),
    ("zeta", "ζ"),
    ("eta", "η"),
    ("theta", "θ"),
    ("kappa", "κ"),
    ("lambda", "λ"),
    ("mu", "μ"),
    ("nu", "ν"),
    ("xi", "ξ"),
    ("pi", "π"),
    ("rho", "ρ"),
    ("sigma", "σ"),
    ("tau", "τ"),
    ("phi", "φ"),
    ("chi", "χ"),
    ("psi", "ψ"),
    ("omega", "ω"),
    ("Gamma", "Γ"),
    ("Delta", "Δ"),
    ("Sigma", "Σ"),
    ("Phi", "Φ"),
    ("Omega", "Ω"),
];
