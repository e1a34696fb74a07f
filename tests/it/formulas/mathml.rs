//! Takes presentation MathML; gives what stands on paper. A row alone holds nothing together, as on paper.

use super::signs::{Sign, letters, line};
use crate::documents::markup::{Part, parts};
use galipot::compute::calc::expr::Expr;

enum Node {
    Leaf(String, String),
    Element(String, Vec<Node>),
}

/// Reads the line of a formula. Panics at what is not well-formed or not understood.
pub fn read(mathml: &str, known: &[(String, String)]) -> (String, Expr) {
    let mut parts = parts(mathml).into_iter().filter(|p| !matches!(p, Part::Text(t) if t.trim().is_empty()));
    let mut out = Vec::new();
    while let Some(part) = parts.next() {
        out.push(node(part, &mut parts));
    }
    line(&out.iter().flat_map(flat).collect::<Vec<_>>(), known)
}

fn node(first: Part, rest: &mut impl Iterator<Item = Part>) -> Node {
    let Part::Open(name, attributes) = first else { panic!("text outside of an element: {first:?}") };
    assert!(attributes.is_empty(), "{name} has attributes");
    let mut children = Vec::new();
    let mut words = String::new();
    loop {
        match rest.next().expect("an end") {
            Part::Close(n) if n == name => break,
            Part::Text(t) => words.push_str(&t),
            other => children.push(node(other, rest)),
        }
    }
    if ["mi", "mn", "mo"].contains(&name.as_str()) {
        assert!(children.is_empty() && !words.is_empty());
        return Node::Leaf(name, words);
    }
    assert!(words.is_empty(), "words in {name}: {words}");
    Node::Element(name, children)
}

fn flat(n: &Node) -> Vec<Sign> {
    let all = |list: &[Node]| list.iter().flat_map(flat).collect::<Vec<_>>();
    match n {
        Node::Leaf(kind, words) if kind == "mn" => vec![Sign::Number(words.clone())],
        Node::Leaf(kind, words) if kind == "mi" => vec![Sign::Name(letters(words))],
        Node::Leaf(_, words) => {
            let mut all = words.chars();
            let mark = all.next().expect("a sign");
            assert_eq!(all.next(), None, "{words}");
            vec![Sign::Mark(match mark {
                '−' => '-',
                '×' => '*',
                other => other,
            })]
        }
        Node::Element(name, list) => match (name.as_str(), list.as_slice()) {
            ("mrow", list) => all(list),
            ("mfrac", [a, b]) => vec![Sign::Fraction(flat(a), flat(b))],
            ("msqrt", list) => vec![Sign::Root(all(list))],
            ("msup", [a, b]) => vec![Sign::Power(flat(a), flat(b))],
            ("msub", [a, b]) => {
                let base = flat(a);
                let [Sign::Name(base)] = base.as_slice() else { panic!("what stands above? {base:?}") };
                vec![Sign::Name(format!("{base}↓{}", below(&flat(b))))]
            }
            (other, list) => panic!("{other} with {} parts", list.len()),
        },
    }
}

/// What stands below a name.
pub fn below(signs: &[Sign]) -> String {
    let part = |s: &Sign| match s {
        Sign::Number(t) | Sign::Name(t) => t.clone(),
        Sign::Mark(',') => ",".to_string(),
        other => panic!("below a name stands {other:?}"),
    };
    signs.iter().map(part).collect()
}
