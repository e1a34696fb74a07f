//! Reading: units, `--set`, tables, spreadsheets, all mistakes at once, and no panic on any bytes.

use crate::builder::{self, Files};
use galipot::diag::{Diagnostic, Sources};
use galipot::model::site::Site;
use galipot::read;

fn site(files: Files) -> Site {
    with(files, &[])
}

fn with(files: Files, set: &[&str]) -> Site {
    let set: Vec<String> = set.iter().map(|s| (*s).to_string()).collect();
    match read::read(files, None, &set) {
        Ok((site, _)) => site,
        Err((sources, problems)) => panic!("{}", lines(&sources, &problems).join("\n")),
    }
}

fn lines(sources: &Sources, problems: &[Diagnostic]) -> Vec<String> {
    problems
        .iter()
        .map(|d| match d.labels.first() {
            Some(l) => format!("{}:{}: {}: {}; {}", sources.cite(l.at), l.at.column, d.code, d.headline, d.hint),
            None => format!("{}: {}; {}", d.code, d.headline, d.hint),
        })
        .collect()
}

#[test]
fn the_base_site_reads() {
    let s = site(builder::base());
    assert_eq!(s.assemblies.len(), 1);
    assert_eq!(s.runs[0].tables[0].rows(), 8);
    assert!(s.runs[0].altered.is_empty());
    assert_eq!(s.runs[0].tables[0].text("board", 1), "B2");
    assert_eq!(s.runs[0].tables[0].number("R", 5), 1e13);
    assert!(s.claims.len() > 20);
    assert_eq!(s.as_of.to_string(), "2026-03-31");
}
