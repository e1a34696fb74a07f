//! Takes one field that moved; gives it in words: what it was and what it is, of a long text what moved in it.

use serde_json::Value;

use crate::compose::ink;
use crate::model::changes::Move;
use crate::quantity::significant;

/// Place of a field among those of one thing: what decides first, digests last.
pub fn weight(name: &str) -> usize {
    const FIRST: [&str; 8] = ["verdict", "state", "margin", "value", "limit", "guard", "first_failed", "disposition"];
    let last = ["sha256", "bytes", "sha256_found"].iter().any(|f| name.ends_with(f));
    FIRST.iter().position(|f| *f == name).unwrap_or(if last { FIRST.len() + 1 } else { FIRST.len() })
}

pub fn label(name: &str) -> String {
    name.replace('_', " ")
}

/// One field with what it was and what it is; of a set, what came and what went.
pub fn words(m: &Move, unit: &str) -> String {
    let label = label(&m.name);
    if let (Some(a), Some(b)) = (m.from.as_array(), m.to.as_array()) {
        let only = |x: &[Value], y: &[Value], sign: &str| -> Vec<String> {
            x.iter().filter(|v| !y.contains(v)).map(|v| format!("{sign} {}", said(v, "", ""))).collect()
        };
        let mut all = only(b, a, "+");
        all.extend(only(a, b, "-"));
        return format!(
            "{label}: {}",
            if all.is_empty() { "another order or number of members".into() } else { all.join(", ") }
        );
    }
    if m.name.ends_with("sha256") || m.name.ends_with("sha256_found") {
        return format!("{label} {} -> {}", head(&m.from), head(&m.to));
    }
    if let (Some(a), Some(b)) = (m.from.as_str(), m.to.as_str())
        && a.len().max(b.len()) > LONG
    {
        let (a, b) = parted(a, b);
        return format!("{label} {a} -> {b}");
    }
    let (mut from, mut to) = (said(&m.from, &m.name, unit), said(&m.to, &m.name, unit));
    if let (true, Some(a), Some(b)) = (from == to, m.from.as_f64(), m.to.as_f64()) {
        // As many digits as it takes to see the difference.
        let digits = (3..17).find(|d| significant(a, *d) != significant(b, *d)).unwrap_or(17);
        (from, to) = (significant(a, digits), significant(b, digits));
    }
    format!("{label} {from} -> {to}")
}

/// Letters from which on only those words of a text are shown that moved.
const LONG: usize = 30;
/// Words that stay around them.
const AROUND: usize = 2;

/// Two texts without the words that begin and end both, but for a few of them.
fn parted(a: &str, b: &str) -> (String, String) {
    let (x, y): (Vec<&str>, Vec<&str>) = (a.split_whitespace().collect(), b.split_whitespace().collect());
    let least = x.len().min(y.len());
    let head = x.iter().zip(&y).take_while(|(p, q)| p == q).count();
    let tail = x.iter().rev().zip(y.iter().rev()).take(least - head).take_while(|(p, q)| p == q).count();
    let (from, till) = (head.saturating_sub(AROUND), tail.saturating_sub(AROUND));
    let part = |w: &[&str]| {
        let words = w[from..w.len() - till].join(" ");
        format!("\"{}{words}{}\"", if from > 0 { "... " } else { "" }, if till > 0 { " ..." } else { "" })
    };
    (part(&x), part(&y))
}

/// The first letters of a digest.
fn head(v: &Value) -> String {
    v.as_str().map_or("none".into(), |t| t.chars().take(12).collect())
}

/// A value in words.
pub fn said(v: &Value, name: &str, unit: &str) -> String {
    match v {
        Value::Null => "none".into(),
        Value::Bool(true) => "yes".into(),
        Value::Bool(false) => "no".into(),
        Value::String(t) if t.is_empty() => "nothing".into(),
        Value::String(t) => t.clone(),
        Value::Number(_) => {
            let x = v.as_f64().unwrap_or(f64::NAN);
            match name {
                "margin" => ink::margin_text(x, unit),
                "value" | "limit" | "guard" => ink::quantity_text(x, unit),
                _ => ink::number(x, ""),
            }
        }
        Value::Array(list) if list.is_empty() => "none".into(),
        Value::Array(list) => list.iter().map(|v| said(v, name, unit)).collect::<Vec<_>>().join(", "),
        Value::Object(_) => v.to_string(),
    }
}
