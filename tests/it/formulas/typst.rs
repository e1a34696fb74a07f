//! Takes Typst mathematics; gives what stands on paper, by the rules of Typst that galipot uses.

use super::mathml::below;
use super::signs::{Sign, letters, line};
use galipot::compute::calc::expr::Expr;

/// Reads the line of a formula. Panics at what is not understood.
pub fn read(text: &str, known: &[(String, String)]) -> (String, Expr) {
    let mut rest = text;
    let signs = until(&mut rest, "");
    assert!(rest.is_empty(), "left over: {rest}");
    line(&signs, known)
}

/// Names of Typst that stand for a function of arguments in brackets.
const FUNCTIONS: &[&str] = &["frac", "sqrt", "abs", "floor"];

/// Reads to one of the closing characters, which stays, or to the end.
fn until(rest: &mut &str, close: &str) -> Vec<Sign> {
    let mut out: Vec<Sign> = Vec::new();
    loop {
        *rest = rest.trim_start();
        let Some(c) = rest.chars().next() else { return out };
        if close.contains(c) {
            return out;
        }
        if c.is_ascii_digit() {
            let n = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
            out.push(Sign::Number(rest[..n].to_string()));
            *rest = &rest[n..];
        } else if c == '"' {
            let end = rest[1..].find('"').expect("the end of a quotation") + 1;
            // Quoted letters stand as they are.
            out.push(Sign::Name(rest[1..end].to_string()));
            *rest = &rest[end + 1..];
        } else if c.is_ascii_alphabetic() {
            let n = rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(rest.len());
            let word = &rest[..n];
            *rest = &rest[n..];
            word_of(word, rest, &mut out);
        } else {
            *rest = &rest[c.len_utf8()..];
            match c {
                '^' | '_' => {
                    let script = bracket(rest);
                    attach(c, script, &mut out);
                }
                '(' => {
                    out.push(Sign::Mark('('));
                    out.extend(until(rest, ")"));
                    close_bracket(rest);
                    out.push(Sign::Mark(')'));
                }
                '+' | '-' | '=' | ',' => out.push(Sign::Mark(c)),
                other => panic!("{other} before {rest}"),
            }
        }
    }
}

fn word_of(word: &str, rest: &mut &str, out: &mut Vec<Sign>) {
    match word {
        "times" => out.push(Sign::Mark('*')),
        "slash" => out.push(Sign::Mark('/')),
        "sum" => out.push(Sign::Mark('∑')),
        f if FUNCTIONS.contains(&f) => {
            *rest = rest.strip_prefix('(').expect("arguments");
            let mut list = vec![until(rest, ",)")];
            while let Some(more) = rest.strip_prefix(',') {
                *rest = more;
                list.push(until(rest, ",)"));
            }
            close_bracket(rest);
            match (f, list.as_slice()) {
                ("frac", [a, b]) => out.push(Sign::Fraction(a.clone(), b.clone())),
                ("sqrt", [a]) => out.push(Sign::Root(a.clone())),
                ("abs", [a]) => out.extend(fenced('|', a, '|')),
                ("floor", [a]) => out.extend(fenced('⌊', a, '⌋')),
                _ => panic!("{f} of {} arguments", list.len()),
            }
        }
        // Typst knows Greek letters by name; one Latin letter stands for itself; other words must be quoted.
        greek if letters(greek) != greek => out.push(Sign::Name(letters(greek))),
        one if one.len() == 1 => out.push(Sign::Name(one.to_string())),
        other => panic!("Typst would take {other} for a name of its own"),
    }
}

fn fenced(open: char, inner: &[Sign], close: char) -> Vec<Sign> {
    [&[Sign::Mark(open)], inner, &[Sign::Mark(close)]].concat()
}

/// The inside of brackets that only gather.
fn bracket(rest: &mut &str) -> Vec<Sign> {
    *rest = rest.strip_prefix('(').expect("a bracket behind ^ or _");
    let inner = until(rest, ")");
    close_bracket(rest);
    inner
}

fn close_bracket(rest: &mut &str) {
    *rest = rest.strip_prefix(')').unwrap_or_else(|| panic!("no closing bracket at {rest:?}"));
}

/// A script belongs to the name, number, or bracket before it, with the function that the bracket belongs to.
fn attach(c: char, script: Vec<Sign>, out: &mut Vec<Sign>) {
    if c == '_' {
        let Some(Sign::Name(base)) = out.pop() else { panic!("nothing for a subscript to stand below") };
        out.push(Sign::Name(format!("{base}↓{}", below(&script))));
        return;
    }
    let mut from = out.len() - 1;
    let opens = |m: char| match m {
        ')' => Some('('),
        '|' => Some('|'),
        '⌋' => Some('⌊'),
        _ => None,
    };
    if let Some(open) = out.last().and_then(|s| if let Sign::Mark(m) = s { opens(*m) } else { None }) {
        let Sign::Mark(close) = out[from].clone() else { unreachable!("a mark") };
        let mut depth = 1;
        while depth > 0 {
            from -= 1;
            if out[from] == Sign::Mark(open) {
                depth -= 1;
            } else if out[from] == Sign::Mark(close) {
                depth += 1;
            }
        }
        if open == '(' && from > 0 && matches!(out[from - 1], Sign::Name(_)) {
            from -= 1;
        }
    }
    let base = out.split_off(from);
    out.push(Sign::Power(base, script));
}
