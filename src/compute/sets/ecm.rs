//! Takes resistance before and after bias; gives ratios, end values and filaments of every comb.

use super::{Ctx, Sets, is_specimen, lot_of};
use crate::diag::At;
use crate::model::workings::{RunFact, Sample, Workings};
use std::collections::BTreeMap;

/// One comb: log10 ohm before and after, whether it stood at the ceiling, filament in percent.
#[derive(Debug, Default, Clone)]
struct Comb {
    start: Option<(f64, bool, At)>,
    end: Option<(f64, bool, At)>,
    filament: Option<(f64, At)>,
}

fn reading(ctx: Ctx, flag: &str, ohm: f64) -> Option<f64> {
    let stated = |q: &Option<crate::quantity::Quantity>| q.as_ref().map_or(f64::NAN, |q| q.si);
    let ohm = match flag {
        "ok" => ohm,
        "ceil" if ohm.is_nan() => stated(&ctx.run().ceiling),
        "floor" if ohm.is_nan() => stated(&ctx.run().floor).max(1e3),
        "ceil" | "floor" => ohm,
        _ => f64::NAN,
    };
    (ohm > 0.0 && ohm.is_finite()).then(|| libm::log10(ohm))
}

/// Enters the sets "ecm_ratio", "ecm_ratio_comb", "ecm_end" and "filament", and how many combs were read both times.
pub fn collect(sets: &mut Sets, w: &mut Workings) {
    let ctx = sets.ctx;
    let mut order: Vec<(String, String)> = Vec::new();
    let mut combs: BTreeMap<(String, String), Comb> = BTreeMap::new();
    for table in ctx.folder.tables("ecm") {
        for row in 0..table.rows() {
            let key = (table.text("board", row).to_string(), table.text("pattern", row).to_string());
            let comb = combs.entry(key.clone()).or_insert_with(|| {
                order.push(key);
                Comb::default()
            });
            let (flag, at) = (table.text("flag", row), table.at(row));
            let value = reading(ctx, flag, table.number("R", row)).map(|x| (x, flag == "ceil", at));
            let filament = table.number("filament", row);
            if table.text("phase", row) == "start" {
                comb.start = value;
            } else {
                comb.end = value;
                comb.filament = filament.is_finite().then_some((filament, at));
            }
        }
    }
    if !order.is_empty() {
        let both = combs.values().filter(|c| c.start.is_some() && c.end.is_some()).count();
        w.run_facts.push(RunFact {
            run: ctx.run().id.text.clone(),
            name: "channels_reported",
            place: String::new(),
            value: both as f64,
            unit: "1".into(),
            working: None,
            at: ctx.at(),
        });
    }
    for key in order {
        let (board, pattern) = &key;
        if is_specimen(ctx, board, ctx.pattern(board, pattern)) {
            enter(sets, board, pattern, &combs[&key]);
        }
    }
}

fn enter(sets: &mut Sets, board: &str, pattern: &str, comb: &Comb) {
    let lot = lot_of(sets.ctx, board);
    let sample = |value: f64, censored: bool, at: At| Sample {
        board: board.to_string(),
        place: pattern.to_string(),
        lot: lot.clone(),
        value,
        censored,
        at,
    };
    for quantity in ["ecm_ratio", "ecm_ratio_comb"] {
        let p = sets.of(board, pattern, quantity, "1", None);
        match (comb.start, comb.end) {
            (Some((_, true, _)), Some(_)) => {
                p.trouble(|| {
                    format!("{board}/{pattern} stood at the ceiling before the bias, so its ratio is not known")
                });
            }
            (Some((start, ..)), Some((end, at_ceiling, at))) => {
                p.set.samples.push(sample(libm::pow(10.0, end - start), at_ceiling, at));
            }
            _ => p.trouble(|| format!("{board}/{pattern} was not read both before and after the bias")),
        }
    }
    let p = sets.of(board, pattern, "ecm_end", "log10 ohm", None);
    match comb.end {
        Some((end, at_ceiling, at)) => p.set.samples.push(sample(end, at_ceiling, at)),
        None => p.trouble(|| format!("{board}/{pattern} was not read after the bias")),
    }
    let p = sets.of(board, pattern, "filament", "%", None);
    match comb.filament {
        Some((share, at)) => p.set.samples.push(sample(share, false, at)),
        None => p.trouble(|| format!("{board}/{pattern} was not inspected for filaments")),
    }
}
