//! Takes nothing; gives every generated file of the example site, the same on every machine.

mod chance;
mod chemistry;
mod functions;
mod insulation;
mod levels;
mod line;
mod sir;

use galipot::diag::sha256_hex;
use std::collections::BTreeMap;

/// Files by their path inside the site.
#[derive(Default)]
pub struct Files(BTreeMap<String, String>);

impl Files {
    fn add(&mut self, run: &str, name: &str, text: String) {
        self.0.insert(format!("runs/{run}/{name}"), text);
    }

    /// The same bytes under another run: the trap of the copied file.
    fn copy(&mut self, from: &str, to: &str, name: &str) {
        let text = self.0[&format!("runs/{from}/{name}")].clone();
        self.add(to, name, text);
    }
}

/// Every table of readings: path inside the site, text.
pub fn generate() -> BTreeMap<String, String> {
    let mut files = Files::default();
    insulation::all(&mut files);
    chemistry::all(&mut files);
    functions::all(&mut files);
    line::all(&mut files);
    files.0
}

/// Writes the digest of each listed file after its `sha256 =`. `read` gives the bytes of a file of the run.
pub fn stamp(record: &str, read: impl Fn(&str) -> Option<Vec<u8>>) -> String {
    let mut path = String::new();
    let mut out = String::new();
    for line in record.split_inclusive('\n') {
        let quoted = |l: &str| l.split('"').nth(1).unwrap_or_default().to_string();
        let words = line.trim_start();
        if words.starts_with("path = ") {
            path = quoted(line);
        }
        match read(&path).filter(|_| words.starts_with("sha256 = ")) {
            Some(bytes) => {
                let indent = &line[..line.len() - words.len()];
                out.push_str(&format!("{indent}sha256 = \"{}\"\n", sha256_hex(&bytes)));
            }
            None => out.push_str(line),
        }
    }
    out
}
