//! Removing anything from the site never lifts a claim: missing evidence is never "met".
//!
//! Reading 11 MB of tables for each of some three hundred removals would take minutes, so tables are read once: a site
//! is read with its long tables cut to their first reading of every channel, and the tables that were read from the whole files are put
//! in their place. Computing and judging then run in full for every removal that is not refused by reading.

use super::*;
use galipot::model::site::{RunFolder, Site};
use galipot::{compute, judge, read};

/// Lines that a table keeps when it is cut: more than any run has channels.
const ROWS: usize = 100;

/// The site with tables cut short.
fn short() -> Files {
    let cut = |bytes: &[u8]| {
        let end =
            bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').nth(ROWS - 1).map_or(bytes.len(), |(i, _)| i + 1);
        bytes[..end].to_vec()
    };
    let table = |p: &str| p.starts_with("runs/") && p.ends_with(".csv");
    files().iter().map(|(p, b)| (p.clone(), if table(p) { cut(b) } else { b.clone() })).collect()
}

/// The site without some files, with whole tables; none when reading refuses it.
fn without(short: &Files, gone: impl Fn(&str) -> bool) -> Option<Site> {
    let left: Files = short.iter().filter(|(p, _)| !gone(p)).cloned().collect();
    let (mut site, _) = read::read(left, None, &[]).ok()?;
    let whole = &base().site;
    for r in &mut site.runs {
        let id = r.run.id.text.clone();
        let RunFolder { tables, altered, .. } = whole.run(&id).expect("a run of the site");
        (r.tables, r.altered) = (tables.clone(), altered.clone());
    }
    Some(site)
}

/// Claims that a removal lifted to with-conditions or supported.
fn lifted(site: &Site) -> Vec<String> {
    let after = judge::judge(site, &compute::compute(site));
    let mut out = Vec::new();
    for a in &after.assemblies {
        let Some(before) = base().assessment.assemblies.iter().find(|x| x.id == a.id) else { continue };
        for c in &a.claims {
            let Some(b) = before.claim(c.tree, &c.id) else { continue };
            let holds = matches!(c.state, State::WithConditions | State::Supported);
            if holds && b.state != State::NotApplicable && c.state > b.state {
                out.push(format!("{} {} from {} to {}", a.id, c.id, b.state.word(), c.state.word()));
            }
        }
    }
    out
}

#[test]
fn cutting_and_restoring_tables_changes_nothing() {
    let site = without(&short(), |_| false).expect("it is read");
    let after = judge::judge(&site, &compute::compute(&site));
    let states = |a: &Assessment| -> Vec<(String, &'static str, u64)> {
        let all = a.assemblies.iter().flat_map(|x| x.claims.iter());
        all.map(|c| (c.id.clone(), c.state.word(), c.margin.to_bits())).collect()
    };
    assert_eq!(states(&after), states(&base().assessment));
}

#[test]
fn no_file_that_vanishes_lifts_a_claim() {
    let short = short();
    let (mut refused, mut judged) = (0, 0);
    for (path, _) in files().iter().filter(|(p, _)| p != "README.md") {
        match without(&short, |p| p == path) {
            None => refused += 1,
            Some(site) => {
                judged += 1;
                let up = lifted(&site);
                assert!(up.is_empty(), "without {path}: {up:?}");
            }
        }
    }
    assert!(refused > 100 && judged > 20, "{refused} refused, {judged} judged");
}

#[test]
fn no_run_that_vanishes_whole_lifts_a_claim() {
    let short = short();
    let mut judged = 0;
    for r in &base().site.runs {
        let folder = format!("runs/{}/", r.run.id);
        let site = without(&short, |p| p.starts_with(&folder));
        let Some(site) = site else { continue };
        judged += 1;
        let up = lifted(&site);
        assert!(up.is_empty(), "without {folder}: {up:?}");
    }
    assert_eq!(judged, base().site.runs.len(), "every run can be taken out whole");
}
