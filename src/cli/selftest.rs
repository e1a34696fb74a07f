//! `galipot selftest`: every known answer beside the value of this build, and the record that qualifies the tool.

use std::fmt::Write;
use std::path::Path;

use super::args::Args;
use super::disk::{self, Existing};
use super::{Outcome, terminal};
use crate::compute::calc::registry;
use crate::compute::selftest::{self, Row, STANDINGS, SelfTest};
use crate::quantity::{compact, significant};
use crate::{manual, render};

/// Computes all checks, shows a summary, and writes the record where a folder is named.
///
/// # Errors
/// In words, when the folder cannot be written.
pub fn run(args: &Args, out: Option<&Path>) -> Result<Outcome, String> {
    let t = selftest::run(registry());
    if let Some(folder) = out {
        disk::write_folder(folder, &files(&t), Existing::Replace(&ours)).map_err(|e| e.to_string())?;
    }
    if args.json {
        terminal::out(&String::from_utf8_lossy(&t.bytes()));
    } else {
        terminal::out(&summary(&t));
        if let Some(folder) = out {
            terminal::out(&format!("\nrecord  {}\n", folder.join("selftest.html").display()));
        }
    }
    Ok(if t.counts().1 == 0 { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// The record in every form, and the table that its digest covers.
fn files(t: &SelfTest) -> Vec<(String, Vec<u8>)> {
    let target = format!("{} {}", std::env::consts::ARCH, std::env::consts::OS);
    let mut files = render::pages(&manual::record(t, &target), "selftest");
    files.push(("selftest.json".into(), t.bytes()));
    files
}

/// Files that a record holds; a folder with anything else in it is not replaced.
fn ours(path: &str) -> bool {
    matches!(path, "selftest.md" | "selftest.html" | "selftest.json")
}

/// Columns of the list of calculations, and the width of each.
const COLUMNS: usize = 3;
const WIDTH: usize = 32;

/// One screen: misses first, then by standing and by calculation, then the digest.
fn summary(t: &SelfTest) -> String {
    let (met, missed) = t.counts();
    let mut s = format!(
        "galipot {}: {} known answers of {} calculations: {met} met, {missed} missed\n\n",
        env!("CARGO_PKG_VERSION"),
        t.rows.len(),
        t.calcs.len()
    );
    for r in t.rows.iter().filter(|r| !r.met()) {
        let _ = writeln!(s, "MISSED  {}", miss(r).replace('\n', "\n        "));
    }
    if missed > 0 {
        s.push('\n');
    }
    let _ = writeln!(s, "{:<20}{:>6}{:>8}", "answer known", "met", "missed");
    for k in STANDINGS {
        let (met, missed) = t.of_standing(k);
        let _ = writeln!(s, "{:<20}{met:>6}{missed:>8}", k.word());
    }
    s.push_str("\nmet of all, by calculation\n");
    let all: Vec<String> = t
        .calcs
        .iter()
        .map(|c| {
            let (met, missed) = t.of_calc(c.id);
            let mark = if missed > 0 { " MISSED" } else { "" };
            format!("{} {met}/{}{mark}", c.id, met + missed)
        })
        .collect();
    let rows = all.len().div_ceil(COLUMNS);
    for i in 0..rows {
        let line: String = (0..COLUMNS).filter_map(|c| all.get(c * rows + i)).fold(String::new(), |mut l, x| {
            let _ = write!(l, "  {x:<width$}", width = WIDTH - 2);
            l
        });
        s.push_str(line.trim_end());
        s.push('\n');
    }
    let _ = writeln!(s, "\nSHA-256 of the table (--json)\n{}", t.digest());
    s
}

fn miss(r: &Row) -> String {
    let computed = match &r.computed {
        Ok(v) => format!("computed {}", significant(*v, 10)),
        Err(why) => why.clone(),
    };
    let known = if r.expected.is_finite() {
        format!("known {} within {}, {}", compact(r.expected), significant(r.allowed, 2), r.check.known.word())
    } else {
        "no known value".into()
    };
    format!("{} {}: {computed}\n{known}: {}", r.calc.id, r.symbol, r.source())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compute::calc::{Calc, Check, guard_band};

    static WRONG: Calc =
        Calc { checks: &[Check { expected: &[("g", 0.21)], ..guard_band::CALC.checks[0] }], ..guard_band::CALC };

    #[test]
    fn a_planted_wrong_answer_stands_first_and_in_every_form() {
        let t = selftest::run(&[&WRONG]);
        let text = summary(&t);
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines[0].ends_with("0 met, 1 missed"), "{text}");
        assert!(lines[2].starts_with("MISSED  guard_band g: computed 0.2"), "{text}");
        assert!(text.contains("guard_band 0/1 MISSED"), "{text}");
        for (path, bytes) in files(&t) {
            let words = String::from_utf8(bytes).expect("text");
            let shown = if path.ends_with(".json") { "\"met\": false" } else { "ANSWERS MISSED" };
            assert!(words.contains(shown) && words.contains("0.21"), "{path}: {words}");
            assert!(ours(&path), "{path}");
        }
    }
}
