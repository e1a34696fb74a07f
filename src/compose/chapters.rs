//! Takes the site's own templates; gives every chapter in order, the built-in one where the site has none.

use super::template::{Failure, Vocabulary, expand_line, strip};
use crate::diag::{At, Diagnostic, codes, sha256_hex};
use crate::model::site::Site;

macro_rules! built_in {
    ($($file:literal)*) => {
        /// Chapters that travel inside the program: file name and text.
        pub const BUILT_IN: &[(&str, &str)] = &[$(($file, include_str!(concat!("../../templates/", $file)))),*];
    };
}

built_in! {
    "01-verdict.md" "02-unproven.md" "03-coverage.md" "04-worst-place.md" "05-electrical.md"
    "06-conditions.md" "07-asked.md" "08-approvals.md" "09-since.md" "10-changes.md" "11-requirements.md" "12-places.md"
    "13-flux.md" "14-environment.md" "15-triad.md" "16-claims.md" "17-ionic.md" "18-under-body.md"
    "19-functions.md" "20-downstream.md" "21-process.md" "22-runs.md" "23-deviations.md" "24-doubts.md"
    "25-alternatives.md" "26-failure-modes.md" "27-surveillance.md" "90-criteria.md" "91-laboratories.md"
    "92-manifest.md" "93-sheets.md" "94-cautions.md" "95-reading.md" "96-remarks.md"
}

/// One chapter before expansion.
#[derive(Debug, Clone)]
pub struct Template {
    /// `01-verdict.md`.
    pub file: String,
    /// `verdict`: anchor of the chapter.
    pub name: String,
    pub title: String,
    pub number: String,
    pub audience: String,
    /// Text below the front matter.
    pub body: String,
    /// Number of the first line of `body` in its file.
    pub body_line: usize,
    pub sha256: String,
    /// Place of the site's own file; none for a built-in one.
    pub at: Option<At>,
}

/// Words that `audience:` may hold.
pub const AUDIENCES: [&str; 4] = ["all", "customer", "internal", "lab"];

/// Every chapter, in order of file name.
///
/// # Errors
/// A front matter that lacks a line, or a name that is not of the form NN-name.md.
pub fn chapters(site: &Site, vocabulary: &Vocabulary) -> Result<Vec<Template>, Diagnostic> {
    let mut all: Vec<(String, String, Option<At>)> =
        BUILT_IN.iter().map(|(file, text)| ((*file).to_string(), (*text).to_string(), None)).collect();
    for (id, source) in site.sources.iter() {
        let Some(file) = source.path.strip_prefix("templates/").filter(|f| f.ends_with(".md") && !source.built_in)
        else {
            continue;
        };
        let at = site.sources.at(id, 0, 0);
        let text = std::str::from_utf8(&source.bytes).map_err(|_| {
            let hint = "save it as UTF-8 text";
            Diagnostic::error(codes::TEMPLATE, format!("the template {file} is not UTF-8 text"), hint)
                .at(at, "this file")
        })?;
        all.retain(|(f, _, _)| f != file);
        all.push((file.to_string(), text.to_string(), Some(at)));
    }
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all.into_iter().map(|(file, text, at)| front_matter(site, file, &text, at, vocabulary)).collect()
}

fn front_matter(
    site: &Site,
    file: String,
    text: &str,
    at: Option<At>,
    vocabulary: &Vocabulary,
) -> Result<Template, Diagnostic> {
    let fail = |line: usize, what: String, hint: &str| {
        Err(problem(site, at, &file, &Failure { line, what, hint: hint.to_string() }))
    };
    let name = match file.strip_suffix(".md").and_then(|f| f.split_once('-')) {
        Some((digits, name)) if digits.len() == 2 && digits.bytes().all(|b| b.is_ascii_digit()) && is_name(name) => {
            name.to_string()
        }
        _ => {
            let hint = "name it NN-name.md: two digits for its place, then small letters, digits and hyphens";
            return fail(1, format!("\"{}\" is not a name for a chapter", file.escape_debug()), hint);
        }
    };
    let (mut title, mut number, mut audience) = (None, None, None);
    let mut line = 0;
    let mut ended = false;
    let mut rest = text;
    while !ended {
        let (first, after) = rest.split_once('\n').unwrap_or((rest, ""));
        line += 1;
        if first.trim_end() == "---" {
            ended = true;
        } else if let Some((key, value)) = first.split_once(':') {
            let value = Some((value.trim().to_string(), line));
            match key.trim() {
                "title" => title = value,
                "number" => number = value,
                "audience" => audience = value,
                other => {
                    let what = format!("the front matter has no line `{}`", other.escape_debug());
                    return fail(line, what, "write title, number and audience, then a line ---");
                }
            }
        } else {
            let hint = "begin the file with the lines title:, number: and audience:, then a line ---";
            return fail(line, "the front matter does not end with a line ---".into(), hint);
        }
        rest = after;
    }
    let (Some(title), Some(number), Some(audience)) = (title, number, audience) else {
        let hint = "write all three of title:, number: and audience:";
        return fail(line, "the front matter lacks a line".into(), hint);
    };
    if !AUDIENCES.contains(&audience.0.as_str()) {
        let what = format!("\"{}\" is not an audience", audience.0.escape_debug());
        return fail(audience.1, what, "use one of: all, customer, internal, lab");
    }
    let title = match expand_line(&title.0, title.1, vocabulary) {
        Ok(t) => t,
        Err(f) => return Err(problem(site, at, &file, &f)),
    };
    Ok(Template {
        name,
        title,
        number: strip(&number.0),
        audience: audience.0,
        body: rest.to_string(),
        body_line: line + 1,
        sha256: sha256_hex(text.as_bytes()),
        at,
        file,
    })
}

fn is_name(name: &str) -> bool {
    !name.is_empty()
        && name.len() <= 40
        && name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
}

/// A diagnostic for a template: its place in the site's own file, or the name of a built-in one.
pub fn problem(site: &Site, at: Option<At>, file: &str, f: &Failure) -> Diagnostic {
    let headline = format!("templates/{file}:{}: {}", f.line, f.what);
    let d = Diagnostic::error(codes::TEMPLATE, headline, f.hint.clone());
    let Some(at) = at else { return d };
    let bytes = &site.sources.get(at.file).bytes;
    let mut start = 0;
    for _ in 1..f.line {
        match bytes[start..].iter().position(|&b| b == b'\n') {
            Some(p) => start += p + 1,
            None => break,
        }
    }
    let end = bytes[start..].iter().position(|&b| b == b'\n').map_or(bytes.len(), |p| start + p);
    d.at(site.sources.at(at.file, start, end), "in this line")
}
