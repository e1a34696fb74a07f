//! Malformed sites: each gives exactly its diagnostics, and every code that galipot knows has a case.

use crate::builder::{self, Files};
use galipot::cli::show::{self, Style};
use galipot::compose::Audience;
use galipot::diag::Diagnostic;
use galipot::diag::codes::CODES;
use galipot::model::site::AssemblyFile;
use galipot::pipeline::{self, Options};
use std::path::Path;

/// The base site with the files of a case in place of its own. `DELETE` lists files to leave out.
fn files_of(case: &Path) -> (Files, Vec<String>) {
    let mut files = builder::base();
    let mut set = Vec::new();
    for (path, bytes) in builder::load(case) {
        let words = || String::from_utf8(bytes.clone()).expect("text").lines().map(str::to_string).collect::<Vec<_>>();
        match path.as_str() {
            "expected.txt" => {}
            "DELETE" => words().iter().for_each(|p| builder::remove(&mut files, p)),
            "SET" => set = words(),
            _ => builder::put(&mut files, &path, bytes),
        }
    }
    (files, set)
}

/// What a person who asks for one line each is told.
fn told(case: &Path) -> String {
    let (files, set) = files_of(case);
    match pipeline::assess(files, &Options { as_of: None, set }) {
        Ok(assessed) => {
            let draft = |a: &AssemblyFile| pipeline::draft(&assessed, &a.assembly.id.text, Audience::All).err();
            let problems: Vec<Diagnostic> = assessed.site.assemblies.iter().filter_map(draft).collect();
            if problems.is_empty() {
                return "nothing: the site was accepted\n".to_string();
            }
            show::short(&assessed.site.sources, &problems, &Style::default())
        }
        Err(refused) => show::short(&refused.sources, &refused.problems, &Style::default()),
    }
}

fn cases() -> Vec<std::path::PathBuf> {
    let folder = builder::tests("cases/refused");
    let mut all: Vec<_> = std::fs::read_dir(folder).expect("the cases").map(|e| e.expect("an entry").path()).collect();
    all.sort();
    all
}

/// Set GALIPOT_WRITE_CASES=1 to write what galipot says now; then read every line of the difference.
#[test]
fn every_case_gives_exactly_its_diagnostics() {
    let write = std::env::var_os("GALIPOT_WRITE_CASES").is_some();
    let mut wrong = Vec::new();
    let all = cases();
    assert!(all.len() >= 50, "{} cases", all.len());
    for case in &all {
        let got = told(case);
        let file = case.join("expected.txt");
        if write {
            std::fs::write(&file, &got).expect("written");
        }
        let want = std::fs::read_to_string(&file).unwrap_or_default();
        if got != want {
            wrong.push(format!("{}\n  wanted: {want}  told:   {got}", case.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A case is named after the code that it shows, alone or with a variant behind it.
#[test]
fn every_code_has_a_case_and_every_case_a_code() {
    for code in CODES {
        let shown = cases().iter().any(|c| {
            let name = c.file_name().expect("a name").to_string_lossy().into_owned();
            let named = name == code.code || name.starts_with(&format!("{}-", code.code));
            named
                && std::fs::read_to_string(c.join("expected.txt"))
                    .unwrap_or_default()
                    .contains(&format!("{}: ", code.code))
        });
        assert!(shown, "no case shows the code {}", code.code);
    }
    for case in cases() {
        let name = case.file_name().expect("a name").to_string_lossy().into_owned();
        let code = CODES.iter().any(|c| name == c.code || name.starts_with(&format!("{}-", c.code)));
        assert!(code || name.starts_with("many-"), "{name} is no code");
    }
}

#[test]
fn places_point_at_the_bytes_that_are_wrong() {
    for case in cases() {
        let (files, set) = files_of(&case);
        let Err(refused) = pipeline::assess(files, &Options { as_of: None, set }) else { continue };
        for label in refused.problems.iter().flat_map(|p| &p.labels) {
            let source = refused.sources.get(label.at.file);
            assert!(label.at.end as usize <= source.bytes.len(), "{}: {label:?}", case.display());
            if std::str::from_utf8(&source.bytes).is_ok() && label.at.end > label.at.start {
                let again = refused.sources.at(label.at.file, label.at.start as usize, label.at.end as usize);
                assert_eq!(again, label.at, "{}", case.display());
            }
        }
    }
}
