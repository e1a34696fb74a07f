//! Gates on the readings: integrity (G1), conditions (G5), controls (G6), sampling (G9), completeness (G10).

use super::Dock;
use crate::model::assessment::{GateEffect, GateResult};
use crate::model::evidence::{FileRole, RunKind};
use crate::quantity::significant;

/// G1: every file is the one that was registered, there are readings, and no other run holds the same bytes.
pub fn g1_integrity(d: &Dock) -> GateResult {
    let run = &d.r.run;
    if let Some((path, found)) = d.r.altered.first() {
        return d.result(
            "G1",
            GateEffect::Inadmissible,
            format!("{path} is not the file that was registered: its SHA-256 is {found}"),
        );
    }
    if run.kind != RunKind::Datasheet && d.r.tables.iter().all(|t| t.rows() == 0) {
        return d.result("G1", GateEffect::Inadmissible, "no file of readings");
    }
    for f in run.file.iter().filter(|f| f.role == FileRole::Readings) {
        let earlier = d.site.runs.iter().map(|r| &r.run).find(|o| {
            o.id.text != run.id.text
                && (o.start.partial_cmp(&run.start), o.id.text.as_str())
                    < (Some(std::cmp::Ordering::Equal), run.id.text.as_str())
                && o.file.iter().any(|g| g.role == FileRole::Readings && g.sha256.text == f.sha256.text)
        });
        if let Some(o) = earlier {
            return d.result_at(
                "G1",
                GateEffect::Inadmissible,
                format!("{} holds the same bytes as a file of {}", f.path, o.id),
                f.at,
            );
        }
    }
    d.result("G1", GateEffect::Passed, "every file has the digest that the run states")
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
    let share = if inside.unit == "%" { inside.value / 100.0 } else { inside.value };
    let (Some(wanted), Some(floor)) = (d.limit("G5", "chamber_inside"), d.limit("G5", "chamber_inside_floor")) else {
        return d.result(
            "G5",
            GateEffect::Inadmissible,
            "CRITERION_MISSING: no agreed share of samples inside the tolerance",
        );
    };
    let text = format!("{} % of the chamber log lies inside the tolerance", significant(share * 100.0, 3));
    let effect = if share < floor.value.si {
        GateEffect::Inadmissible
    } else if share < wanted.value.si {
        GateEffect::Minor
    } else {
        GateEffect::Passed
    };
    d.result_at("G5", effect, text, inside.at)
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
    let wanted = if limit.value.unit.text().contains("ohm")
        && limit.value.dimension() == crate::quantity::Dimension::RESISTANCE
    {
        libm::log10(limit.value.si)
    } else {
        limit.value.si
    };
    let text = format!(
        "lowest control {} log10 ohm after stabilisation, limit {}",
        significant(low.value, 3),
        significant(wanted, 3)
    );
    if low.value < wanted {
        return d.result_at("G6", GateEffect::Inadmissible, text, low.at);
    }
    for board in &run.positive_controls {
        let mut facts = d.workings.run_facts.iter().filter(|f| f.run == run.id.text && f.name == "positive_min");
        let lowest = facts.find(|f| f.place == board.text).map(|f| f.value);
        let failed = d
            .workings
            .outcomes
            .iter()
            .filter(|o| o.run == run.id.text)
            .any(|o| d.workings.sets[o.set].quantity == "sir" && lowest.is_some_and(|x| x < o.limit));
        if !failed {
            return d.result_at(
                "G6",
                GateEffect::Inadmissible,
                format!("board {board} was meant to fail and did not"),
                board.at,
            );
        }
    }
    d.result_at("G6", GateEffect::Passed, text, low.at)
}

/// G9: readings are close enough together, the ceiling is a decade above the limit, the series resistor is known.
pub fn g9_sampling(d: &Dock) -> GateResult {
    let run = &d.r.run;
    if run.kind != RunKind::Sir {
        return d.result("G9", GateEffect::Passed, "no series of readings");
    }
    let (Some(interval), Some(headroom)) = (d.limit("G9", "reading_interval"), d.limit("G9", "ceiling_headroom"))
    else {
        return d.result("G9", GateEffect::Minor, "CRITERION_MISSING: no agreed interval between readings");
    };
    let found = d.workings.run_fact(&run.id, "interval_max").map(|f| f.value);
    let Some(found) = found.or_else(|| run.interval.as_ref().map(|q| q.in_unit("min"))) else {
        return d.result("G9", GateEffect::Minor, "the interval between readings is not known");
    };
    let allowed = interval.value.in_unit("min");
    if found > allowed * (1.0 + 1e-9) {
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
    let limit = d
        .site
        .criteria
        .iter()
        .filter(|c| c.quantity.text == "sir" && c.value.unit.text().contains("log10"))
        .map(|c| c.value.si)
        .fold(f64::NEG_INFINITY, f64::max);
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
    let Some(reported) = d.workings.run_fact(&run.id, "channels_reported") else {
        return if matches!(run.kind, RunKind::Sir) {
            d.result_at("G10", GateEffect::Inadmissible, "no channel is reported", planned.at)
        } else {
            d.result("G10", GateEffect::Passed, "reported by row")
        };
    };
    let missing = (planned.si - reported.value).max(0.0);
    let Some(limit) = d.limit("G10", "channels_missing") else {
        return d.result("G10", GateEffect::Inadmissible, "CRITERION_MISSING: no agreed share of missing channels");
    };
    let text = format!("{} channels planned, {} reported", planned.si, reported.value);
    let effect = if missing > limit.value.si * planned.si {
        GateEffect::Inadmissible
    } else if missing > 0.0 && run.dead_channels_explained.is_none() {
        GateEffect::Minor
    } else {
        GateEffect::Passed
    };
    d.result_at("G10", effect, text, planned.at)
}
