//! Takes a whole bag and a reader; gives a copy without what is not for that reader, which still verifies.
//!
//! The copy carries the tag files of the whole bag. Its digest is that of the whole; a withheld file is named by the
//! digest that the whole manifest gives it.

use super::bagit::{Bag, Files, INFO, MANIFEST, TAG_MANIFEST, read_info, read_manifest, write};
use super::contents::{self, AUDIENCES, README};
use super::labels;
use crate::diag::sha256_hex;
use crate::model::parts;

/// Folder of the tag files of the whole bag.
pub const WHOLE: &str = "whole/";
/// The tag files of the whole bag.
pub const OF_WHOLE: [&str; 6] = ["bagit.txt", INFO, MANIFEST, TAG_MANIFEST, AUDIENCES, README];

/// A file that is the sum of its parts: the files of a folder with one ending, in order of path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    pub path: &'static str,
    pub folder: &'static str,
    pub ending: &'static str,
}

const fn form(path: &'static str, folder: &'static str, ending: &'static str) -> Form {
    Form { path, folder, ending }
}

const FORMS: [Form; 5] = [
    form("data/dossier.html", "data/sections/", ".html"),
    form("data/dossier.md", "data/sections/", ".md"),
    form("data/dossier.typ", "data/sections/", ".typ"),
    form("data/record.json", "data/record/", ".part"),
    form(PREVIOUS, "data/previous/record/", ".part"),
];
/// The record of the revision before, which a first revision does not have.
pub const PREVIOUS: &str = "data/previous/record.json";

/// The files of a bag of this format that are sums of their parts; none when the format is unknown.
pub fn forms_of(format: &str) -> Option<&'static [Form]> {
    match format {
        contents::FIRST_FORMAT => Some(&FORMS[..2]),
        contents::SECOND_FORMAT => Some(&FORMS[..3]),
        contents::THIRD_FORMAT | contents::FORMAT => Some(&FORMS),
        _ => None,
    }
}

/// The format of copies of a bag of this format.
pub fn format_of_copy(format: &str) -> String {
    format.replace("galipot.bag/", "galipot.copy/")
}

/// Whether the information of a bag of this format states the verdict, as it did before the record had parts.
pub fn states_verdict(format: &str) -> bool {
    matches!(format, contents::FIRST_FORMAT | contents::SECOND_FORMAT)
}

/// Whether approvals are left out of a copy: they tell the verdict, which is not for a laboratory.
pub fn without_approvals(format: &str, reader: &str) -> bool {
    !states_verdict(format) && reader == "lab"
}

/// Whether a file for `audience` may be read by `reader`.
pub fn reads(reader: &str, audience: &str) -> bool {
    reader == "internal" || audience == "all" || audience == reader
}

/// Audience of every payload file, by path inside the bag.
pub fn audiences(text: &[u8]) -> Option<Vec<(String, String)>> {
    let text = std::str::from_utf8(text).ok()?;
    text.lines().map(|l| l.split_once("  ").map(|(a, p)| (p.to_string(), a.to_string()))).collect()
}

/// Audience of a file; what is not listed stays in the house.
pub fn audience_of<'a>(audiences: &'a [(String, String)], path: &str) -> &'a str {
    audiences.iter().find(|a| a.0 == path).map_or("internal", |a| &*a.1)
}

/// One form out of its parts in order of path: bytes where the part is there, else its audience and digest.
pub fn joined(ending: &str, sections: &[(String, Result<&[u8], (&str, &str)>)]) -> Vec<u8> {
    let mut out = Vec::new();
    for (i, (path, found)) in sections.iter().enumerate() {
        let file = path.rsplit('/').next().unwrap_or(path).trim_end_matches(ending);
        match found {
            Ok(bytes) => out.extend_from_slice(bytes),
            Err((audience, digest)) if ending == ".part" => {
                let stands = parts::placeholder(file, audience, digest, i == 0, i + 1 == sections.len());
                out.extend_from_slice(stands.as_bytes());
            }
            Err((audience, digest)) => out.extend_from_slice(placeholder(ending, file, audience, digest).as_bytes()),
        }
    }
    out
}

fn placeholder(ending: &str, file: &str, audience: &str, digest: &str) -> String {
    let name = file.split_once('-').map_or(file, |f| f.1);
    match ending {
        ".html" => format!(
            "<section id=\"{name}\" class=\"withheld\"><p><strong>Section {name} is withheld from this copy.</strong> It \
             is for the reader \"{audience}\". SHA-256 of the section: <code>{digest}</code></p></section>\n"
        ),
        ".typ" => format!("#withheld({}, {}, {})\n", quoted(name), quoted(audience), quoted(digest)),
        _ => format!(
            "\n> **Section {name} is withheld from this copy.** It is for the reader \"{audience}\". SHA-256 of the \
             section: `{digest}`\n"
        ),
    }
}

/// A string literal of Typst.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// The parts of one form that a manifest names, in order of path.
pub fn sections(
    manifest: &std::collections::BTreeMap<String, String>,
    form: Form,
) -> impl Iterator<Item = (&String, &String)> {
    manifest.iter().filter(move |(p, _)| p.starts_with(form.folder) && p.ends_with(form.ending))
}

/// A copy of an intact bag for one reader.
///
/// # Errors
/// In words, when the bag is itself a copy, or lacks what every bag has.
pub fn redact(whole: &Files, reader: &str) -> Result<Bag, String> {
    if whole.keys().any(|p| p.starts_with(WHOLE)) {
        return Err("this is a copy already; make copies from the whole bag".into());
    }
    let mut problems = Vec::new();
    let of = |name: &str| whole.get(name).ok_or_else(|| format!("the bag has no {name}"));
    let manifest = read_manifest(MANIFEST, of(MANIFEST)?, &mut problems);
    let info = read_info(of(INFO)?, &mut problems);
    let value = |label: &str| info.iter().find(|i| i.0 == label).map_or(String::new(), |i| i.1.clone());
    let format = value("Galipot-Format");
    let forms = forms_of(&format).ok_or_else(|| format!("the format of the bag is \"{format}\""))?;
    let audiences = audiences(of(AUDIENCES)?).ok_or("audiences.txt cannot be read")?;
    let audience = |p: &str| audience_of(&audiences, p);
    let mut payload = Files::new();
    for path in manifest.keys() {
        if !forms.iter().any(|f| f.path == path)
            && reads(reader, audience(path))
            && let (Some(inside), Some(bytes)) = (path.strip_prefix("data/"), whole.get(path))
        {
            payload.insert(inside.to_string(), bytes.clone());
        }
    }
    for form in forms.iter().filter(|f| manifest.contains_key(f.path)) {
        let parts: Vec<_> = sections(&manifest, *form)
            .map(|(p, digest)| {
                let shown = whole.get(p).filter(|_| reads(reader, audience(p)));
                (p.clone(), shown.map(Vec::as_slice).ok_or((audience(p), digest.as_str())))
            })
            .collect();
        payload.insert(form.path.trim_start_matches("data/").to_string(), joined(form.ending, &parts));
    }
    let digest = sha256_hex(of(TAG_MANIFEST)?);
    let lines = labels::lines(&info, reader, &digest);
    let mut tags = Files::from([(README.to_string(), labels::OF_COPY.into())]);
    for name in OF_WHOLE {
        tags.insert(format!("{WHOLE}{name}"), of(name)?.clone());
    }
    let mut bag = write(&payload, &lines, tags);
    let approvals = whole.iter().filter(|f| f.0.starts_with("signatures/") && !without_approvals(&format, reader));
    bag.files.extend(approvals.map(|(p, b)| (p.clone(), b.clone())));
    bag.digest = digest;
    Ok(bag)
}
