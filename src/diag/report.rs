//! Takes places and words; gives a diagnostic as plain data, and the log that collects all of them.

use super::place::At;

/// How bad it is. Only `Error` stops a site from being assessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    Error,
    Warning,
}

/// A marked stretch of source with a few words beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    pub at: At,
    pub text: String,
}

/// One problem of the input: what is wrong, where, and what to do next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// One of [`super::codes::CODES`].
    pub code: &'static str,
    pub severity: Severity,
    pub headline: String,
    /// The first label is the main place; none for a problem of the site as a whole.
    pub labels: Vec<Label>,
    /// One concrete next step.
    pub hint: String,
}

impl Diagnostic {
    pub fn error(code: &'static str, headline: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { code, severity: Severity::Error, headline: headline.into(), labels: Vec::new(), hint: hint.into() }
    }

    /// Adds a marked place; the first one added is the main one.
    pub fn at(mut self, at: At, text: impl Into<String>) -> Self {
        self.labels.push(Label { at, text: text.into() });
        self
    }
}

/// Collects problems; reading never stops at the first.
#[derive(Debug, Default)]
pub struct Log {
    pub items: Vec<Diagnostic>,
}

impl Log {
    pub fn push(&mut self, d: Diagnostic) {
        self.items.push(d);
    }

    pub fn has_errors(&self) -> bool {
        self.items.iter().any(|d| d.severity == Severity::Error)
    }

    /// Problems in order of file, place and code, each once.
    pub fn into_sorted(mut self) -> Vec<Diagnostic> {
        self.items.sort_by(|a, b| {
            let key = |d: &Diagnostic| d.labels.first().map(|l| l.at);
            key(a).cmp(&key(b)).then_with(|| a.code.cmp(b.code)).then_with(|| a.headline.cmp(&b.headline))
        });
        self.items.dedup();
        self.items
    }
}
