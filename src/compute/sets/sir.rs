//! Takes resistance series; gives window minima, drops and drift of every comb, and facts on controls and gaps.

use super::series::{self, Series};
use super::{Ctx, Prepared, Sets, curves, is_specimen, lot_of};
use crate::compute::calc::{detection_probability, drift_slope, drop_events, window_minimum};
use crate::compute::maths::{mean, median};
use crate::compute::work::work;
use crate::diag::At;
use crate::model::evidence::{CauseKind, PatternKind};
use crate::model::workings::{HardEvent, Origin, RunFact, Sample, WorkingId, Workings};

/// A window that holds every reading.
const ALL: (f64, f64) = (-1e5, 1e5);
/// Hours of stabilisation when no criterion states a window.
const STABLE: f64 = 24.0;

/// The windows that criteria on a quantity name; from 24 h on when there is no such criterion.
fn windows(ctx: Ctx, quantity: &str) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    for c in ctx.site.criteria.iter().filter(|c| c.quantity.text == quantity) {
        let w = super::super::outcome::window(c).unwrap_or(ALL);
        if !out.contains(&w) {
            out.push(w);
        }
    }
    if out.is_empty() {
        out.push((STABLE, ALL.1));
    }
    out
}

/// Window of the controls: that of the criterion `sir_control`, else from 24 h on.
fn control_window(ctx: Ctx) -> (f64, f64) {
    let c = ctx.site.criteria.iter().find(|c| c.quantity.text == "sir_control");
    c.and_then(super::super::outcome::window).unwrap_or((STABLE, ALL.1))
}

/// Enters the sets and facts of a run's resistance series.
pub fn collect(sets: &mut Sets, w: &mut Workings) {
    let ctx = sets.ctx;
    let all = series::of_run(ctx);
    if all.is_empty() {
        return;
    }
    let specimen = |s: &Series| is_specimen(ctx, &s.board, ctx.pattern(&s.board, &s.pattern));
    for window in windows(ctx, "sir") {
        for s in all.iter().filter(|s| specimen(s)) {
            minimum(sets, s, window);
        }
    }
    lowest(sets, &all, w);
    let mut drops: Vec<Vec<f64>> = vec![Vec::new(); all.len()];
    for (k, window) in windows(ctx, "drops").into_iter().enumerate() {
        for (i, s) in all.iter().enumerate().filter(|(_, s)| specimen(s)) {
            let seen = dropped(sets, s, window);
            if k == 0 {
                drops[i] = seen;
            }
        }
    }
    let mut slopes: Vec<(f64, &Series)> = Vec::new();
    for s in all.iter().filter(|s| specimen(s)) {
        let slope = drift_slope::slope(&s.t, &s.x);
        if slope.is_finite() {
            slopes.push((slope, s));
            let at = s.at.last().copied().unwrap_or(s.first);
            let p = sets.of(&s.board, &s.pattern, "sir_drift", "dec", Some(ALL));
            p.set.samples.push(sample(ctx, s, slope, false, at));
            p.set.interval_min = p.set.interval_min.max(s.interval());
        }
    }
    facts(ctx, &all, &slopes, w);
    for (s, drops) in all.iter().zip(drops) {
        w.curves.push(curves::curve(ctx, s, !specimen(s), drops));
    }
}

fn sample(ctx: Ctx, s: &Series, value: f64, censored: bool, at: At) -> Sample {
    Sample { board: s.board.clone(), place: s.pattern.clone(), lot: lot_of(ctx, &s.board), value, censored, at }
}

/// The series reaches from one end of the window to the other, or the reason why it does not.
fn reaches(s: &Series, window: (f64, f64)) -> Option<String> {
    let slack = 1.5 * s.interval().max(0.0) / 60.0;
    let name = format!("{}/{}", s.board, s.pattern);
    match (s.t.first(), s.t.last()) {
        (Some(a), Some(b)) => {
            if window.0 > ALL.0 && *a > window.0 + slack {
                return Some(format!("readings of {name} begin at {a} h, the window at {} h", window.0));
            }
            if window.1 < ALL.1 && *b < window.1 - slack {
                return Some(format!("readings of {name} end at {b} h, the window at {} h", window.1));
            }
            None
        }
        _ => Some(format!("{name} has no reading")),
    }
}

fn minimum(sets: &mut Sets, s: &Series, window: (f64, f64)) {
    let ctx = sets.ctx;
    let found = window_minimum::minimum(&s.t, &s.x, window.0, window.1);
    let events = residue_events(ctx, s);
    let p = sets.of(&s.board, &s.pattern, "sir", "log10 ohm", Some(window));
    p.set.interval_min = p.set.interval_min.max(s.interval());
    match found {
        Some((lowest, i)) => {
            // The smoothed minimum stands at the ceiling when every reading that is not above it does.
            let censored = s.inside(window).all(|j| s.ceiling[j] || s.x[j] > lowest);
            p.set.samples.push(sample(ctx, s, lowest, censored, s.at[i]));
        }
        None => p.trouble(|| format!("{}/{} has no reading in the window", s.board, s.pattern)),
    }
    if let Some(why) = reaches(s, window) {
        p.trouble(|| why);
    }
    p.set.hard_events.extend(events);
}

/// Enters, for the lowest comb of every set, the readings around its minimum as a working: "window_minimum" per
/// "build/board/pattern".
fn lowest(sets: &Sets, all: &[Series], w: &mut Workings) {
    let ctx = sets.ctx;
    let of_readings = sets.list.iter().filter(|p| p.set.quantity == "sir");
    for (p, window) in of_readings.filter_map(|p| Some((p, p.window?))) {
        let Some(least) = p.set.samples.iter().min_by(|a, b| a.value.total_cmp(&b.value)) else { continue };
        let Some(s) = all.iter().find(|s| s.board == least.board && s.pattern == least.place) else { continue };
        let Some((value, i)) = window_minimum::minimum(&s.t, &s.x, window.0, window.1) else { continue };
        // An end of the series stands by itself, every other reading between its neighbours.
        let end = i == 0 || i + 1 >= s.t.len();
        let near = if end { i..i + 1 } else { i - 1..i + 2 };
        let mut inputs: Vec<(&'static str, f64, Origin)> = Vec::new();
        inputs.extend(near.clone().map(|j| ("t", s.t[j], Origin::Place(s.at[j]))));
        inputs.extend(near.map(|j| ("x", s.x[j], Origin::Place(s.at[j]))));
        inputs.extend(["from", "to"].map(|n| (n, s.t[i], Origin::Constant("the hour of the minimum"))));
        let inside = s.inside(window).len();
        let subject = format!(
            "{} {} {}: lowest comb {}, the readings around its minimum, the lowest of {inside} medians in the window",
            ctx.run().id,
            p.set.cell,
            p.set.place,
            s.board
        );
        if let Ok(done) = work(w, &window_minimum::CALC, &subject, inside, "log10 ohm", inputs) {
            w.run_facts.push(RunFact {
                run: ctx.run().id.text.clone(),
                name: "window_minimum",
                place: format!("{}/{}/{}", p.set.build, s.board, s.pattern),
                value,
                unit: "log10 ohm".into(),
                working: Some(done.id),
                at: s.at[i],
            });
        }
    }
}

/// Events of this comb that the run puts down to residue: no statistic may hide them.
fn residue_events(ctx: Ctx, s: &Series) -> Vec<HardEvent> {
    ctx.run()
        .event
        .iter()
        .filter(|e| e.board.text == s.board && e.pattern.text == s.pattern && e.cause == CauseKind::Residue)
        .map(|e| HardEvent {
            text: format!("event at {} on {}/{}, caused by residue", e.t.written, s.board, s.pattern),
            at: e.t.at,
        })
        .collect()
}

/// The deviation of the run whose words name an hour within one hour of `t`.
fn deviation_at(ctx: Ctx, t: f64) -> Option<String> {
    let hours = |text: &str| -> Vec<f64> {
        let words: Vec<&str> = text.split(|c: char| c.is_whitespace() || matches!(c, ';' | ',' | '(' | ')')).collect();
        let hour = |w: &str| w.trim_end_matches('.') == "h" || w.trim_end_matches('.') == "hours";
        words.windows(2).filter(|w| hour(w[1])).filter_map(|w| w[0].parse().ok()).collect()
    };
    let near = |d: &&crate::model::evidence::Deviation| hours(&d.text).iter().any(|h| (h - t).abs() <= 1.0);
    ctx.run().deviation.iter().find(near).map(|d| d.id.text.clone())
}

/// Enters the drops of one comb; gives their hours.
fn dropped(sets: &mut Sets, s: &Series, window: (f64, f64)) -> Vec<f64> {
    let ctx = sets.ctx;
    let found: Vec<drop_events::Drop> =
        drop_events::drops(&s.x).into_iter().filter(|d| s.t[d.first] >= window.0 && s.t[d.first] <= window.1).collect();
    // An event that a person recorded belongs to a drop within an hour or two readings of it.
    let near = (2.0 * s.interval() / 60.0).max(1.0);
    let hours = |q: &crate::quantity::Quantity| q.si / 3600.0;
    let recorded: Vec<_> =
        ctx.run().event.iter().filter(|e| e.board.text == s.board && e.pattern.text == s.pattern).collect();
    let mut unexplained = 0;
    let mut open = Vec::new();
    let mut matched = vec![false; recorded.len()];
    for d in &found {
        let (t0, t1) = (s.t[d.first], s.t[d.last]);
        let causes: Vec<usize> =
            (0..recorded.len()).filter(|&i| (t0 - near..=t1 + near).contains(&hours(&recorded[i].t))).collect();
        for &i in &causes {
            matched[i] = true;
        }
        let residue = causes.iter().any(|&i| recorded[i].cause == CauseKind::Residue);
        let explained = !causes.is_empty()
            && causes.iter().all(|&i| {
                matches!(recorded[i].cause, CauseKind::Foreign | CauseKind::Chamber) && recorded[i].proof.is_some()
            });
        if explained {
            continue;
        }
        unexplained += 1;
        if !residue {
            let end = if d.recovered { " and recovered" } else { " and did not recover" };
            let said = deviation_at(ctx, t0).map_or(String::new(), |id| format!("; {id} tells of that hour"));
            open.push(HardEvent {
                text: format!(
                    "{}/{} fell by {} decades at {} h{end}, cause not shown{said}",
                    s.board,
                    s.pattern,
                    crate::quantity::significant(d.depth, 2),
                    t0
                ),
                at: s.at[d.first],
            });
        }
    }
    for (e, _) in recorded.iter().zip(matched).filter(|(_, m)| !m) {
        let proven = matches!(e.cause, CauseKind::Foreign | CauseKind::Chamber) && e.proof.is_some();
        if !proven {
            unexplained += 1;
            if e.cause != CauseKind::Residue {
                open.push(HardEvent {
                    text: format!("event recorded at {} on {}/{}, cause not shown", e.t.written, s.board, s.pattern),
                    at: e.t.at,
                });
            }
        }
    }
    let hard = residue_events(ctx, s);
    let at = found.first().map_or(s.first, |d| s.at[d.first]);
    let p: &mut Prepared = sets.of(&s.board, &s.pattern, "drops", "1", Some(window));
    p.set.interval_min = p.set.interval_min.max(s.interval());
    p.set.samples.push(sample(ctx, s, f64::from(unexplained), false, at));
    p.set.hard_events.extend(hard);
    p.set.open_events.extend(open);
    if let Some(why) = reaches(s, window) {
        p.trouble(|| why);
    }
    found.iter().map(|d| s.t[d.first]).collect()
}

fn facts(ctx: Ctx, all: &[Series], slopes: &[(f64, &Series)], w: &mut Workings) {
    let run = ctx.run().id.text.clone();
    let mut fact = |name, place: String, value: f64, unit: &str, working: Option<WorkingId>, at| {
        if value.is_finite() {
            w.run_facts.push(RunFact { run: run.clone(), name, place, value, unit: unit.into(), working, at });
        }
    };
    let kind = |s: &Series| ctx.pattern(&s.board, &s.pattern).map(|p| p.kind);
    let window = control_window(ctx);
    let lowest = |s: &Series| window_minimum::minimum(&s.t, &s.x, window.0, window.1);
    let controls: Vec<&Series> =
        all.iter().filter(|s| ctx.is_control(&s.board) || kind(s) == Some(PatternKind::Control)).collect();
    let worst = controls.iter().filter_map(|s| lowest(s).map(|m| (m.0, s.at[m.1]))).min_by(|a, b| a.0.total_cmp(&b.0));
    // A control that was named and not read leaves the run without controls.
    let all_read = controls.iter().all(|s| lowest(s).is_some())
        && ctx.run().controls.iter().all(|b| controls.iter().any(|s| s.board == b.text));
    if let Some((value, at)) = worst.filter(|_| all_read) {
        fact("control_min", String::new(), value, "log10 ohm", None, at);
        let levels: Vec<f64> = controls.iter().map(|s| median(&s.x[s.inside(window)])).collect();
        fact("control_mean", String::new(), mean(&levels), "log10 ohm", None, at);
        let readings: usize = controls.iter().map(|s| s.inside(window).len()).sum();
        let high: usize = controls.iter().map(|s| s.inside(window).filter(|&i| s.ceiling[i]).count()).sum();
        fact("control_ceiling_share", String::new(), high as f64 / readings.max(1) as f64, "1", None, at);
    }
    for board in &ctx.run().positive_controls {
        let combs = all.iter().filter(|s| s.board == board.text);
        let least = combs.filter_map(|s| lowest(s).map(|m| (m.0, s.at[m.1]))).min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((value, at)) = least {
            fact("positive_min", board.text.clone(), value, "log10 ohm", None, at);
        }
    }
    let reported = all.iter().filter(|s| s.read_share() >= 0.95).count();
    fact("channels_reported", String::new(), reported as f64, "1", None, ctx.at());
    let specimens: Vec<&Series> =
        all.iter().filter(|s| is_specimen(ctx, &s.board, ctx.pattern(&s.board, &s.pattern))).collect();
    let first = windows(ctx, "sir")[0];
    let (mut readings, mut high, mut gap) = (0, 0, (0.0, ctx.at()));
    for s in &specimens {
        let inside = s.inside(first);
        readings += inside.len();
        high += inside.clone().filter(|&i| s.ceiling[i]).count();
        for i in inside.skip(1) {
            let step = (s.t[i] - s.t[i - 1]) * 60.0;
            if step > gap.0 {
                gap = (step, s.at[i]);
            }
        }
    }
    if readings > 0 {
        fact("ceiling_share", String::new(), high as f64 / readings as f64, "1", None, ctx.at());
        fact("interval_max", String::new(), gap.0, "min", None, gap.1);
    }
    if let Some((slope, s)) = slopes.iter().min_by(|a, b| a.0.total_cmp(&b.0)) {
        fact("drift", format!("{}/{}", s.board, s.pattern), *slope, "dec", None, s.first);
    }
    if gap.0 > 0.0 {
        let inputs = vec![("tau", 5.0, Origin::Constant("an event of 5 min")), ("d", gap.0, Origin::Place(gap.1))];
        let subject = format!("{run}: what the readings could have missed");
        if let Ok(d) = work(w, &detection_probability::CALC, &subject, readings, "min", inputs) {
            w.run_facts.push(RunFact {
                run: run.clone(),
                name: "detection_5min",
                place: String::new(),
                value: d.values[0],
                unit: "1".into(),
                working: Some(d.id),
                at: gap.1,
            });
        }
    }
}
