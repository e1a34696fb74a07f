//! `galipot redact`: writes a copy of a bag for one reader.

use std::path::Path;

use super::args::CopyFor;
use super::disk::{self, Existing};
use super::{Outcome, bags, terminal};
use crate::model::Day;
use crate::pipeline::{self, Options};
use crate::seal::{self, Files, Report};

/// Makes the copy, checks it, writes it, and lists what a human has to read before it is sent.
///
/// # Errors
/// In words, when the bag is not intact, or the folder exists or cannot be written.
pub fn run(bag: &Path, reader: CopyFor, out: &Path) -> Result<Outcome, String> {
    let folder = bags::read(bag)?;
    if !folder.report().intact() {
        return Err(format!("{} is not intact, so it is not copied: galipot verify {0}", bag.display()));
    }
    let word = match reader {
        CopyFor::Customer => "customer",
        CopyFor::Lab => "lab",
    };
    let copy = seal::redact(&folder.files, word)?;
    let report = seal::verify(&copy.files, &[]);
    if !report.intact() {
        let why: Vec<String> = report.problems.iter().map(|p| format!("{} {}: {}", p.code, p.file, p.text)).collect();
        return Err(format!("the copy that was made does not verify: {}", why.join("; ")));
    }
    let named = named(&folder.files, &copy.files, &report, word);
    let files: Vec<(String, Vec<u8>)> = copy.files.into_iter().collect();
    disk::write_folder(out, &files, Existing::Refuse).map_err(|e| e.to_string())?;
    terminal::out(&format!(
        "{}  {} files, {} withheld from the reader {word}\ncontent digest of the whole {}\n",
        out.display(),
        files.len(),
        report.withheld.len(),
        copy.digest
    ));
    if folder.files.contains_key("data/dossier.pdf") {
        let data = out.join("data");
        terminal::out(&format!(
            "the PDF shows every section and is left out; one of the copy: typst compile --root {0} {0}/dossier.typ\n",
            data.display()
        ));
    }
    terminal::out(&match named {
        Err(()) => "this version cannot read the inputs of the bag, so nobody looked whether the copy names \
                    something that is withheld: read it before you send it\n"
            .to_string(),
        Ok(list) if list.is_empty() => "no file of the copy names an id of anything that is withheld\n".to_string(),
        Ok(list) => {
            format!("read these before you send the copy; what they name is withheld:\n  {}\n", list.join("\n  "))
        }
    });
    Ok(Outcome::Holds)
}

/// Lines of the inputs of a copy that name what is withheld; an error when this version cannot read the site of the bag.
fn named(whole: &Files, copy: &Files, report: &Report, reader: &str) -> Result<Vec<String>, ()> {
    let inputs = |of: &Files| -> Vec<(String, Vec<u8>)> {
        of.iter().filter_map(|(p, b)| Some((p.strip_prefix("data/inputs/")?.to_string(), b.clone()))).collect()
    };
    let options = Options { as_of: Day::parse(&report.as_of), set: Vec::new() };
    let a = pipeline::assess(inputs(whole), &options).map_err(|_| ())?;
    let assembly = report.info.iter().find(|i| i.0 == "Galipot-Assembly").map(|i| i.1.as_str()).unwrap_or_default();
    let mut kept = inputs(copy);
    // The dossier lists the paths of all inputs, which no copy hides.
    let mut page = copy.get("data/dossier.md").map(|b| String::from_utf8_lossy(b).into_owned()).unwrap_or_default();
    let mut paths: Vec<String> = inputs(whole).into_iter().map(|f| f.0).collect();
    paths.sort_by_key(|p| std::cmp::Reverse(p.len()));
    for p in paths {
        page = page.replace(&p, "");
    }
    kept.push(("dossier.md".into(), page.into_bytes()));
    let kept: Vec<(&str, &[u8])> = kept.iter().map(|(p, b)| (p.as_str(), b.as_slice())).collect();
    Ok(pipeline::mentions(&a, assembly, reader, &kept))
}
