//! Takes a cell of a table; gives its number, or what is wrong with the token as laboratories write it.

use crate::diag::{Diagnostic, codes, nearest};
use crate::model::tables::{ColumnSpec, Holds};
use crate::quantity::{Refusal, Unit};

/// A decimal number: sign, digits, one point (or comma), exponent; nothing else.
pub fn decimal(t: &str, comma: bool) -> Option<f64> {
    let b = t.as_bytes();
    let mut i = usize::from(matches!(b.first(), Some(b'-' | b'+')));
    let digits = |mut i: usize| {
        let from = i;
        while b.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        (i, i > from)
    };
    let (after, mut any) = digits(i);
    i = after;
    let point = if comma { b',' } else { b'.' };
    if b.get(i) == Some(&point) {
        let (after, more) = digits(i + 1);
        any |= more;
        i = after;
    }
    if !any {
        return None;
    }
    if matches!(b.get(i), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(b.get(i + 1), Some(b'-' | b'+')));
        let (after, more) = digits(i + 1 + sign);
        if !more {
            return None;
        }
        i = after;
    }
    if i != b.len() {
        return None;
    }
    if comma { t.replacen(',', ".", 1).parse().ok() } else { t.parse().ok() }
}

/// Says what an odd number is, as laboratories write it.
pub fn odd_number(spec: &ColumnSpec, token: &str, comma: bool) -> Diagnostic {
    let low = token.to_lowercase();
    let text = if token.is_empty() {
        format!("{} is empty", spec.name)
    } else {
        format!("{} is not a number: \"{}\"", spec.name, token.escape_debug())
    };
    let hint = if token.is_empty() {
        "write the number in every row"
    } else if token.trim() != token && decimal(token.trim(), comma).is_some() {
        "remove the blanks around it"
    } else if matches!(low.as_str(), "ol" | "over" | "overload" | "ovr" | "inf" | "+inf") || low.starts_with('>') {
        "above the ceiling: list this file as `report`, and a copy with the ceiling and flag `ceil`"
    } else if low.starts_with('<') || matches!(low.as_str(), "n.d." | "nd" | "bdl" | "n.n.") {
        "below detection: leave the cell empty where the column allows it; the limit stands in its own column"
    } else if matches!(low.as_str(), "nan" | "na" | "n/a" | "-" | "--" | "null") {
        "not read: leave the cell empty where the column allows it, with the flag `noread` for a resistance"
    } else if !comma && token.contains(',') {
        "write a decimal point, or declare the dialect `semicolon`"
    } else if comma && token.contains('.') {
        "the dialect `semicolon` has decimal commas: write a comma, or declare the dialect `plain`"
    } else {
        "write digits, one decimal point and an exponent such as 2.5e10, nothing else"
    };
    Diagnostic::error(codes::TABLE_TOKEN, text, hint)
}

/// What is wrong with a text and what to do; none when it is as its column asks.
pub fn odd_text(spec: &ColumnSpec, t: &str) -> Option<(String, String)> {
    if t.is_empty() {
        (!spec.empty_ok).then(|| (format!("{} is empty", spec.name), "write it in every row".into()))
    } else if t.trim() != t {
        Some((format!("{} has blanks around it: \"{}\"", spec.name, t.escape_debug()), "remove the blanks".into()))
    } else if t.chars().count() > 120 || t.chars().any(char::is_control) {
        Some((
            format!("{} is longer than 120 characters or holds a line break", spec.name),
            "shorten it; a quote that is not closed swallows lines".into(),
        ))
    } else {
        match spec.holds {
            Holds::Words(words) if !words.contains(&t) => {
                let hint = match nearest(t, words.iter().copied()) {
                    Some(n) => format!("did you mean `{n}`?"),
                    None => format!("use one of: {}", words.join(", ")),
                };
                Some((format!("{} does not know the token \"{}\"", spec.name, t.escape_debug()), hint))
            }
            Holds::Unit => Unit::parse(t).err().map(|e| {
                let hint = match e {
                    Refusal::UnknownUnit { nearest: Some(n), .. } => format!("did you mean `{n}`?"),
                    _ => "write a unit such as nA, ohm, um or ug/cm2".to_string(),
                };
                (format!("{} is not a unit: \"{}\"", spec.name, t.escape_debug()), hint)
            }),
            _ => None,
        }
    }
}
