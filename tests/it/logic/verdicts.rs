//! The four verdicts and what each may do: pass, marginal, not shown, fail; refused statistics; criteria.

use super::site::{C, N, S, Site, X, clean, condition, level};
use galipot::model::assessment::Verdict;

const CS: &str = "criteria/cs-1.toml";

/// Verdict of a run on the open comb.
fn verdict(s: Site) -> (Verdict, super::site::Judged) {
    let j = s.judge();
    let v = j.claim("C3.1").voices.iter().find(|v| v.run == "RUN-1").expect("a voice").verdict;
    (v, j)
}

#[test]
fn pass() {
    let (v, j) = verdict(clean());
    assert_eq!(v, Verdict::Pass);
    assert!(j.claim("C3.1").margin > 0.0);
    assert_eq!(j.claim("C3.1").limit, 8.0);
}

/// All boards of run 1 shifted so that the bound lies inside the guard band of 0.082 above the limit.
fn near(s: Site) -> Site {
    let shift = (0..400).map(|i| -1.0 - f64::from(i) * 0.005).find(|x| {
        let j = clean().sir("RUN-1", |b, p, t| level(b, p, t) + x).judge();
        let v = j.claim("C3.1").voices.iter().find(|v| v.run == "RUN-1").expect("a voice");
        v.verdict == Verdict::Marginal
    });
    let x = shift.expect("a shift at which the limit lies inside the guard band");
    s.sir("RUN-1", move |b, p, t| level(b, p, t) + x)
}

#[test]
fn marginal_carries_only_with_a_complete_condition_that_answers_the_run() {
    let (v, j) = verdict(near(clean()));
    assert_eq!(v, Verdict::Marginal);
    j.is("C3.1", N, "MARGINAL(RUN-1)");
    let answers = "answers = [\"RUN-1\"]";
    let j = near(clean()).register(&condition("CND-1", "C3.1", answers)).judge();
    j.is("C3.1", C, "");
    assert_eq!(j.claim("C3.1").conditions, ["CND-1"]);
    near(clean())
        .register(&condition("CND-1", "C3.1", answers).replace("owner = \"ENG\"", "unknown = [\"owner\"]"))
        .expect("C3.1", N, "CONDITION_INCOMPLETE(CND-1)");
    // A condition of another claim, or one that answers another run, answers nothing.
    near(clean()).register(&condition("CND-1", "C3.2", answers)).expect("C3.1", N, "MARGINAL(RUN-1)");
    near(clean()).register(&condition("CND-1", "C3.1", "answers = [\"RUN-2\"]")).expect("C3.1", N, "MARGINAL(RUN-1)");
    near(clean()).register(&condition("CND-1", "C3.1", "answers = [\"run-1\"]")).expect("C3.1", N, "MARGINAL(RUN-1)");
}

#[test]
fn too_much_spread_is_not_shown_and_no_fail() {
    let wide = |b: usize, p: &str, t: f64| level(b, p, t) + if b.is_multiple_of(2) { 0.9 } else { -0.9 };
    let (v, j) = verdict(clean().sir("RUN-1", wide));
    assert_eq!(v, Verdict::NotShown);
    // Its corner and its lot are missing now, and it says why.
    j.is("C3.1", N, "NOT_SHOWN(RUN-1)").is("C3.1", N, "NOT_COVERED(K6)");
    assert!(j.doubt("DF5:C3.1:RUN-1").is_none());
    let text = &j.claim("C3.1").reasons.iter().find(|r| r.code.word() == "NOT_SHOWN").expect("it").text;
    assert!(text.contains("needed: n_eff"), "{text}");
}

#[test]
fn too_few_readings_are_refused_and_no_fail() {
    for (old, new) in [
        (
            "rationale = \"The customer's limit for this comb.\"",
            "min_boards = 9\nrationale = \"The customer's limit for this comb.\"",
        ),
        (
            "rationale = \"The customer's limit for this comb.\"",
            "min_lots = 2\nrationale = \"The customer's limit for this comb.\"",
        ),
        (
            "rationale = \"The customer's limit for this comb.\"",
            "min_n = 100\nrationale = \"The customer's limit for this comb.\"",
        ),
    ] {
        let (v, j) = verdict(clean().patch(CS, old, new));
        assert_eq!(v, Verdict::NotShown, "{new}");
        j.is("C3.1", N, "NOT_SHOWN(RUN-1)");
    }
}

#[test]
fn without_a_stated_uncertainty_there_is_no_guard_band_and_no_pass() {
    let s = clean().runs("standard_uncertainty = \"0.05 dec\"\n", "");
    let (v, j) = verdict(s);
    assert_eq!(v, Verdict::NotShown);
    j.is("C3.1", N, "NOT_SHOWN(RUN-1)");
}

#[test]
fn one_place_beyond_the_limit_fails_whatever_the_others_say() {
    let (v, j) = verdict(clean().sir("RUN-1", |b, p, t| if b == 5 && p == "C1" { 7.5 } else { level(b, p, t) }));
    assert_eq!(v, Verdict::Fail);
    j.is("C3.1", X, "CONFLICT(RUN-1)").is("C3", X, "").is("C0", X, "").is("C3.2", S, "");
    // A minimum that recovers is a minimum.
    let dip =
        |b: usize, p: &str, t: f64| if b == 5 && p == "C1" && (1.9..2.8).contains(&t) { 7.5 } else { level(b, p, t) };
    clean().sir("RUN-1", dip).expect("C3.1", X, "CONFLICT(RUN-1)");
}

#[test]
fn even_the_favourable_bound_misses() {
    // Every board just above what a single place may be, and the population clearly below the limit.
    let (v, j) = verdict(clean().sir("RUN-1", |b, p, _| if p == "C1" { 7.93 + 0.001 * b as f64 } else { 9.6 }));
    assert_eq!(v, Verdict::NotShown, "no single place and no bound lies beyond limit and guard band");
    j.is("C3.1", N, "NOT_SHOWN(RUN-1)");
    let (v, j) = verdict(clean().sir("RUN-1", |b, p, _| if p == "C1" { 7.90 + 0.001 * b as f64 } else { 9.6 }));
    assert_eq!(v, Verdict::Fail);
    j.is("C3.1", X, "CONFLICT(RUN-1)");
}

#[test]
fn readings_at_the_ceiling_form_no_bound_and_raise_a_doubt() {
    let (v, j) = verdict(clean().sir("RUN-1", |b, p, t| if b < 3 { 13.0 } else { level(b, p, t) }));
    assert_eq!(v, Verdict::NotShown);
    j.is("C3.1", N, "NOT_SHOWN(RUN-1)");
    // With the smallest value as the statistic a bound is not needed; the doubt on the spread stays.
    let each = clean().patch(
        CS,
        "statistic = \"LTB\"\np = 0.9\nconf = 0.9\ngeometry = [\"COMB-02\"]",
        "statistic = \"each\"\ngeometry = [\"COMB-02\"]",
    );
    let j = each.sir("RUN-1", |b, p, t| if b < 3 { 13.0 } else { level(b, p, t) }).judge();
    assert!(j.doubt("DF4:C3.1:RUN-1").is_some());
    j.is("C3.1", N, "OPEN_DEFEATER(DF4:C3.1:RUN-1)");
}

#[test]
fn readings_that_end_early_are_refused() {
    let s = clean().sir("RUN-1", |b, p, t| if t > 2.0 { f64::NAN } else { level(b, p, t) });
    let j = s.judge();
    j.is("C3.1", N, "INADMISSIBLE(G10)");
}

#[test]
fn a_missing_criterion_is_no_pass() {
    clean().replace(CS, "applies_to = [\"C3.1\"]", "applies_to = [\"C3.3\"]").expect("C3.1", N, "CRITERION_MISSING");
    // A criterion of another assembly is none.
    let other = clean();
    let ab = String::from_utf8(other.files.iter().find(|f| f.0 == "assemblies/ab-10.toml").expect("it").1.clone())
        .expect("text");
    let s = other.file("assemblies/ab-20.toml", &ab.replace("AB-10", "AB-20")).patch(
        CS,
        "applies_to = [\"C3.1\"]",
        "applies_to = [\"C3.1\"]\nassemblies = [\"AB-20\"]",
    );
    s.expect("C3.1", N, "CRITERION_MISSING");
}

#[test]
fn a_criterion_agreed_after_the_data_supports_and_contradicts_nothing() {
    let late = |s: Site| s.patch(CS, "agreed_on = 2025-09-01", "agreed_on = 2025-10-01");
    late(clean()).expect("C3.1", N, "CRITERION_AFTER_DATA(RUN-1)");
    // A fail under it stays a doubt.
    let j = late(clean()).sir("RUN-1", |b, p, t| level(b, p, t) - 4.0).judge();
    j.is("C3.1", N, "CRITERION_AFTER_DATA(RUN-1)").is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
}

#[test]
fn a_criterion_that_has_run_out_carries_nothing() {
    let s =
        clean().patch(CS, "agreed_by = [\"ENG\", \"REL\"]", "agreed_by = [\"ENG\", \"REL\"]\nvalid_to = 2026-03-30");
    s.expect("C3.1", N, "EXPIRED_AGE(criteria set CS-1)").is("C3.7", N, "");
    let s =
        clean().patch(CS, "agreed_by = [\"ENG\", \"REL\"]", "agreed_by = [\"ENG\", \"REL\"]\nvalid_to = 2026-03-31");
    s.expect("C3.1", S, "");
}

#[test]
fn a_limit_speaks_of_the_combs_that_it_was_agreed_for() {
    // The comb on the board is of a design that the criterion does not list.
    let s = clean().patch("vehicles/tv-1.toml", "design = \"COMB-02\"", "design = \"COMB-05\"");
    s.expect("C3.1", N, "MISSING(J1)");
    // Under it nothing passes and nothing fails; what reads far below the limit is not passed over in silence.
    let low = |b: usize, p: &str, t: f64| level(b, p, t) - if p == "C1" { 4.0 } else { 0.0 };
    let s = clean().patch("vehicles/tv-1.toml", "design = \"COMB-02\"", "design = \"COMB-05\"");
    let j = s.sir("RUN-1", low).judge();
    j.is("C3.1", N, "MISSING(J1)").is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
    // Beside a comb that passes it is a doubt as well.
    let second = "[[vehicle.pattern]]\nid = \"C9\"\nkind = \"comb\"\ndesign = \"COMB-09\"\nline = \"400 um\"\nspace = \"500 um\"\nunknown = [\"squares\"]\nv_bias = \"12.5 V\"\nv_measure = \"12.5 V\"\nseries_resistor = \"1e6 ohm\"\ndirect = true\n";
    let two = |x: f64| {
        let s = clean().patch(
            "vehicles/tv-1.toml",
            "[[vehicle.build]]\nid = \"BLD-1\"",
            &format!("{second}\n[[vehicle.build]]\nid = \"BLD-1\""),
        );
        s.run("RUN-1", "channels_planned = 18", "channels_planned = 26").channels(
            "RUN-1",
            &["C1", "B1", "C9"],
            20.0,
            move |b, p, t| {
                if p == "C9" { x } else { level(b, p, t) }
            },
        )
    };
    two(9.5).expect("C3.1", S, "");
    two(5.0).expect("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
}

#[test]
fn every_criterion_of_a_claim_must_be_met() {
    let end = super::site::criterion("LIM-SECOND", "sir", "C3.1")
        .replace("8.0 log10", "9.75 log10")
        .replace("statistic = \"LTB\"\np = 0.9\nconf = 0.9", "statistic = \"mean\"");
    clean().add(CS, &end).expect("C3.1", N, "MARGINAL(RUN-1)");
    let other = super::site::criterion("LIM-DRIFT", "sir_other", "C3.1");
    clean().add(CS, &other).expect("C3.1", N, "MISSING(J1)");
}

#[test]
fn the_value_is_that_of_the_weakest_run() {
    let j = clean().sir("RUN-2", |b, p, t| level(b, p, t) - 0.7).judge();
    let c = j.claim("C3.1");
    let least = c.voices.iter().map(|v| v.margin).fold(f64::INFINITY, f64::min);
    assert_eq!(c.margin, least);
    assert_eq!(c.voices.iter().find(|v| v.margin == least).expect("it").run, "RUN-2");
    assert!((c.value - c.limit - c.margin).abs() < 1e-9, "{} {} {}", c.value, c.limit, c.margin);
}
