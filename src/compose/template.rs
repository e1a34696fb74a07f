//! Takes a chapter template and what it may say; gives Markdown in which every inserted thing is a numbered slot.
//!
//! The only home of minijinja. Nothing that a template inserts ever stands in the Markdown: a value, a typed node
//! and a block each leave a token there, made of private characters that are taken out of every template first.
//! So no value can become markup, and no value can pose as a token.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

use minijinja::value::Value;
use minijinja::{AutoEscape, Environment, Error, ErrorKind, UndefinedBehavior};

use super::ink::plain;
use crate::diag::nearest;
use crate::model::document::Inline;

/// What a template may insert.
#[derive(Debug, Clone)]
pub enum Var {
    Text(String),
    Flag(bool),
    List(Vec<Var>),
    Map(BTreeMap<&'static str, Var>),
}

/// Everything that templates may say, by name.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    pub variables: BTreeMap<&'static str, Var>,
    /// `{{ value("worst_margin") }}`: a number with what stands behind it.
    pub values: BTreeMap<String, Vec<Inline>>,
    /// `{{ state("C3.1") }}`: the state of a claim, with a link to it.
    pub states: BTreeMap<String, Vec<Inline>>,
    /// `{{ block("claims_tree") }}`: a table, figure or list that the program makes.
    pub blocks: BTreeSet<&'static str>,
}

/// What stands in a slot.
#[derive(Debug, Clone, PartialEq)]
pub enum Slot {
    Inlines(Vec<Inline>),
    Block(String),
}

/// Markdown with tokens, and what they stand for.
#[derive(Debug, Clone, PartialEq)]
pub struct Expanded {
    pub markdown: String,
    pub slots: Vec<Slot>,
}

/// Why a template cannot be expanded, and on which of its lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    pub line: usize,
    pub what: String,
    pub hint: String,
}

/// Steps that one chapter may take; the longest built-in one takes a few hundred.
const FUEL: u64 = 200_000;
const BEGIN: char = '\u{F0000}';
const END: char = '\u{F0001}';
/// Begins the text that holds a place until all else is written.
pub const HOLD: char = '\u{F0002}';
const DIGIT: u32 = 0xF0010;

fn is_private(c: char) -> bool {
    matches!(c, BEGIN | END | HOLD) || (DIGIT..DIGIT + 10).contains(&(c as u32))
}

/// Text without the characters that tokens are made of.
pub fn strip(text: &str) -> String {
    text.chars().filter(|c| !is_private(*c)).collect()
}

fn token(index: usize) -> String {
    let digits =
        index.to_string().bytes().map(|b| u32::from(b - b'0') + DIGIT).filter_map(char::from_u32).collect::<String>();
    format!("{BEGIN}{digits}{END}")
}

/// Parts text into plain stretches and slot numbers.
pub fn pieces(text: &str) -> Vec<Result<&str, usize>> {
    let mut out = Vec::new();
    let mut rest = text;
    while let Some(begin) = rest.find(BEGIN) {
        let Some(end) = rest[begin..].find(END) else { break };
        if begin > 0 {
            out.push(Ok(&rest[..begin]));
        }
        let inside = &rest[begin + BEGIN.len_utf8()..begin + end];
        let number =
            inside.chars().fold(0usize, |n, c| n.saturating_mul(10) + ((c as u32).wrapping_sub(DIGIT) as usize).min(9));
        out.push(Err(number));
        rest = &rest[begin + end + END.len_utf8()..];
    }
    if !rest.is_empty() {
        out.push(Ok(rest));
    }
    out
}

fn value_of(var: &Var) -> Value {
    match var {
        Var::Text(t) => Value::from(strip(t)),
        Var::Flag(b) => Value::from(*b),
        Var::List(items) => Value::from(items.iter().map(value_of).collect::<Vec<_>>()),
        Var::Map(entries) => {
            entries.iter().map(|(k, v)| ((*k).to_string(), value_of(v))).collect::<BTreeMap<String, Value>>().into()
        }
    }
}

type Slots = Arc<Mutex<Vec<Slot>>>;

fn keep(slots: &Slots, slot: Slot) -> Result<String, Error> {
    let mut all = slots.lock().map_err(|_| Error::new(ErrorKind::InvalidOperation, "a chapter failed before"))?;
    all.push(slot);
    Ok(token(all.len() - 1))
}

fn unknown(kind: &str, name: &str, known: Vec<&str>) -> Error {
    let hint = match nearest(name, known.iter().copied()) {
        Some(n) => format!("there is no {kind} \"{}\"; did you mean \"{n}\"?", name.escape_debug()),
        None => format!("there is no {kind} \"{}\"", name.escape_debug()),
    };
    Error::new(ErrorKind::InvalidOperation, hint)
}

/// Expands one template. `first_line` is the number of its first line in its file.
///
/// # Errors
/// Syntax errors, undefined variables, unknown names, and a template that does not end.
pub fn expand(source: &str, first_line: usize, vocabulary: &Vocabulary) -> Result<Expanded, Failure> {
    let slots: Slots = Arc::default();
    let mut env = Environment::empty();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_fuel(Some(FUEL));
    env.set_recursion_limit(64);
    env.set_auto_escape_callback(|_| AutoEscape::Custom("markdown".into()));
    let inserted = Arc::clone(&slots);
    env.set_formatter(move |out, _, value| {
        if value.is_undefined() {
            return Err(Error::from(ErrorKind::UndefinedError));
        }
        if value.is_safe() {
            return out.write_str(&value.to_string()).map_err(Error::from);
        }
        let text = value.to_string();
        if text.chars().any(is_private) {
            return Err(Error::new(
                ErrorKind::InvalidOperation,
                "a block, value or state must stand in its own {{ }}, not inside an expression",
            ));
        }
        if text.is_empty() {
            return Ok(());
        }
        let token = keep(&inserted, Slot::Inlines(vec![Inline::Text(text)]))?;
        out.write_str(&token).map_err(Error::from)
    });
    let nodes = |map: &BTreeMap<String, Vec<Inline>>, kind: &'static str| {
        let (map, slots) = (map.clone(), Arc::clone(&slots));
        move |name: &str| match map.get(name) {
            Some(inlines) => keep(&slots, Slot::Inlines(inlines.clone())).map(Value::from_safe_string),
            None => Err(unknown(kind, name, map.keys().map(String::as_str).collect())),
        }
    };
    env.add_function("value", nodes(&vocabulary.values, "value"));
    env.add_function("state", nodes(&vocabulary.states, "state"));
    let (names, placed) = (vocabulary.blocks.clone(), Arc::clone(&slots));
    env.add_function("block", move |name: &str| {
        if names.contains(name) {
            return keep(&placed, Slot::Block(name.to_string())).map(Value::from_safe_string);
        }
        Err(unknown("block", name, names.iter().copied().collect()))
    });
    for (name, var) in &vocabulary.variables {
        env.add_global(*name, value_of(var));
    }
    let source = strip(source);
    let result = env.template_from_named_str("chapter", &source).and_then(|t| t.render(()));
    match result {
        Ok(markdown) => {
            let slots = slots.lock().map(|s| s.clone()).unwrap_or_default();
            Ok(Expanded { markdown, slots })
        }
        Err(e) => Err(failure(&e, &source, first_line)),
    }
}

fn failure(e: &Error, source: &str, first_line: usize) -> Failure {
    let line = e.line().unwrap_or(1);
    let text = source.lines().nth(line.saturating_sub(1)).unwrap_or("").trim();
    let what = match (e.kind(), e.detail()) {
        (ErrorKind::UndefinedError, _) => format!("something undefined is used in `{}`", text.escape_debug()),
        (ErrorKind::OutOfFuel, _) => "the template takes too many steps; does a loop never end?".to_string(),
        (kind, None) => kind.to_string(),
        (_, Some(detail)) => detail.to_string(),
    };
    let hint = match e.kind() {
        ErrorKind::OutOfFuel => "shorten the loop".to_string(),
        _ => "docs/templates.md lists every block, value, state and variable".to_string(),
    };
    Failure { line: first_line + line.saturating_sub(1), what, hint }
}

/// Expands one line of a front matter to plain text.
///
/// # Errors
/// As [`expand`].
pub fn expand_line(source: &str, line: usize, vocabulary: &Vocabulary) -> Result<String, Failure> {
    let e = expand(source, line, vocabulary)?;
    let mut out = String::new();
    for piece in pieces(&e.markdown) {
        match piece {
            Ok(text) => out.push_str(text),
            Err(i) => match e.slots.get(i) {
                Some(Slot::Inlines(inlines)) => out.push_str(&plain(inlines)),
                _ => {
                    let what = "a block cannot stand in a title".to_string();
                    return Err(Failure { line, what, hint: "use a variable or a value".into() });
                }
            },
        }
    }
    Ok(out.trim().to_string())
}
