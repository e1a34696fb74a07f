//! Doubts about tests: vehicles, lots, controls, ceilings, fails, sellers, copies, balances, single supports.

use super::Raised;
use crate::judge::court::{Case, wash_matches};
use crate::model::assembly::Geometry;
use crate::model::assessment::{ClaimResult, GateEffect, State, Verdict};
use crate::model::evidence::{FileRole, RunKind, Washed};
use crate::model::governance::{Independence, Severity, WashState};
use crate::quantity::significant;

/// Leaves that runs carry.
fn carried(claims: &[ClaimResult]) -> impl Iterator<Item = &ClaimResult> {
    claims.iter().filter(|c| c.leaf && c.state != State::NotApplicable && !c.runs.is_empty())
}

/// DF1: the vehicle was cleaner than the product can be. Claims that cover incoming ions (K20) judge it themselves,
/// unless a bridge carries it.
pub fn df1_cleaner_vehicle(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims).filter(|c| c.id.starts_with("C3.")) {
        for id in &c.runs {
            let Some(r) = case.site().run(id) else { continue };
            for (v, _) in case.site().builds_of(&r.run).filter(|(v, _)| v.prewashed && v.bare_ionic.is_none()) {
                let text = format!("{} was cleaned before building, and its bare board was not measured", v.id);
                out.push(Raised::new("DF1", &c.id, &v.id, Severity::Minor, text, Some(v.at)));
            }
        }
    }
}

/// DF2: fewer than three lots behind a claim of insulation.
pub fn df2_lots(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims).filter(|c| matches!(c.id.as_str(), "C3.1" | "C3.2")) {
        let mut lots: Vec<&str> = c
            .runs
            .iter()
            .filter_map(|id| case.site().run(id))
            .flat_map(|r| case.site().builds_of(&r.run))
            .filter_map(|(_, b)| b.flux.first())
            .map(|f| f.lot.text.as_str())
            .collect();
        lots.sort_unstable();
        lots.dedup();
        if lots.len() < 3 {
            let text = format!("only {} lots of paste stand behind it", lots.len());
            out.push(Raised::new("DF2", &c.id, "lots", Severity::Minor, text, None));
        }
    }
}

/// DF3: controls shifted between the runs of one claim.
pub fn df3_control_shift(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims).filter(|c| matches!(c.id.as_str(), "C3.1" | "C3.2" | "C3.3")) {
        let means: Vec<(&str, f64)> = c
            .runs
            .iter()
            .filter_map(|id| case.court.workings.run_fact(id, "control_mean").map(|f| (id.as_str(), f.value)))
            .collect();
        let low = means.iter().map(|m| m.1).fold(f64::INFINITY, f64::min);
        let high = means.iter().map(|m| m.1).fold(f64::NEG_INFINITY, f64::max);
        if means.len() > 1 && high - low > 0.3 {
            let text = format!("the controls of its runs differ by {} decades", significant(high - low, 2));
            out.push(Raised::new("DF3", &c.id, "controls", Severity::Minor, text, None));
        }
    }
}

/// DF4: more than a quarter of the readings stand at the ceiling.
pub fn df4_ceiling(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims) {
        for v in &c.voices {
            let over = case.court.workings.sets.iter().find(|s| {
                s.run == v.run
                    && s.cell == v.cell
                    && s.place == v.pattern
                    && s.quantity == "sir"
                    && s.samples.iter().filter(|x| x.censored).count() * 4 > s.samples.len()
            });
            if let Some(s) = over {
                let n = s.samples.iter().filter(|x| x.censored).count();
                let text = format!(
                    "{}: {n} of {} readings stand at the ceiling; their spread means nothing",
                    v.run,
                    s.samples.len()
                );
                out.push(Raised::new("DF4", &c.id, &v.run, Severity::Major, text, Some(v.at)));
            }
        }
    }
}

/// DF15: a claim on an uncoated place leans on coated boards.
pub fn df15_coating_masks(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    let uncoated = case.a.zones.iter().any(|z| !z.coated);
    if !uncoated {
        return;
    }
    for c in carried(claims).filter(|c| matches!(c.id.as_str(), "C3.1" | "C3.2" | "C3.3" | "C3.4" | "C3.9")) {
        for v in c.voices.iter().filter(|v| matches!(v.counts_as, "P" | "Pb" | "M")) {
            let Some(r) = case.site().run(&v.run) else { continue };
            let coated = case.site().builds_of(&r.run).any(|(_, b)| b.cell.text == v.cell && b.coated);
            if coated {
                let text = format!("{} was run on coated boards, and zones of this board are not coated", v.run);
                out.push(Raised::new("DF15", &c.id, &v.run, Severity::Minor, text, Some(r.run.at)));
            }
        }
    }
}

/// DF16: whoever sells the flux ran the test.
pub fn df16_seller(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims) {
        for id in &c.runs {
            let Some(r) = case.site().run(id) else { continue };
            let Some(lab) = case.site().lab(&r.run.lab) else { continue };
            let sold = case
                .site()
                .builds_of(&r.run)
                .flat_map(|(_, b)| &b.flux)
                .find(|f| lab.sells.iter().any(|s| s.text == f.material.text));
            let words = match sold {
                Some(f) => format!("{id} was run by {}, which sells {}", lab.id, f.material),
                None if lab.independence == Independence::Supplier => format!("{id} was run by {}, a supplier", lab.id),
                None => continue,
            };
            out.push(Raised::new("DF16", &c.id, id, Severity::Major, words, Some(r.run.lab.at)));
        }
    }
}

/// DF19: tested less than a day after soldering.
pub fn df19_fresh_residue(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims).filter(|c| c.id.starts_with("C3.")) {
        for id in &c.runs {
            let Some(r) = case.site().run(id) else { continue };
            if r.run.kind == RunKind::Sir && r.run.age_at_start.as_ref().is_none_or(|a| a.in_unit("h") < 24.0) {
                let text = format!("{id} began less than 24 h after soldering, or nobody wrote down when");
                out.push(Raised::new("DF19", &c.id, id, Severity::Minor, text, Some(r.run.at)));
            }
        }
    }
}

/// DF20: a run holds the bytes of another.
pub fn df20_copies(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for r in &case.site().runs {
        let (targets, assemblies) = case.site().targets(&r.run);
        let s = case.court.standing(&r.run.id);
        let Some(g) =
            s.gates.iter().find(|g| g.gate == "G1" && (g.text.contains("same bytes") || g.text.contains("one by one")))
        else {
            continue;
        };
        if !assemblies.iter().any(|a| a.text == case.id()) {
            continue;
        }
        for c in claims.iter().filter(|c| c.leaf && targets.iter().any(|t| t.text == c.id)) {
            // The copy is put aside by its gate, so the doubt is printed and holds nothing down any more.
            out.push(Raised::new(
                "DF20",
                &c.id,
                &r.run.id,
                Severity::Note,
                format!("{}: {}", r.run.id, g.text),
                Some(g.at),
            ));
        }
    }
}

/// DF21: one photograph shown for two boards.
pub fn df21_photos(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    let mut seen: Vec<(&str, &str, &str)> = Vec::new();
    for r in &case.site().runs {
        for f in r.run.file.iter().filter(|f| f.role == FileRole::Photo) {
            let of = f.taken_of.as_ref().map_or("", |t| t.text.as_str());
            let earlier = seen.iter().find(|(d, o, run)| *d == f.sha256.text && (*o != of || *run != r.run.id.text));
            if let Some((_, o, run)) = earlier {
                for c in carried(claims).filter(|c| c.runs.contains(&r.run.id.text)) {
                    let text = format!("{} shows the photograph of {o} in {run} again as {of}", r.run.id);
                    out.push(Raised::new("DF21", &c.id, &r.run.id, Severity::Minor, text, Some(f.at)));
                }
            }
            seen.push((&f.sha256.text, of, &r.run.id.text));
        }
    }
}

/// DF22: more of an ion than was put there.
pub fn df22_balance(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in claims.iter().filter(|c| c.leaf) {
        for v in &c.voices {
            let Some(k) = case.site().criterion(&v.criterion) else { continue };
            if k.quantity.text == "ionic_balance" && matches!(v.verdict, Verdict::Fail | Verdict::NotShown) {
                let text = format!("{}: the ionic balance does not close: {}", v.run, v.reason);
                out.push(Raised::new("DF22", &c.id, &v.run, Severity::Major, text, Some(v.at)));
            }
        }
    }
}

/// DF23: a lot was used after its last day.
pub fn df23_expired_lot(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims).filter(|c| c.id.starts_with("C3.")) {
        for id in &c.runs {
            let Some(r) = case.site().run(id) else { continue };
            for (_, b) in case.site().builds_of(&r.run) {
                for f in &b.flux {
                    let lot =
                        case.site().lots.iter().find(|l| l.id.text == f.lot.text && l.material.text == f.material.text);
                    if let Some(l) = lot.filter(|l| l.expires_on < b.date || l.made_on > b.date) {
                        let text = format!(
                            "{}: lot {} was built on {}, outside {} to {}",
                            id, l.id, b.date, l.made_on, l.expires_on
                        );
                        out.push(Raised::new("DF23", &c.id, &l.id, Severity::Minor, text, Some(f.at)));
                    }
                }
            }
        }
    }
}

/// DF24: the claim stands on one run alone.
pub fn df24_single_support(_: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims).filter(|c| c.rule == "evidence" && c.state >= State::WithConditions) {
        if let [only] = c.runs.as_slice() {
            let text = format!("it stands on {only} alone");
            out.push(Raised::new("DF24", &c.id, only, Severity::Note, text, None));
        }
    }
}

/// DF25: more than three bridges carry one claim.
pub fn df25_bridges(_: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in claims.iter().filter(|c| c.bridges.len() > 3) {
        let text = format!("{} bridges carry it", c.bridges.len());
        out.push(Raised::new("DF25", &c.id, "bridges", Severity::Minor, text, None));
    }
}

/// Gates that let a run count with a small departure.
pub fn small_departures(case: &Case, claims: &[ClaimResult], out: &mut Vec<Raised>) {
    for c in carried(claims) {
        for id in &c.runs {
            let Some(s) = case.court.standings.get(id.as_str()) else { continue };
            for g in s.gates.iter().filter(|g| g.effect == GateEffect::Minor) {
                out.push(Raised::new(g.gate, &c.id, id, Severity::Minor, format!("{id}: {}", g.text), Some(g.at)));
            }
        }
    }
    // Boards that were washed among boards that were not: the wash history of a run must be one.
    for r in &case.site().runs {
        let states: Vec<Washed> = case.site().builds_of(&r.run).map(|(_, b)| b.washed).collect();
        let mixed = states.windows(2).any(|w| w[0] != w[1]);
        let open_pairs = case.a.pairs.iter().any(|p| p.geometry != Geometry::BodyUnder);
        if mixed && open_pairs && r.run.kind == RunKind::Sir {
            for c in carried(claims).filter(|c| c.runs.contains(&r.run.id.text)) {
                let unwashed =
                    case.site().builds_of(&r.run).filter(|(_, b)| wash_matches(WashState::Unwashed, b)).count();
                let text = format!("{}: {unwashed} of {} builds unwashed, the others washed", r.run.id, states.len());
                out.push(Raised::new("G8", &c.id, &r.run.id, Severity::Minor, text, Some(r.run.at)));
            }
        }
    }
}
