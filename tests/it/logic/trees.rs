//! How claims combine: the minimum, the best alternative with its conflicts, group claims, routes.

use super::site::{C, N, NA, S, Site, X, any, clean, condition, level};
use galipot::model::assessment::Route;

#[test]
fn any_takes_the_best_alternative() {
    any("p", "p").expect("C0", S, "");
    // One alternative not shown is no harm.
    let s = any("p", "p").run("RUN-1", "controls = [", "controls = [").plan("RUN-9", "C3.2");
    s.expect("C0", S, "").is("C3.2", N, "PLANNED(RUN-9)");
    // The conditions of the alternative that is not taken bind nobody.
    let j = any("p", "p").register(&condition("CND-1", "C3.2", "")).judge();
    j.is("C0", S, "").is("C3.2", C, "");
    assert!(j.claim("C0").conditions.is_empty());
}

#[test]
fn any_with_a_contradiction_of_the_same_thing_is_a_conflict() {
    let fails = |s: Site| s.sir("RUN-1", |b, p, t| if p == "B1" { 6.0 } else { level(b, p, t) });
    fails(any("p", "p")).expect("C0", N, "CONFLICT(C3.2)");
    fails(any("P ", "p")).expect("C0", N, "CONFLICT(C3.2)");
    // Of different things, or of things without a tag, the other one still holds.
    fails(any("p", "q")).expect("C0", S, "");
    fails(any("", "")).expect("C0", S, "");
    // Where nothing holds, a contradiction is not a conflict.
    fails(any("p", "p")).plan("RUN-9", "C3.1").expect("C0", N, "");
}

#[test]
fn all_is_the_minimum_and_skips_what_does_not_apply() {
    let j = clean().judge();
    j.is("C3", N, "").is("C0", N, "");
    let j = clean().sir("RUN-1", |b, p, t| level(b, p, t) - 4.0).judge();
    j.is("C3", X, "").is("C0", X, "");
    assert_eq!(j.a.assessment.assemblies[0].state, X);
    // All not applicable is not applicable only where the claim allows it.
    let ab = "assemblies/ab-10.toml";
    let na = |c: &str| {
        format!(
            "[[not_applicable]]\nclaim = \"{c}\"\nreason = \"none\"\nproof = \"layout\"\nby = \"REL\"\non = 2026-01-10\n\n"
        )
    };
    let all: String = ["C5.1", "C5.2", "C5.3", "C5.4"].iter().map(|c| na(c)).collect();
    clean().add(ab, &all).expect("C5", NA, "");
}

#[test]
fn routes() {
    let route = |s: Site| {
        let a = s.judge().a.assessment.assemblies[0].clone();
        (a.route, a.interim)
    };
    assert_eq!(route(clean()), (Route::NotYet, Some("no-supported-interim")));
    assert_eq!(route(any("p", "p")), (Route::Leave, None));
    assert_eq!(
        route(any("p", "p").register(&condition("CND-1", "C3.1", "")).register(&condition("CND-2", "C3.2", ""))),
        (Route::LeaveWithConditions, None)
    );
    let fails = any("p", "p").sir("RUN-1", |_, _, _| 6.0);
    assert_eq!(route(fails), (Route::NoSupportedRoute, None));
}

#[test]
fn after_issue_claims_do_not_touch_the_technical_state() {
    let j = clean().judge();
    j.is("C9.1", N, "AWAITING_SIGNATURE");
    assert!(!j.codes("C0").iter().any(|c| c.starts_with("AWAITING")), "{:?}", j.codes("C0"));
}

#[test]
fn acceptance_records_are_dated_signed_and_all_closed() {
    let record = |status: &str, by: &str, on: &str| {
        format!(
            "[[acceptance]]\nclaim = \"C9.2\"\nassembly = \"AB-10\"\nstatus = \"{status}\"\ndocument = \"FA-1\"\nby = \"{by}\"\non = {on}\n"
        )
    };
    let with = |text: &str| clean().register(text);
    clean().expect("C9.2", N, "MISSING");
    let good = record("approved", "REL", "2026-01-25");
    with(&good).expect("C9.2", S, "");
    with(&record("open", "REL", "2026-01-25")).expect("C9.2", N, "MISSING");
    with(&(good.clone() + &record("open", "REL", "2026-02-25"))).expect("C9.2", N, "MISSING");
    with(&record("approved", "REL", "2026-05-25")).expect("C9.2", N, "MISSING");
    with(&record("approved", "REL", "2023-01-25")).expect("C9.2", N, "MISSING");
    with(&good.replace("by = \"REL\"\n", "")).expect("C9.2", N, "MISSING");
}

#[test]
fn what_no_claim_uses_is_a_finding() {
    let spare = super::site::criterion("LIM-SPARE", "nothing", "C5.1");
    let j = clean().add("criteria/cs-1.toml", &spare).judge();
    assert!(j.a.assessment.assemblies[0].unused.iter().any(|u| u.contains("LIM-SPARE")));
    assert!(!j.a.assessment.assemblies[0].unused.iter().any(|u| u.contains("LIM-SIR")));
    let runs = &j.a.assessment.assemblies[0].runs;
    assert_eq!((runs.planned, runs.registered, runs.used), (4, 4, 4));
}
