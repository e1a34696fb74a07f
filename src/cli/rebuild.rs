//! Takes a whole bag; gives what differs from the bag that this program makes of its inputs, and what was not compared.

use crate::model::Day;
use crate::pipeline::{self, Issue, Options};
use crate::seal::{self, Files, Pdf, Report};

/// What became of a rebuild.
pub struct Rebuilt {
    /// Program and version that rebuilt.
    pub tool: String,
    /// Every difference in words, or why nothing could be rebuilt.
    pub differs: Vec<String>,
    /// What was not compared, and why.
    pub left_out: Vec<String>,
}

/// Labels that the inputs do not decide: the site's version control and the programs that ran.
const FREE: [&str; 5] = ["Bag-Software-Agent", "Galipot-Commit", "Galipot-Pdf", "Galipot-Uncommitted", "Payload-Oxum"];
/// Files that another bag of the same inputs need not share: manifests follow from the rest, the PDF is a rendition.
const APART: [&str; 4] = ["bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt", "data/dossier.pdf"];

/// Derives everything again from the inputs and the record of the revision before, and compares it byte by byte.
pub fn rebuilt(report: &Report, files: &Files) -> Rebuilt {
    let tool = format!("galipot {}", env!("CARGO_PKG_VERSION"));
    let mut left_out = Vec::new();
    let differs = compared(report, files, &tool, &mut left_out).unwrap_or_else(|why| why);
    Rebuilt { tool, differs, left_out }
}

/// Every difference; an error is why nothing could be rebuilt.
fn compared(
    report: &Report,
    files: &Files,
    tool: &str,
    left_out: &mut Vec<String>,
) -> Result<Vec<String>, Vec<String>> {
    let inputs: Vec<(String, Vec<u8>)> =
        files.iter().filter_map(|(p, b)| p.strip_prefix("data/inputs/").map(|p| (p.to_string(), b.clone()))).collect();
    let options = Options { as_of: Day::parse(&report.as_of), set: Vec::new() };
    let assessed = pipeline::assess(inputs, &options)
        .map_err(|r| vec![format!("the inputs cannot be read: {} problems", r.problems.len())])?;
    let assembly = label(&report.info, "Galipot-Assembly");
    let issue = Issue {
        revision: report.revision.clone(),
        previous: report.previous.clone(),
        previous_record: files.get("data/previous/record.json").cloned(),
        previous_standing: files.get("data/previous/standing.json").cloned(),
        ..Issue::default()
    };
    let mut contents = pipeline::contents(&assessed, &assembly, &issue)?;
    if let Some(bytes) = files.get("data/dossier.pdf") {
        contents.pdf = Pdf::Made { bytes: bytes.clone(), by: label(&report.info, "Galipot-Pdf") };
    }
    let bag = pipeline::sealed(&contents)?;
    let again = seal::verify(&bag.files, &[]);
    let by = if report.tool == tool {
        String::new()
    } else {
        format!("; it was written by {}, and this is {tool}", report.tool)
    };
    let same_format = again.format == report.format;
    // What of another format is written alike: the dossier, its record and its pictures.
    let apart = |p: &str| {
        APART.contains(&p)
            || p.starts_with("signatures/")
            || (!same_format
                && !["data/dossier.", "data/sections/", "data/figures/", "data/record.json"]
                    .iter()
                    .any(|f| p.starts_with(f)))
            || (report.tool != tool && p.starts_with("data/built-in/"))
    };
    let mut out = Vec::new();
    for p in files.keys().chain(bag.files.keys().filter(|p| !files.contains_key(*p))).filter(|p| !apart(p)) {
        match (files.get(p), bag.files.get(p)) {
            (Some(a), Some(b)) if a == b => {}
            (Some(_), Some(_)) => out.push(format!("{p} differs{by}")),
            (Some(_), None) => out.push(format!("{p} does not follow from the inputs{by}")),
            // Bags of the first format hold no Typst source.
            (None, _) if !same_format => {}
            (None, _) => out.push(format!("{p} follows from the inputs and is not there{by}")),
        }
    }
    let labels = report.info.iter().chain(again.info.iter().filter(|l| label(&report.info, &l.0).is_empty()));
    for (name, _) in labels.filter(|l| !FREE.contains(&l.0.as_str()) && (same_format || l.0 == "Source-Organization")) {
        let (stated, found) = (label(&report.info, name), label(&again.info, name));
        if stated != found {
            out.push(format!("bag-info.txt: {name} is {stated}, and {found} by the inputs{by}"));
        }
    }
    if files.contains_key("data/dossier.pdf") {
        left_out.push("data/dossier.pdf: a rendition, which another version of typst may set otherwise".into());
    }
    left_out.push(format!("{} of bag-info.txt, which the inputs do not decide", FREE[..4].join(", ")));
    if report.tool != tool {
        left_out.push("data/built-in/: rules and templates of another version of the program".into());
    }
    if !same_format {
        left_out.push(format!("tables of people, audiences and information, which {} writes otherwise", again.format));
    }
    Ok(out)
}

fn label(info: &[(String, String)], name: &str) -> String {
    info.iter().find(|i| i.0 == name).map_or(String::new(), |i| i.1.clone())
}
