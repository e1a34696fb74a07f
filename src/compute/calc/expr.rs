//! Takes a printed formula such as "LTB = mean - k * s"; gives its tree: prints, substitutes and evaluates.

mod mathml;
pub mod shape;
mod typst;

use crate::compute::maths::{normal_quantile, t_quantile};
use crate::model::document::Formula;
use crate::quantity::significant;

/// A formula as a tree.
#[derive(Debug, Clone, PartialEq)]
pub enum Expr {
    Number(f64, String),
    Symbol(String),
    Minus(Box<Expr>),
    /// One of + - * / ^.
    Binary(char, Box<Expr>, Box<Expr>),
    /// One of [`FUNCTIONS`].
    Call(String, Vec<Expr>),
}

/// Functions that a formula may use. `z` is the standard normal quantile, `t(p, nu)` Student's quantile;
/// `sum` and `count` take a symbol that stands for a list.
pub const FUNCTIONS: &[&str] = &["sqrt", "exp", "ln", "log10", "abs", "floor", "min", "max", "z", "t", "sum", "count"];

struct Parser<'a> {
    text: &'a [u8],
    at: usize,
}

impl Parser<'_> {
    fn peek(&mut self) -> Option<u8> {
        while self.text.get(self.at) == Some(&b' ') {
            self.at += 1;
        }
        self.text.get(self.at).copied()
    }

    fn take(&mut self, wanted: u8) -> bool {
        let found = self.peek() == Some(wanted);
        self.at += usize::from(found);
        found
    }

    fn sum(&mut self) -> Option<Expr> {
        let mut left = self.product()?;
        while let Some(op @ (b'+' | b'-')) = self.peek() {
            self.at += 1;
            left = Expr::Binary(op as char, Box::new(left), Box::new(self.product()?));
        }
        Some(left)
    }

    fn product(&mut self) -> Option<Expr> {
        let mut left = self.power()?;
        while let Some(op @ (b'*' | b'/')) = self.peek() {
            self.at += 1;
            left = Expr::Binary(op as char, Box::new(left), Box::new(self.power()?));
        }
        Some(left)
    }

    fn power(&mut self) -> Option<Expr> {
        if self.take(b'-') {
            return Some(Expr::Minus(Box::new(self.power()?)));
        }
        let base = self.atom()?;
        if self.take(b'^') {
            return Some(Expr::Binary('^', Box::new(base), Box::new(self.power()?)));
        }
        Some(base)
    }

    fn atom(&mut self) -> Option<Expr> {
        let first = self.peek()?;
        if self.take(b'(') {
            let inner = self.sum()?;
            return self.take(b')').then_some(inner);
        }
        let start = self.at;
        if first.is_ascii_digit() {
            while self.text.get(self.at).is_some_and(|b| b.is_ascii_digit() || matches!(b, b'.' | b'e'))
                || (self.text.get(self.at) == Some(&b'-') && self.text[self.at - 1] == b'e')
            {
                self.at += 1;
            }
            let written = std::str::from_utf8(&self.text[start..self.at]).ok()?;
            return Some(Expr::Number(written.parse().ok()?, written.to_string()));
        }
        while self.text.get(self.at).is_some_and(|b| b.is_ascii_alphanumeric() || *b == b'_') {
            self.at += 1;
        }
        let name = std::str::from_utf8(&self.text[start..self.at]).ok().filter(|n| !n.is_empty())?.to_string();
        if !self.take(b'(') {
            return Some(Expr::Symbol(name));
        }
        let mut arguments = vec![self.sum()?];
        while self.take(b',') {
            arguments.push(self.sum()?);
        }
        (self.take(b')') && FUNCTIONS.contains(&name.as_str())).then_some(Expr::Call(name, arguments))
    }
}

/// Reads one line "symbol = expression". None when it is not of that form.
pub fn parse(line: &str) -> Option<(String, Expr)> {
    let (symbol, right) = line.split_once(" = ")?;
    let mut p = Parser { text: right.as_bytes(), at: 0 };
    let e = p.sum()?;
    (p.peek().is_none()).then(|| (symbol.to_string(), e))
}

/// A number put in place of a symbol: six significant digits, and a whole number as it is.
pub fn shown(x: f64) -> String {
    if x.fract() == 0.0 && x.abs() < 1e6 { format!("{}", x + 0.0) } else { significant(x, 6) }
}

/// A symbol in every written form.
pub fn sign(symbol: &str) -> Formula {
    let shape = shape::name(symbol);
    Formula { text: symbol.to_string(), mathml: mathml::mathml(&shape), typst: typst::typst(&shape) }
}

/// Values of the symbols; a list has several entries of one name.
pub type Values = [(String, f64)];

fn all<'a>(name: &'a str, values: &'a Values) -> impl Iterator<Item = f64> + 'a {
    values.iter().filter(move |v| v.0 == name).map(|v| v.1)
}

impl Expr {
    fn rank(&self) -> u8 {
        match self {
            Self::Binary('+' | '-', ..) => 1,
            Self::Binary('*' | '/', ..) => 2,
            Self::Minus(_) => 3,
            Self::Binary(..) => 4,
            _ => 5,
        }
    }

    /// The text of the formula, with every symbol as `name` gives it.
    fn write(&self, name: &dyn Fn(&str) -> String) -> String {
        let inside = |e: &Expr, least: u8| {
            let text = e.write(name);
            if e.rank() < least || (least > 1 && text.starts_with('-')) { format!("({text})") } else { text }
        };
        match self {
            Self::Number(_, written) => written.clone(),
            Self::Symbol(s) => name(s),
            Self::Minus(e) => format!("-{}", inside(e, 3)),
            Self::Binary('^', a, b) => format!("{}^{}", inside(a, 5), inside(b, 3)),
            Self::Binary(op, a, b) => {
                let r = self.rank();
                let left = if a.rank() < r { format!("({})", a.write(name)) } else { a.write(name) };
                format!("{left} {op} {}", inside(b, r + 1))
            }
            Self::Call(f, list) => {
                let inner: Vec<String> = list.iter().map(|e| e.write(name)).collect();
                format!("{f}({})", inner.join(", "))
            }
        }
    }

    /// The formula with its symbols.
    pub fn print(&self) -> String {
        self.write(&str::to_string)
    }

    /// The line "symbol = formula" as MathML, for inside `math`.
    pub fn mathml(&self, symbol: &str) -> String {
        mathml::mathml(&shape::line(symbol, self))
    }

    /// The line "symbol = formula" as Typst mathematics, for between dollar signs.
    pub fn typst(&self, symbol: &str) -> String {
        typst::typst(&shape::line(symbol, self))
    }

    /// The formula with numbers in place of its symbols, as [`shown`]; long lists are shortened.
    pub fn substitute(&self, values: &Values) -> String {
        self.write(&|s| {
            let v: Vec<String> = all(s, values).map(shown).collect();
            match v.len() {
                0 => s.to_string(),
                n if n > 8 => format!("{}, ... {n} values", v[..6].join(", ")),
                _ => v.join(", "),
            }
        })
    }

    /// The value; NaN when a symbol is missing.
    pub fn value(&self, values: &Values) -> f64 {
        match self {
            Self::Number(x, _) => *x,
            Self::Symbol(s) => all(s, values).next().unwrap_or(f64::NAN),
            Self::Minus(e) => -e.value(values),
            Self::Binary(op, a, b) => {
                let (a, b) = (a.value(values), b.value(values));
                match op {
                    '+' => a + b,
                    '-' => a - b,
                    '*' => a * b,
                    '/' => a / b,
                    _ => libm::pow(a, b),
                }
            }
            Self::Call(f, list) => call(f, list, values),
        }
    }

    /// Every symbol that the formula uses.
    pub fn symbols(&self, out: &mut Vec<String>) {
        match self {
            Self::Number(..) => {}
            Self::Symbol(s) => out.push(s.clone()),
            Self::Minus(e) => e.symbols(out),
            Self::Binary(_, a, b) => {
                a.symbols(out);
                b.symbols(out);
            }
            Self::Call(_, list) => list.iter().for_each(|e| e.symbols(out)),
        }
    }
}

fn call(f: &str, list: &[Expr], values: &Values) -> f64 {
    if let ("sum" | "count", Some(Expr::Symbol(s))) = (f, list.first()) {
        return if f == "sum" { all(s, values).sum() } else { all(s, values).count() as f64 };
    }
    let v: Vec<f64> = list.iter().map(|e| e.value(values)).collect();
    match (f, v.as_slice()) {
        ("sqrt", [x]) => x.sqrt(),
        ("exp", [x]) => libm::exp(*x),
        ("ln", [x]) => libm::log(*x),
        ("log10", [x]) => libm::log10(*x),
        ("abs", [x]) => x.abs(),
        ("floor", [x]) => x.floor(),
        ("z", [p]) => normal_quantile(*p),
        ("t", [p, nu]) => t_quantile(*p, *nu),
        ("min", [a, b]) => a.min(*b),
        ("max", [a, b]) => a.max(*b),
        _ => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prints_what_it_read() {
        for line in
            ["a - (b - c) * (-d)", "2^(-x) / (a * b)", "-a^2 + max(a, b - 1.5)", "(a + b)^2 / (c / d)", "10^(a - b)"]
        {
            let (s, e) = parse(&format!("y = {line}")).expect(line);
            assert_eq!((s.as_str(), e.print().as_str()), ("y", line));
        }
        assert!(parse("y = a +").is_none() && parse("y = nonsense(a)").is_none() && parse("y").is_none());
    }

    #[test]
    fn substitutes_and_evaluates() {
        let (_, e) = parse("y = mean - k * s").expect("a formula");
        let v = [("mean".to_string(), 9.62), ("k".to_string(), 3.659), ("s".to_string(), -0.5)];
        assert_eq!(e.substitute(&v), "9.62000 - 3.65900 * (-0.500000)");
        assert!((e.value(&v) - 11.4495).abs() < 1e-12);
    }
}
