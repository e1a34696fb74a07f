//! Takes the inlines of a block; gives Markdown that any reader turns back into exactly that text.

use crate::model::assessment::{Cover, State};
use crate::model::document::{Behind, Inline};
use crate::render::plan::Plan;

/// Where a text stands decides what its line breaks and pipes become.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// Begins a line.
    Paragraph,
    Heading,
    Cell,
    /// Stands behind other words of its line.
    Run,
}

/// A stretch of Markdown source with its style.
struct Piece {
    strong: bool,
    emphasis: bool,
    source: String,
    /// The bare text of code: codes that touch become one, as their fences would melt together.
    code: Option<String>,
    line_end: bool,
}

/// Writes a text; the lines of a paragraph are told apart by `\n`.
pub fn inlines(text: &[Inline], plan: &Plan, spot: Spot) -> String {
    let lines = lines(text, plan, spot).into_iter().map(|line| start(line.trim_matches(' '), spot));
    let lines: Vec<_> = lines.filter(|line| !line.is_empty()).collect();
    match spot {
        Spot::Paragraph => lines.join("\\\n"),
        Spot::Heading | Spot::Run => lines.join(" "),
        Spot::Cell => lines.join(" · "),
    }
}

/// The lines of a text, with the spaces at their ends.
fn lines(text: &[Inline], plan: &Plan, spot: Spot) -> Vec<String> {
    let mut pieces = Vec::new();
    gather(text, plan, spot, (false, false), &mut pieces);
    pieces.split(|p| p.line_end).map(join).collect()
}

/// Plain words as Markdown.
pub fn escaped(text: &str, spot: Spot) -> String {
    start(escape(text.trim_matches(' '), spot).as_str(), spot)
}

/// Plain words in bold.
pub fn bold(text: &str, plan: &Plan) -> String {
    inlines(&[Inline::Strong(vec![Inline::Text(text.to_owned())])], plan, Spot::Run)
}

fn gather(text: &[Inline], plan: &Plan, spot: Spot, style: (bool, bool), out: &mut Vec<Piece>) {
    let piece = |source, (strong, emphasis)| Piece { strong, emphasis, source, code: None, line_end: false };
    for i in text {
        match i {
            Inline::Text(t) => {
                // White space at the edges of a styled text would undo the style, so it stays outside.
                let core = t.trim();
                let begin = t.len() - t.trim_start().len();
                for (part, style) in [
                    (&t[..begin], (false, false)),
                    (core, style),
                    (t[begin..].strip_prefix(core).unwrap_or(""), (false, false)),
                ] {
                    if !part.is_empty() {
                        out.push(piece(escape(part, spot), style));
                    }
                }
            }
            Inline::Strong(inner) => gather(inner, plan, spot, (true, style.1), out),
            Inline::Emphasis(inner) => gather(inner, plan, spot, (style.0, true), out),
            Inline::Code(t) | Inline::Place(t) => {
                let mut bare = t.clone();
                let touched = out.pop_if(|last| last.code.is_some() && (last.strong, last.emphasis) == style);
                if let Some(before) = touched.and_then(|p| p.code) {
                    bare.insert_str(0, &before);
                }
                out.push(Piece { code: Some(bare.clone()), ..piece(code(&bare, spot), style) });
            }
            Inline::To { anchor, text } => {
                // Spaces at the edges of a link stay outside.
                let words = lines(text, plan, if spot == Spot::Cell { spot } else { Spot::Run }).join(" ");
                let edge = |there: bool| piece(if there { " " } else { "" }.to_owned(), (false, false));
                out.push(edge(words.starts_with(' ')));
                out.push(piece(link(words.trim_matches(' '), plan.home(anchor)), style));
                out.push(edge(words.ends_with(' ')));
            }
            Inline::Value { text, behind } => out.push(piece(value(text, behind, plan, spot), style)),
            Inline::State(s) => out.push(piece(state(*s), style)),
            Inline::Cover(c) => out.push(piece(cover(*c).into(), style)),
            Inline::Symbol(f) => out.push(piece(escape(&f.text, spot), style)),
            Inline::Here(_) => {}
            Inline::Break => out.push(Piece { line_end: true, ..piece(String::new(), (false, false)) }),
        }
    }
}

/// Joins pieces with `**` and `_` where the style turns; a neighbour that would undo a mark is written as entity.
fn join(pieces: &[Piece]) -> String {
    let mut out = String::new();
    let mut open = (false, false);
    for p in pieces.iter().filter(|p| !p.source.is_empty()) {
        let new = (p.strong, p.emphasis);
        let closes = (open.0 && !new.0, open.1 && (!new.1 || open.0 != new.0));
        let opens = (new.0 && !open.0, new.1 && (!open.1 || open.0 != new.0));
        let (closing, opening) = (closes.0 || closes.1, opens.0 || opens.1);
        if opening && !closing {
            out = last_as_entity(out);
        }
        out.push_str(if closes.1 { "_" } else { "" });
        out.push_str(if closes.0 { "**" } else { "" });
        out.push_str(if opens.0 { "**" } else { "" });
        out.push_str(if opens.1 { "_" } else { "" });
        if out.ends_with(']') && p.source.starts_with(['(', ':']) {
            // Behind a footnote sign these would make a link or a definition.
            out.push('\\');
        }
        match closing && !opening {
            true => out.push_str(&first_as_entity(&p.source)),
            false => out.push_str(&p.source),
        }
        open = new;
    }
    out.push_str(if open.1 { "_" } else { "" });
    out.push_str(if open.0 { "**" } else { "" });
    out
}

fn needs_entity(c: char) -> bool {
    !c.is_ascii_punctuation() && !c.is_whitespace()
}

fn last_as_entity(mut source: String) -> String {
    if let Some(c) = source.chars().next_back().filter(|&c| needs_entity(c)) {
        source.truncate(source.len() - c.len_utf8());
        source.push_str(&format!("&#{};", c as u32));
    }
    source
}

fn first_as_entity(source: &str) -> String {
    match source.chars().next() {
        Some(c) if needs_entity(c) => format!("&#{};{}", c as u32, &source[c.len_utf8()..]),
        _ => source.to_owned(),
    }
}

/// Escapes what a Markdown reader could take for a mark. Edges count as unknown neighbours.
fn escape(text: &str, spot: Spot) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut before: Option<char> = None;
    let mut rest = text.chars();
    while let Some(c) = rest.next() {
        let after = rest.clone().next();
        let mark = match c {
            '\\' | '`' | '[' | ']' | '~' | '$' => true,
            '<' => after.is_none_or(|a| a.is_ascii_alphabetic() || "/!?".contains(a)),
            '*' => !(before == Some(' ') && after == Some(' ')),
            '_' => {
                !(before.is_some_and(|b| b.is_ascii_alphanumeric()) && after.is_some_and(|a| a.is_ascii_alphanumeric()))
            }
            '&' => after.is_none_or(|a| a.is_ascii_alphanumeric() || a == '#'),
            '!' => after.is_none(),
            '|' => spot == Spot::Cell,
            // Addresses stay words: no reader makes a link of them.
            ':' => rest.as_str().starts_with("//"),
            '.' => out.len() >= 3 && out.as_bytes()[out.len() - 3..].eq_ignore_ascii_case(b"www"),
            '@' => true,
            _ => false,
        };
        if mark {
            out.push('\\');
        }
        out.push(c);
        before = Some(c);
    }
    out
}

/// Escapes what would make a line begin a list, a heading, a quotation or a rule, or end a heading.
fn start(line: &str, spot: Spot) -> String {
    let mut line = line.to_owned();
    if spot == Spot::Heading && line.ends_with('#') && !line.ends_with("\\#") {
        line.insert(line.len() - 1, '\\');
    }
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let mark = match line[digits..].chars().next() {
        Some('.' | ')') => digits > 0,
        Some('#' | '>' | '-' | '+' | '=' | ':' | '|') => digits == 0,
        _ => false,
    };
    if mark && spot == Spot::Paragraph {
        line.insert(digits, '\\');
    }
    line
}

/// Code with a fence of backticks that its text doesn't hold.
fn code(text: &str, spot: Spot) -> String {
    let mut longest = 0;
    let mut run = 0;
    for c in text.chars() {
        run = if c == '`' { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    let fence = "`".repeat(longest + 1);
    let pad = if text.starts_with('`') || text.ends_with('`') { " " } else { "" };
    let text = if spot == Spot::Cell { text.replace('|', "\\|") } else { text.to_owned() };
    format!("{fence}{pad}{text}{pad}{fence}")
}

fn link(words: &str, heading: &str) -> String {
    format!("[{words}](#{heading})")
}

fn value(text: &str, behind: &Behind, plan: &Plan, spot: Spot) -> String {
    let words = escape(text, spot);
    match behind {
        Behind::Working(id) if plan.sheet(&id.name()).is_some() => link(&words, plan.home(&id.name())),
        Behind::Place(place, _) if plan.number(place) > 0 => format!("{words}[^{}]", plan.number(place)),
        Behind::Working(id) => format!("{words} \\[{}\\]", id.name()),
        Behind::Place(..) | Behind::Count => words,
    }
}

fn state(s: State) -> String {
    format!("{} {}", s.letter(), s.word())
}

/// Signs that stand for themselves in Markdown.
fn cover(c: Cover) -> &'static str {
    match c {
        Cover::Not => "\\-",
        Cover::Bridged | Cover::Covered | Cover::NotNeeded => c.sign(),
    }
}
