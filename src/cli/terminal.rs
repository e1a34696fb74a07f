//! Standard output, standard error and progress: what a person or a pipe sees.

use std::io::{self, IsTerminal, Write};

use super::show::{self, Style};
use crate::diag::{Diagnostic, Sources};

/// Writes to standard output; a reader that went away ends the writing, not the program's honesty.
pub fn out(text: &str) {
    let _ = io::stdout().lock().write_all(text.as_bytes());
}

/// Writes one JSON document to standard output.
pub fn json(document: &serde_json::Value) {
    out(&format!("{document:#}\n"));
}

/// Writes one line of error.
pub fn error(text: &str) {
    let _ = writeln!(io::stderr().lock(), "galipot: {text}");
}

/// Shows problems on standard error, drawn or one line each.
pub fn problems(sources: &Sources, problems: &[Diagnostic], folder: &str, short: bool) {
    if problems.is_empty() {
        return;
    }
    let colour = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    let prefix =
        if folder.is_empty() || folder == "." { String::new() } else { format!("{}/", folder.trim_end_matches('/')) };
    let style = Style { colour, prefix, ..Style::default() };
    let text = if short { show::short(sources, problems, &style) } else { show::full(sources, problems, &style) };
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// Says what is being done, on a terminal only, on a line that the next step overwrites.
pub fn progress(what: &str) {
    let mut e = io::stderr();
    if e.is_terminal() {
        let _ = write!(e, "\r\x1b[2K{what} ...");
        let _ = e.flush();
    }
}

/// Clears the line of progress.
pub fn progress_end() {
    let mut e = io::stderr();
    if e.is_terminal() {
        let _ = write!(e, "\r\x1b[2K");
        let _ = e.flush();
    }
}
