//! Takes ratings of inspectors; gives agreement beyond chance of every inspector, newest study first.

use super::Sets;
use crate::compute::calc::kappa;
use crate::compute::work::{rows, work};
use crate::diag::At;
use crate::model::workings::{Sample, Workings};
use std::collections::BTreeMap;

/// The words that a rating may be.
const RATINGS: [&str; 3] = ["accept", "indicator", "defect"];

/// Ratings of one inspector in one study: counts by reference and rating.
#[derive(Debug, Clone)]
struct Tally {
    counts: [[f64; 3]; 3],
    at: At,
}

/// Enters "kappa" of the newest study by name and "kappa_earlier" of the others, one sample per inspector.
pub fn collect(sets: &mut Sets, w: &mut Workings) {
    let ctx = sets.ctx;
    let mut tallies: BTreeMap<(String, String), Tally> = BTreeMap::new();
    for table in ctx.folder.tables("agreement") {
        for row in 0..table.rows() {
            let key = (table.text("study", row).to_string(), table.text("inspector", row).to_string());
            let t = tallies.entry(key).or_insert_with(|| Tally { counts: [[0.0; 3]; 3], at: table.at(row) });
            let index = |word: &str| RATINGS.iter().position(|r| *r == word);
            if let (Some(i), Some(j)) = (index(table.text("reference", row)), index(table.text("rating", row))) {
                t.counts[i][j] += 1.0;
            }
        }
    }
    let Some(newest) = tallies.keys().map(|k| k.0.clone()).max() else { return };
    for ((study, inspector), t) in &tallies {
        let n: f64 = t.counts.iter().flatten().sum();
        let alike: f64 = (0..3).map(|i| t.counts[i][i]).sum();
        let chance: f64 =
            (0..3).map(|i| t.counts[i].iter().sum::<f64>() * t.counts.iter().map(|row| row[i]).sum::<f64>()).sum();
        let quantity = if *study == newest { "kappa" } else { "kappa_earlier" };
        let from = || rows(t.at, n as usize);
        let subject = format!("{} {study} {inspector}: agreement with the reference", ctx.run().id.text);
        let inputs = vec![("po", alike / n, from()), ("pe", chance / (n * n), from())];
        let done = work(w, &kappa::CALC, &subject, n as usize, "1", inputs);
        let p = sets.of("", "all", quantity, "1", None);
        match done {
            Ok(d) => {
                p.set.samples.push(Sample {
                    board: study.clone(),
                    place: inspector.clone(),
                    lot: String::new(),
                    value: d.values[0],
                    censored: false,
                    at: t.at,
                });
            }
            Err(_) => p.trouble(|| format!("{inspector} saw items of one rating only, so agreement says nothing")),
        }
    }
}
