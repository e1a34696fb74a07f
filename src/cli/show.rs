//! Takes diagnostics and their sources; gives text for a terminal: marked source, or one line each.

use crate::diag::{Diagnostic, FileId, Label, Severity, Sources};
use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::fmt::Write;

/// How diagnostics are drawn.
#[derive(Debug, Clone)]
pub struct Style {
    pub colour: bool,
    /// Columns of the terminal.
    pub width: usize,
    /// Put before every path of the site, so that an editor finds the file: "sites/mill/" or "".
    pub prefix: String,
}

impl Default for Style {
    fn default() -> Self {
        Self { colour: false, width: 100, prefix: String::new() }
    }
}

impl Style {
    fn path(&self, sources: &Sources, file: FileId) -> String {
        let source = sources.get(file);
        if source.built_in { source.path.clone() } else { format!("{}{}", self.prefix, source.path) }
    }
}

/// One line for each: `path:line:column: code: headline; hint`.
pub fn short(sources: &Sources, problems: &[Diagnostic], style: &Style) -> String {
    let mut out = String::new();
    for d in problems {
        if let Some(l) = d.labels.first() {
            let _ = write!(out, "{}:{}:{}: ", style.path(sources, l.at.file), l.at.line, l.at.column);
        }
        let warning = if d.severity == Severity::Warning { "warning: " } else { "" };
        let _ = writeln!(out, "{warning}{}: {}; {}", d.code, d.headline, d.hint);
    }
    out
}

/// Marked source with the hint below, and a count at the end.
pub fn full(sources: &Sources, problems: &[Diagnostic], style: &Style) -> String {
    let renderer = if style.colour { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(style.width.max(40)).decor_style(DecorStyle::Ascii);
    let mut out = String::new();
    for d in problems {
        let _ = writeln!(out, "{}\n", renderer.render(&[group(sources, d, style)]));
    }
    let errors = problems.iter().filter(|d| d.severity == Severity::Error).count();
    let warnings = problems.len() - errors;
    let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    match (errors, warnings) {
        (0, 0) => {}
        (0, w) => out.push_str(&format!("{}\n", count(w, "warning"))),
        (e, 0) => out.push_str(&format!("{}; nothing was written\n", count(e, "problem"))),
        (e, w) => out.push_str(&format!("{} and {}; nothing was written\n", count(e, "problem"), count(w, "warning"))),
    }
    out
}

fn group<'a>(sources: &'a Sources, d: &'a Diagnostic, style: &Style) -> Group<'a> {
    let level = if d.severity == Severity::Error { Level::ERROR } else { Level::WARNING };
    let mut group = Group::with_title(level.primary_title(d.headline.as_str()).id(d.code));
    let mut files: Vec<FileId> = Vec::new();
    for l in &d.labels {
        if !files.contains(&l.at.file) {
            files.push(l.at.file);
        }
    }
    let main = d.labels.first().map(|l| l.at);
    for file in files {
        let labels: Vec<&Label> = d.labels.iter().filter(|l| l.at.file == file).collect();
        let path = style.path(sources, file);
        let Some((text, first_byte, first_line)) = window(&sources.get(file).bytes, &labels) else {
            let at = labels[0].at;
            group = group.element(Origin::path(path).line(at.line as usize).char_column(at.column as usize));
            continue;
        };
        let marks = labels.iter().map(|l| {
            let kind = if Some(l.at) == main { AnnotationKind::Primary } else { AnnotationKind::Context };
            let start = (l.at.start as usize).saturating_sub(first_byte).min(text.len());
            let end = (l.at.end as usize).saturating_sub(first_byte).clamp(start, text.len());
            kind.span(start..end).label(l.text.as_str())
        });
        group = group.element(Snippet::source(text).path(path).line_start(first_line).annotations(marks));
    }
    group.element(Level::HELP.message(d.hint.as_str()))
}

/// The lines of a file that hold the labels, where they begin in it, and the number of the first one.
/// None for a file that is no text, a problem of the file as a whole, or a place without bytes (a cell of a spreadsheet).
fn window<'a>(bytes: &'a [u8], labels: &[&Label]) -> Option<(&'a str, usize, usize)> {
    let whole_file = labels.iter().all(|l| l.at.end == 0);
    if bytes.is_empty() || whole_file || labels.iter().any(|l| l.at.end == 0 && l.at.line > 1) {
        return None;
    }
    let start = labels.iter().map(|l| l.at.start as usize).min()?.min(bytes.len());
    let end = labels.iter().map(|l| l.at.end as usize).max()?.clamp(start, bytes.len());
    let from = bytes[..start].iter().rposition(|&b| b == b'\n').map_or(0, |p| p + 1);
    let to = bytes[end..].iter().position(|&b| b == b'\n').map_or(bytes.len(), |p| end + p);
    let line = labels.iter().map(|l| l.at.line as usize).min()?;
    let text = std::str::from_utf8(bytes.get(from..to)?).ok()?;
    Some((text, from, line))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::SourceFile;

    fn sources(text: &str) -> (Sources, FileId) {
        let mut s = Sources::default();
        let bytes = text.as_bytes().to_vec();
        let id = s.add(SourceFile { path: "people/a.toml".into(), bytes, sha256: String::new(), built_in: false });
        (s, id)
    }

    #[test]
    fn a_marked_line_with_its_hint() {
        let (s, id) = sources("[[person]]\nid = \"ADA\"\norgg = \"customer\"\n");
        let d = Diagnostic::error("unknown-key", "person has no field `orgg`", "did you mean `org`?")
            .at(s.at(id, 22, 26), "unknown key");
        let style = Style { prefix: "mill/".into(), ..Style::default() };
        let text = full(&s, std::slice::from_ref(&d), &style);
        let want = "error[unknown-key]: person has no field `orgg`
 --> mill/people/a.toml:3:1
  |
3 | orgg = \"customer\"
  | ^^^^ unknown key
  |
  = help: did you mean `org`?

1 problem; nothing was written
";
        assert_eq!(text, want);
        let line = "mill/people/a.toml:3:1: unknown-key: person has no field `orgg`; did you mean `org`?\n";
        assert_eq!(short(&s, &[d], &style), line);
    }

    #[test]
    fn places_without_text_show_the_path_only() {
        let (mut s, _) = sources("");
        let bytes = vec![0xFF, 0xFE, 0, 0];
        let id = s.add(SourceFile { path: "runs/R1/a.xlsx".into(), bytes, sha256: String::new(), built_in: false });
        let at = crate::diag::At { file: id, start: 0, end: 0, line: 7, column: 3 };
        let d = Diagnostic::error("xlsx", "the cell holds the error #N/A", "write a number").at(at, "this cell");
        let text = full(&s, &[d], &Style::default());
        assert!(text.contains("--> runs/R1/a.xlsx:7:3"), "{text}");
        assert!(text.contains("help: write a number"), "{text}");
    }
}
