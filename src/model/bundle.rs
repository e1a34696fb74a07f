//! A dossier in its written forms, whole and in the sections that these forms are made of; and the digest on its pages.

use crate::diag::sha256_hex;

/// Files of one dossier: (path inside its folder, bytes), in order of path; and the sections that its written forms are
/// made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Bundle {
    pub files: Vec<(String, Vec<u8>)>,
    pub sections: Vec<Section>,
}

/// A section: a chapter in every written form, or what stands around the chapters. The forms of all sections, one behind
/// the other, are the written forms of the dossier.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Stable name: of the chapter, or `head`, `places`, `foot`.
    pub name: String,
    /// Who may read it: all, customer, internal or lab.
    pub audience: String,
    /// Number and title of the chapter, empty for what stands around the chapters.
    pub title: String,
    pub markdown: String,
    pub html: String,
    pub typst: String,
    /// Names of its figures, without ending.
    pub figures: Vec<String>,
}

/// The digest of inputs and record that stands on every page: SHA-256 of one line per input file (SHA-256, two spaces,
/// path) in the order given, which is that of the paths, and one last line for `record.json`.
pub fn inputs_and_record<'a>(inputs: impl Iterator<Item = (&'a str, String)>, record: &[u8]) -> String {
    let mut lines: String = inputs.map(|(path, sha256)| format!("{sha256}  {path}\n")).collect();
    lines.push_str(&format!("{}  record.json\n", sha256_hex(record)));
    sha256_hex(lines.as_bytes())
}
