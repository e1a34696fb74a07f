//! Gates on the readings: integrity (G1), conditions (G5), controls (G6), sampling (G9), completeness (G10).

use super::Dock;
use crate::model::assessment::{GateEffect, GateResult};
use crate::model::evidence::{FileRole, Run, RunFile, RunKind};
use crate::model::site::RunFolder;
use crate::quantity::{Dimension, Quantity, significant};
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// G1: every file is the one that was registered, there are readings, and no other run holds the same bytes.
pub fn g1_integrity<'a>(d: &Dock<'a>) -> GateResult {
    let run = &d.r.run;
    if let Some((path, found)) = d.r.altered.first() {
        let folder = format!("runs/{}/", run.id);
        let listed = run.file.iter().find(|f| {
            path.strip_prefix(&folder).is_some_and(|p| p == f.path.text) || path.ends_with(&format!("/{}", f.path))
        });
        let text = format!("{path} is not the file that was registered: its SHA-256 is {found}");
        return d.result_at("G1", GateEffect::Inadmissible, text, listed.map_or(run.at, |f| f.sha256.at));
    }
    let read = |t: &&crate::model::tables::DataTable| t.spec.kind != "chamber" && t.rows() > 0;
    if run.kind != RunKind::Datasheet && !d.r.tables.iter().any(|t| read(&t)) {
        return d.result("G1", GateEffect::Inadmissible, "no file of readings");
    }
    let readings = |r: &'a Run| r.file.iter().filter(|f| f.role == FileRole::Readings);
    let bytes = |f: &RunFile| f.sha256.text.to_ascii_lowercase();
    for (i, f) in readings(run).enumerate() {
        if readings(run).take(i).any(|g| bytes(g) == bytes(f)) {
            let text = format!("{} holds the same bytes as another file of this run", f.path);
            return d.result_at("G1", GateEffect::Inadmissible, text, f.at);
        }
    }
    // Of two runs with the same content the later one is the copy.
    let before = |o: &Run| {
        o.id.text != run.id.text
            && (o.start.partial_cmp(&run.start), o.id.text.as_str()) < (Some(Ordering::Equal), run.id.text.as_str())
    };
    for o in d.site.runs.iter().filter(|o| before(&o.run)) {
        if let Some(f) = readings(run).find(|f| readings(&o.run).any(|g| bytes(g) == bytes(f))) {
            let text = format!("{} holds the same bytes as a file of {}", f.path, o.run.id);
            return d.result_at("G1", GateEffect::Inadmissible, text, f.at);
        }
        if same_readings(d.r, o) {
            let text = format!("its readings are, one by one, those of {}", o.run.id);
            return d.result("G1", GateEffect::Inadmissible, text);
        }
    }
    d.result("G1", GateEffect::Passed, "every file has the digest that the run states")
}

/// Whether two runs hold the same resistances in the same order, whatever their boards are called and however their
/// files are written. Twenty readings that are not all alike don't agree by chance.
fn same_readings(a: &RunFolder, b: &RunFolder) -> bool {
    let all = |r: &RunFolder| -> Vec<f64> {
        let tables = r.tables.iter().filter(|t| matches!(t.spec.kind, "sir" | "ecm"));
        tables.flat_map(|t| t.numbers("R").unwrap_or_default()).copied().filter(|x| x.is_finite()).collect()
    };
    if a.tables.iter().map(|t| t.rows()).sum::<usize>() != b.tables.iter().map(|t| t.rows()).sum::<usize>() {
        return false;
    }
    let (x, y) = (all(a), all(b));
    x.len() >= 20 && x == y && x.iter().any(|v| *v != x[0])
}

/// G5: the chamber stayed inside its tolerance, and nothing condensed that was not meant to.
pub fn g5_conditions(d: &Dock) -> GateResult {
    let run = &d.r.run;
    if run.condensation_seen && !run.condensing {
        return d.result("G5", GateEffect::Inadmissible, "condensation was seen in a test that was to be dry of it");
    }
    if run.temperature.is_none() && run.humidity.is_none() {
        let needs = matches!(run.kind, RunKind::Sir | RunKind::Ecm);
        return if needs {
            d.result("G5", GateEffect::Inadmissible, "temperature and humidity of the chamber are not stated")
        } else {
            d.result("G5", GateEffect::Passed, "no chamber")
        };
    }
    let Some(inside) = d.workings.run_fact(&run.id, "chamber_inside") else {
        let report = run.file.iter().any(|f| f.role == FileRole::Report);
        return if matches!(run.kind, RunKind::Sir | RunKind::Ecm) {
            d.result("G5", GateEffect::Inadmissible, "no chamber log")
        } else if report {
            d.result("G5", GateEffect::Passed, "no chamber log; the laboratory's report states the chamber")
        } else {
            d.result("G5", GateEffect::Minor, "no chamber log and no report")
        };
    };
    let logged = logged_share(d);
    let share = if inside.unit == "%" { inside.value / 100.0 } else { inside.value } * logged;
    let (Some(wanted), Some(floor)) = (d.limit("G5", "chamber_inside"), d.limit("G5", "chamber_inside_floor")) else {
        return d.result(
            "G5",
            GateEffect::Inadmissible,
            "CRITERION_MISSING: no agreed share of samples inside the tolerance",
        );
    };
    let mut text = format!("{} % of the run is logged inside the tolerance", significant(share * 100.0, 3));
    if logged < 1.0 {
        text.push_str(&format!(" (the log covers {} % of it)", significant(logged * 100.0, 3)));
    }
    let effect = if !share.is_finite() || share < floor.value.si {
        GateEffect::Inadmissible
    } else if share < wanted.value.si {
        GateEffect::Minor
    } else {
        GateEffect::Passed
    };
    d.result_at("G5", effect, text, inside.at)
}

/// Share of the readings, or of the run where there is no series, that its chamber log covers. What is not logged was
/// not inside the tolerance; a step between two samples of more than ten times the usual one, and of an hour at least,
/// is a hole.
fn logged_share(d: &Dock) -> f64 {
    let mut t: Vec<f64> =
        d.r.tables("chamber")
            .flat_map(|x| (0..x.rows()).map(|i| x.number("t", i)))
            .filter(|t| t.is_finite() && *t >= 0.0)
            .collect();
    t.sort_by(f64::total_cmp);
    let steps: Vec<f64> = t.windows(2).map(|w| w[1] - w[0]).collect();
    let mut sorted = steps.clone();
    sorted.sort_by(f64::total_cmp);
    let Some(usual) = sorted.get(sorted.len() / 2) else { return 0.0 };
    let hole = (10.0 * usual).max(1.0);
    let covered: f64 = steps.iter().filter(|s| **s <= hole).sum();
    let last = d.r.tables("sir").flat_map(|x| x.numbers("t").unwrap_or_default()).fold(f64::NAN, |a: f64, t| a.max(*t));
    let ran = if last > 0.0 { last } else { d.r.run.start.hours_until(&d.r.run.end) };
    // The clock of the log may begin within one hole of the run.
    if covered + hole >= ran { 1.0 } else { covered / ran }
}

/// G6: unprocessed controls stayed high, and controls that were meant to fail did.
pub fn g6_controls(d: &Dock) -> GateResult {
    let run = &d.r.run;
    if run.kind != RunKind::Sir {
        return d.result("G6", GateEffect::Passed, "no controls belong to this kind of run");
    }
    if run.controls.is_empty() {
        return d.result("G6", GateEffect::Inadmissible, "no control boards are named");
    }
    let Some(limit) = d.limit("G6", "sir_control") else {
        return d.result("G6", GateEffect::Inadmissible, "CRITERION_MISSING: no agreed limit for controls");
    };
    let Some(low) = d.workings.run_fact(&run.id, "control_min") else {
        return d.result("G6", GateEffect::Inadmissible, "the readings hold no control board");
    };
    let Some(wanted) = log_ohm(&limit.value) else {
        return d.result_at("G6", GateEffect::Inadmissible, "the limit for controls is no resistance", limit.at);
    };
    let text = format!(
        "lowest control {} log10 ohm after stabilisation, limit {}",
        significant(low.value, 3),
        significant(wanted, 3)
    );
    if low.value < wanted {
        return d.result_at("G6", GateEffect::Inadmissible, text, low.at);
    }
    let reads = |board: &str| {
        d.r.tables("sir").any(|t| (0..t.rows()).any(|i| t.text("board", i) == board && t.text("flag", i) != "noread"))
    };
    if let Some(c) = run.controls.iter().find(|c| !reads(c)) {
        return d.result_at("G6", GateEffect::Inadmissible, format!("control board {c} has no reading"), c.at);
    }
    // Failing means: below every limit of insulation that the run is to speak to.
    let limit = limits(d).into_iter().reduce(f64::min);
    for board in &run.positive_controls {
        let mut facts = d.workings.run_facts.iter().filter(|f| f.run == run.id.text && f.name == "positive_min");
        let words = match (limit, facts.find(|f| f.place == board.text).map(|f| f.value)) {
            (_, None) => format!("board {board} was meant to fail and has no reading"),
            (None, _) => format!("no limit says what failing means for board {board}"),
            (Some(l), Some(x)) if x >= l => {
                let (x, l) = (significant(x, 3), significant(l, 3));
                format!("board {board} was meant to fail and stayed at {x} log10 ohm, limit {l}")
            }
            _ => continue,
        };
        return d.result_at("G6", GateEffect::Inadmissible, words, board.at);
    }
    d.result_at("G6", GateEffect::Passed, text, low.at)
}

/// A limit of resistance as its decimal logarithm.
fn log_ohm(q: &Quantity) -> Option<f64> {
    match q.dimension() {
        Dimension::RESISTANCE => Some(libm::log10(q.si)),
        Dimension::DECADES => Some(q.si),
        _ => None,
    }
}

/// Limits of insulation, log10 ohm, of the claims and assemblies that the run is to speak to.
fn limits(d: &Dock) -> Vec<f64> {
    let (claims, assemblies) = d.site.targets(&d.r.run);
    d.site
        .criteria
        .iter()
        .filter(|c| c.quantity.text == "sir" && c.applies_to.iter().any(|x| claims.iter().any(|t| t.text == x.text)))
        .filter(|c| c.assemblies.is_empty() || c.assemblies.iter().any(|x| assemblies.iter().any(|t| t.text == x.text)))
        .filter_map(|c| log_ohm(&c.value))
        .collect()
}

/// G9: readings are close enough together, the ceiling is a decade above the limit, the series resistor is known.
pub fn g9_sampling(d: &Dock) -> GateResult {
    let run = &d.r.run;
    if run.kind != RunKind::Sir {
        return d.result("G9", GateEffect::Passed, "no series of readings");
    }
    let (Some(interval), Some(headroom)) = (d.limit("G9", "reading_interval"), d.limit("G9", "ceiling_headroom"))
    else {
        return d.result("G9", GateEffect::Inadmissible, "CRITERION_MISSING: no agreed interval or ceiling");
    };
    let found = d.workings.run_fact(&run.id, "interval_max").map(|f| f.value);
    let Some(found) = found.or_else(|| run.interval.as_ref().map(|q| q.in_unit("min"))) else {
        return d.result("G9", GateEffect::Minor, "the interval between readings is not known");
    };
    let allowed = interval.value.in_unit("min");
    // Hours written to two places make a step of 20 min look up to 0.6 min longer.
    if found.is_nan() || found > allowed * 1.03 {
        return d.result(
            "G9",
            GateEffect::Minor,
            format!(
                "a reading every {} min, agreed {} min: drops between readings are not seen",
                significant(found, 3),
                significant(allowed, 3)
            ),
        );
    }
    let limit = limits(d).into_iter().fold(f64::NEG_INFINITY, f64::max);
    match &run.ceiling {
        None => return d.result("G9", GateEffect::Minor, "the ceiling of the instrument is not stated"),
        Some(c) if libm::log10(c.si) < limit + headroom.value.si => {
            return d.result_at(
                "G9",
                GateEffect::Minor,
                format!("ceiling {c} is less than {} above the limit", headroom.value),
                c.at,
            );
        }
        Some(_) => {}
    }
    for (v, _) in d.site.builds_of(run) {
        if let Some(p) = v.pattern.iter().find(|p| p.series_resistor.as_ref().is_none_or(|r| r.si <= 0.0)) {
            return d.result_at(
                "G9",
                GateEffect::Minor,
                format!("pattern {} has no resistor that limits the current: a filament may burn unseen", p.id),
                p.at,
            );
        }
    }
    d.result(
        "G9",
        GateEffect::Passed,
        format!("a reading every {} min, agreed {} min", significant(found, 3), significant(allowed, 3)),
    )
}

/// Channels of a migration test that were read after the bias.
fn ended(d: &Dock) -> usize {
    let mut seen = BTreeSet::new();
    for t in d.r.tables("ecm") {
        for i in 0..t.rows() {
            if t.text("phase", i) == "end" && t.text("flag", i) != "noread" {
                seen.insert((t.text("board", i).to_string(), t.text("pattern", i).to_string()));
            }
        }
    }
    seen.len()
}

/// G10: every planned channel is reported.
pub fn g10_completeness(d: &Dock) -> GateResult {
    let run = &d.r.run;
    let Some(planned) = &run.channels_planned else {
        return if matches!(run.kind, RunKind::Sir | RunKind::Ecm) {
            d.result("G10", GateEffect::Inadmissible, "the number of planned channels is not stated")
        } else {
            d.result("G10", GateEffect::Passed, "no channels")
        };
    };
    let reported = match d.workings.run_fact(&run.id, "channels_reported") {
        Some(f) => f.value,
        None if run.kind == RunKind::Ecm => ended(d) as f64,
        None if run.kind == RunKind::Sir => {
            return d.result_at("G10", GateEffect::Inadmissible, "no channel is reported", planned.at);
        }
        None => return d.result("G10", GateEffect::Passed, "reported by row"),
    };
    let missing = (planned.si - reported).max(0.0);
    let Some(limit) = d.limit("G10", "channels_missing") else {
        return d.result("G10", GateEffect::Inadmissible, "CRITERION_MISSING: no agreed share of missing channels");
    };
    let text = format!("{} channels planned, {} reported", planned.si, reported);
    let effect = if missing > limit.value.si * planned.si {
        GateEffect::Inadmissible
    } else if missing > 0.0 && run.dead_channels_explained.is_none() {
        GateEffect::Minor
    } else {
        GateEffect::Passed
    };
    d.result_at("G10", effect, text, planned.at)
}
