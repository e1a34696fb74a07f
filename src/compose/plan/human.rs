//! Takes the planning; gives one screen for a terminal: what to contain, gates, plans, the next test, what is forbidden.

use super::answer::next_package;
use super::decide::{contain, contain_why};
use super::ledger::{Ledger, share, signed, thousands};
use crate::compose::status::{WHAT_IF, wrapped};
use crate::model::assessment::Assessment;
use crate::model::planning::{BEST, KEEP, PlanResult, Planning};
use crate::model::site::Site;

/// Letters of a title in a line of a plan.
const TITLE: usize = 34;
/// Reasons told of one forbidden plan.
const REASONS: usize = 2;

/// The screen; 100 columns, no colour.
pub fn human(site: &Site, assessment: &Assessment, planning: &Planning) -> String {
    let l = Ledger { site, assessment, p: planning };
    let mut out = String::new();
    if assessment.what_if {
        out.push_str(WHAT_IF);
    }
    let mut line = |first: String, indent: usize, parts: &[String]| {
        out.push_str(&wrapped(&first, indent, parts, ";"));
        out.push('\n');
    };
    for a in assessment.assemblies.iter().filter(|a| contain(a)) {
        line(format!("CONTAIN {} NOW ", a.id), 8, &[contain_why(a)]);
    }
    for g in &planning.gates {
        let stands = if g.open { "open  " } else { "CLOSED" };
        let waits: Vec<String> = g.waits.iter().filter(|w| !w.0).map(|w| w.1.clone()).collect();
        let parts = if g.open { vec![g.title.clone()] } else { waits };
        line(format!("gate {} {stands} ", g.id), 6, &parts);
    }
    let wide = planning.plans.iter().map(|p| p.id.chars().count()).max().unwrap_or(4).max(4);
    out.push_str(&format!(
        "\n{:<wide$}  {:<TITLE$} {:>9} {:>9}  {:>17}  {:>6}  {}\n",
        "Plan",
        "",
        format!("cost {}", l.unit()),
        "saving",
        "P5..P95",
        "P loss",
        "note"
    ));
    for p in &planning.plans {
        out.push_str(&plan(&l, p, wide));
    }
    let mut line = |first: String, indent: usize, parts: &[String]| {
        out.push_str(&wrapped(&first, indent, parts, ";"));
        out.push('\n');
    };
    line(String::new(), 0, &[]);
    if let Some(v) = next_package(&l) {
        let pays = v.break_even.map_or(String::new(), |b| format!(", pays from a chance of {} on", share(b)));
        let (cost, worth) = (thousands(v.cost), signed(v.value.value));
        let words = format!("{} ({cost} {}) is worth {worth} {}{pays}", v.package, l.unit(), l.unit());
        line("next test: ".into(), 11, &[words]);
    } else {
        line("next test: ".into(), 11, &["no test is worth its price".to_string()]);
    }
    if let Some(best) = l.best() {
        for (i, path) in best.paths.iter().enumerate() {
            let results: Vec<String> =
                path.results.iter().map(|(p, ok, _)| format!("{p} {}", if *ok { "yes" } else { "no" })).collect();
            let outcome = if results.is_empty() { "no test".into() } else { results.join(", ") };
            let ends = assessment.assemblies.iter().map(|a| {
                let month = l.course(path, &a.id).last().map_or(0, |c| c.1);
                let end = l.end(path, &a.id);
                if month > 0 { format!("{} {end} m{month}", a.id) } else { format!("{} {end}", a.id) }
            });
            let ends: Vec<String> = ends.collect();
            line(format!("path {} p {} [{outcome}] ", i + 1, share(path.chance.value)), 7, &ends);
        }
        if best.contained > 0.0 {
            let n = format!("{} assemblies expected without a supported route: contained", share(best.contained));
            line("NO ROUTE ".into(), 9, &[n]);
        }
        let s = &planning.search;
        let how = if s.proven {
            "proven best of what the states allow".to_string()
        } else {
            format!("not proven: no plan below {} {}, gap {}", thousands(s.bound), l.unit(), share(s.gap))
        };
        let mut parts = vec![how];
        parts.extend(s.stopped.clone());
        line(format!("{BEST} "), 5, &parts);
    }
    // Plans that are forbidden for the same reasons share a line.
    let mut told: Vec<&[String]> = Vec::new();
    for p in planning.plans.iter().filter(|p| !p.forbidden.is_empty()) {
        if told.contains(&p.forbidden.as_slice()) {
            continue;
        }
        told.push(&p.forbidden);
        let same = planning.plans.iter().filter(|x| x.forbidden == p.forbidden).map(|x| x.id.as_str());
        let mut parts: Vec<String> = p.forbidden.iter().take(REASONS).cloned().collect();
        let more = p.forbidden.len().saturating_sub(REASONS);
        if more > 0 {
            parts.push(format!("and {more} more, see galipot plan --out DIR"));
        }
        line(format!("{} FORBIDDEN: ", same.collect::<Vec<_>>().join(", ")), 4, &parts);
    }
    out.push_str("INTERNAL: costs are not for customers, and no state of a claim rests on them\n");
    out
}

fn plan(l: &Ledger, p: &PlanResult, wide: usize) -> String {
    let (range, loss) = match p.spread.as_ref().filter(|_| !l.same_as_keeping(p)) {
        Some(s) => (format!("{}..{}", whole(s.p5), whole(s.p95)), share(s.loss)),
        None => (String::new(), String::new()),
    };
    let alike = l.alike(p).0;
    let note = match (p.forbidden.is_empty(), alike.is_empty()) {
        (false, _) => "FORBIDDEN".to_string(),
        (true, false) if p.id != KEEP => format!("~ {}", alike.join(" ")),
        _ => String::new(),
    };
    let row = format!(
        "{:<wide$}  {:<TITLE$} {:>9} {:>9}  {range:>17}  {loss:>6}  {note}",
        p.id,
        clipped(&p.title, TITLE),
        thousands(p.cost.value),
        signed(p.saving.value)
    );
    format!("{}\n", clipped(row.trim_end(), 100))
}

/// Whole thousands with their sign.
fn whole(x: f64) -> String {
    if !x.is_finite() {
        return "?".into();
    }
    let t = format!("{:+.0}", x / 1000.0);
    if t == "-0" { "+0".into() } else { t }
}

fn clipped(s: &str, width: usize) -> String {
    if s.chars().count() <= width {
        return s.to_string();
    }
    s.chars().take(width.saturating_sub(1)).chain(['…']).collect()
}
