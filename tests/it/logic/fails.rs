//! Passes and fails are not symmetric: what a fail does on a milder, a harsher, a strange board, and what may answer it.

use super::site::{C, CORNERS, N, S, Site, X, build, clean, condition, level, overlap, overlap_of};

const TV: &str = "vehicles/tv-1.toml";
const AB: &str = "assemblies/ab-10.toml";

/// A fourth run on a build of its own; it fails on the comb when `fails`.
fn fourth(s: Site, text: &str, fails: bool) -> Site {
    let s = s.add(TV, text).plan("RUN-7", "C3.1").with_run("RUN-7", "BLD-7", "2025-10-20");
    if fails { s.sir("RUN-7", |b, p, t| if p == "C1" { 6.0 } else { level(b, p, t) }) } else { s }
}

fn paste() -> String {
    build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true)])
}

#[test]
fn a_fail_on_a_board_no_more_severe_contradicts() {
    fourth(clean(), &paste(), true).expect("C3.1", X, "CONFLICT(RUN-7)").is("C3.2", S, "");
    // Hotter by 2 K or colder by 2 K is equal.
    fourth(clean(), &paste().replace("240 degC", "247 degC"), true).expect("C3.1", X, "CONFLICT(RUN-7)");
}

#[test]
fn a_fail_on_a_harsher_board_is_a_doubt_until_it_is_answered() {
    for (what, text) in [
        ("colder", paste().replace("240 degC", "225 degC")),
        ("hotter", paste().replace("240 degC", "255 degC")),
        ("less soak", paste().replace("80 s", "50 s")),
        ("more passes", paste().replace("passes = 1", "passes = 3")),
        ("wiped", paste().replace("wiped = \"never\"", "wiped = \"always\"")),
        ("aged where nobody asks", paste().replace("aged = false", "aged = true")),
        ("another line", paste().replace("Line 2, Mill Lane", "Line 5")),
        ("in nitrogen", paste().replace("\"air\"", "\"nitrogen\"")),
    ] {
        let j = fourth(clean(), &text, true).judge();
        assert!(j.doubt("DF5:C3.1:RUN-7").is_some(), "{what}");
        j.is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-7)");
    }
}

fn harsher() -> Site {
    fourth(clean(), &paste().replace("240 degC", "225 degC"), true)
}

#[test]
fn a_complete_condition_that_keeps_the_product_milder_answers_it() {
    let c = condition("CND-1", "C3.1", "answers = [\"RUN-7\"]");
    let j = harsher().register(&c).judge();
    j.is("C3.1", C, "");
    assert_eq!(j.claim("C3.1").conditions, ["CND-1"]);
    harsher().register(&c.replace("due = 2026-09-01", "due = 2026-03-01")).expect(
        "C3.1",
        N,
        "OPEN_DEFEATER(DF5:C3.1:RUN-7)",
    );
    harsher().register(&c.replace("[\"C3.1\"]", "[\"C3.2\"]")).expect("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-7)");
    // No condition answers a fail on a milder board.
    fourth(clean(), &paste(), true).register(&c).expect("C3.1", X, "CONFLICT(RUN-7)");
}

#[test]
fn spacing_and_field_are_harsher_for_one_pair_together() {
    // A wide pair with a high field beside the narrow one with a low field: a comb that is as narrow as one and as
    // strong as the other is harsher than both.
    let wide = "[[net_pair]]\nid = \"NP-3\"\nnet_a = \"48V\"\nnet_b = \"GND\"\nplace = \"J2\"\ngeometry = \"trace_trace\"\nv_work = \"48 V\"\nv_peak = \"50 V\"\ndc_fraction = 1.0\nduty_biased = 1.0\nspacing = \"1000 um\"\nfacing = \"1 mm\"\nmask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n";
    let s = clean().add(AB, wide);
    let tv1 = String::from_utf8(s.files.iter().find(|f| f.0 == TV).expect("it").1.clone()).expect("text");
    let (head, _) = tv1.split_once("[[vehicle.build]]").expect("builds");
    let tv2 = head.replace("TV-1", "TV-2").replace("v_bias = \"5 V\"", "v_bias = \"10 V\"");
    let s = s
        .file("vehicles/tv-2.toml", &format!("{tv2}\n{}", paste()))
        .plan("RUN-7", "C3.1")
        .with_run("RUN-7", "BLD-7", "2025-10-20")
        .sir("RUN-7", |_, _, _| 6.0);
    s.expect("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-7)");
}

#[test]
fn under_a_body_the_gap_decides() {
    let body = |um: &str| {
        let s = clean();
        let tv1 = String::from_utf8(s.files.iter().find(|f| f.0 == TV).expect("it").1.clone()).expect("text");
        let (head, _) = tv1.split_once("[[vehicle.build]]").expect("builds");
        let tv2 = head.replace("TV-1", "TV-2").replace("gap = \"36.7 um\"", &format!("gap = \"{um} um\""));
        s.file("vehicles/tv-2.toml", &format!("{tv2}\n{}", paste()))
            .plan("RUN-7", "C3.2")
            .with_run("RUN-7", "BLD-7", "2025-10-20")
            .sir("RUN-7", |b, p, t| if p == "B1" { 6.0 } else { level(b, p, t) })
    };
    // As high as the product's within 5 %, or higher: it contradicts. Lower: it is a doubt.
    body("36.7").expect("C3.2", X, "CONFLICT(RUN-7)");
    body("35.0").expect("C3.2", X, "CONFLICT(RUN-7)");
    body("60").expect("C3.2", X, "CONFLICT(RUN-7)");
    body("25").expect("C3.2", N, "OPEN_DEFEATER(DF5:C3.2:RUN-7)");
}

#[test]
fn more_dose_or_less_heat_than_the_line_can_give_is_harsher() {
    let flood = |dose: u32, heated: bool| {
        let text = build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true), ("SF-08", "SF-08-A", dose, heated)]);
        overlap()
            .add(TV, &text)
            .plan("RUN-7", "C3.3")
            .with_run("RUN-7", "BLD-7", "2025-10-20")
            .sir("RUN-7", |_, _, _| 6.0)
    };
    flood(60, true).expect("C3.3", X, "CONFLICT(RUN-7)");
    flood(200, true).expect("C3.3", N, "OPEN_DEFEATER(DF5:C3.3:RUN-7)");
    flood(60, false).expect("C3.3", N, "OPEN_DEFEATER(DF5:C3.3:RUN-7)");
    let c = condition("CND-1", "C3.3", "answers = [\"RUN-7\"]");
    flood(200, true).register(&c).expect("C3.3", C, "");
}

#[test]
fn a_fail_of_another_stack_does_not_vanish() {
    // Boards with a second flux, planned for the open surface only: no place takes them up, and the fail stays.
    let both = build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true), ("SF-08", "SF-08-A", 60, true)]);
    let j = fourth(overlap(), &both, true).judge();
    assert!(j.claim("C3.1").voices.iter().any(|v| v.run == "RUN-7" && v.counts_as == "another stack of fluxes"));
    j.is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-7)");
    fourth(overlap(), &both, false).expect("C3.1", S, "");
    // Where the mixed zone hears it, it is not asked for twice.
    let s = fourth(overlap(), &both, true).patch(
        "protocols/pt-1.toml",
        "id = \"RUN-7\"\nclaims = [\"C3.1\"]",
        "id = \"RUN-7\"\nclaims = [\"C3.1\", \"C3.3\"]",
    );
    let j = s.add("criteria/cs-1.toml", "").judge();
    j.is("C3.3", X, "CONFLICT(RUN-7)");
    assert!(j.doubt("DF5:C3.1:RUN-7").is_none());
    // Paste alone does not speak of the overlap; its fail is not lost there either.
    let alone = overlap()
        .add(TV, &paste())
        .plan("RUN-7", "C3.3")
        .with_run("RUN-7", "BLD-7", "2025-10-20")
        .sir("RUN-7", |_, _, _| 6.0);
    alone.expect("C3.3", N, "OPEN_DEFEATER(DF5:C3.3:RUN-7)");
}

#[test]
fn another_flux_is_incomparable_and_another_body_is_elsewhere() {
    let other = build(7, "nominal", CORNERS[2].1, &[("TF-03", "TF-03-A", 60, true)]);
    fourth(overlap_of(&[("SP-21", 60, true), ("SF-08", 60, true)]), &other, true).expect(
        "C3.1",
        N,
        "OPEN_DEFEATER(DF5:C3.1:RUN-7)",
    );
    let s = clean()
        .replace(TV, "body_class = \"BTC\"", "body_class = \"LGA\"")
        .sir("RUN-1", |b, p, t| if p == "B1" { 6.0 } else { level(b, p, t) });
    let j = s.judge();
    assert!(j.doubt("DF5:C3.2:RUN-1").is_none(), "no such body is on the assembly");
    j.is("C3.2", N, "MISSING(U3)").is("C3.1", S, "");
}

/// A finding at a place of the product, and what becomes of a fail at a place that is written otherwise.
fn found(place: &str, yes: &str) -> Site {
    let leak = "[[criterion]]\nid = \"LIM-LEAK\"\nquantity = \"leak\"\noperator = \"le\"\nvalue = \"25 pA\"\nstatistic = \"each\"\nguard_rule = \"none\"\nstandard = \"AABUS\"\nedition = \"2025\"\nclause = \"QA-7 4\"\nstanding = \"agreed\"\nrationale = \"The node.\"\napplies_to = [\"C4.1\"]\nset = \"CS-1\"\n\n[[age]]\nkind = \"leakage\"\nmonths = 24\nset = \"CS-1\"\n";
    let node = "[[node]]\nid = \"N1\"\nrole = \"sensor\"\nbudget = \"25 pA\"\ntest_method = \"in humidity\"\n";
    let product = format!(
        "[vehicle]\nid = \"PROD\"\ntitle = \"The product\"\nassembly = \"AB-10\"\nassembly_rev = \"C\"\nfabricator = \"FAB-1\"\nlaminate = \"LAM-7\"\nhalogen_free = true\nmask = \"MSK-3\"\nmask_defined = \"NSMD\"\nfinish = \"ENIG\"\nprewashed = false\nunknown = [\"bare_ionic\"]\nboard_lot = \"BL-40\"\n\n{}",
        paste()
    );
    let run = super::site::clean()
        .files
        .iter()
        .find(|f| f.0 == "runs/RUN-1/run.toml")
        .map(|f| String::from_utf8(f.1.clone()).expect("text"))
        .expect("it");
    let (head, _) = run.split_once("[[run.file]]").expect("files");
    let toml = head
        .replace("RUN-1", "RUN-7")
        .replace("BLD-1", "BLD-7")
        .replace("\"sir\"", "\"leakage\"")
        .replace("2025-10-01", "2025-10-20");
    let toml = format!(
        "{}\n[[run.file]]\npath = \"m.csv\"\nsha256 = \"{}\"\nrole = \"readings\"\ntable = \"measured\"\n\n[[run.file]]\npath = \"report.pdf\"\nsha256 = \"{}\"\nrole = \"report\"\n",
        toml.replace("controls = [\"K1-1\", \"K1-2\"]\n", ""),
        "0".repeat(64),
        "0".repeat(64)
    );
    clean()
        .add("criteria/cs-1.toml", leak)
        .add(AB, node)
        .file("vehicles/prod.toml", &product)
        .plan("RUN-7", "C4.1")
        .file("runs/RUN-7/run.toml", &toml)
        .file("runs/RUN-7/report.pdf", "report")
        .stamp("RUN-7", "report.pdf")
        .file(
            "runs/RUN-7/m.csv",
            &format!("board,lot,place,quantity,value,unit\nL7-0,none,N1,leak,5,pA\nL7-1,none,{place},leak,{yes},pA\n"),
        )
        .stamp("RUN-7", "m.csv")
}

#[test]
fn a_fail_at_a_place_that_is_written_otherwise_does_not_vanish() {
    found("N1", "6").expect("C4.1", S, "");
    found("N1", "900").expect("C4.1", X, "CONFLICT(RUN-7)");
    found("n1", "6").expect("C4.1", S, "");
    found("n1", "900").expect("C4.1", N, "OPEN_DEFEATER(DF5:C4.1:RUN-7)");
    // A board that no build of the run has speaks of nothing, but is not forgotten either.
    let s = found("N1", "900");
    let csv =
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/RUN-7/m.csv").expect("it").1.clone()).expect("text");
    let s = s.file("runs/RUN-7/m.csv", &csv.replace("L7-1", "l7-1")).stamp("RUN-7", "m.csv");
    s.expect("C4.1", N, "OPEN_DEFEATER(DF5:C4.1:RUN-7)");
    let s = found("N1", "6");
    let csv =
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/RUN-7/m.csv").expect("it").1.clone()).expect("text");
    let s = s.file("runs/RUN-7/m.csv", &csv.replace("L7-", "l7-")).stamp("RUN-7", "m.csv");
    s.expect("C4.1", N, "NOT_COVERED");
}

#[test]
fn the_product_at_another_revision_is_not_the_product() {
    let s = found("N1", "6").patch("vehicles/prod.toml", "assembly_rev = \"C\"", "assembly_rev = \"B\"");
    s.expect("C4.1", N, "OPEN_DEFEATER(DF18:C4.1:PROD)");
}

fn failed() -> Site {
    fourth(clean(), &paste(), true)
        .plan("RUN-8", "C3.1")
        .add(TV, &build(8, "nominal", CORNERS[2].1, &[("SP-21", "L-2", 60, true)]))
        .with_run("RUN-8", "BLD-8", "2025-11-20")
        .register(&condition("CND-1", "C3.1", ""))
}

const CAUSE: &str = "[[outside_cause]]\nrun = \"RUN-7\"\nclaims = [\"C3.1\"]\nassembly = \"AB-10\"\ncause = \"a splinter of the router\"\nproof = \"section S-12\"\ncondition = \"CND-1\"\nrepeat = \"RUN-8\"\naccepted_by = \"REL\"\naccepted_on = 2026-01-20\n";

#[test]
fn an_outside_cause_needs_proof_condition_repeat_and_acceptance() {
    failed().expect("C3.1", X, "CONFLICT(RUN-7)");
    failed().register(CAUSE).expect("C3.1", C, "");
    for (old, new) in [
        ("proof = \"section S-12\"", "unknown = [\"proof\"]"),
        ("condition = \"CND-1\"", "unknown = [\"condition\"]"),
        ("repeat = \"RUN-8\"", "unknown = [\"repeat\"]"),
        ("accepted_by = \"REL\"", "unknown = [\"accepted_by\"]"),
        ("accepted_on = 2026-01-20", "unknown = [\"accepted_on\"]"),
        ("accepted_by = \"REL\"", "accepted_by = \"ENG\""),
        ("accepted_by = \"REL\"", "accepted_by = \"BUY\""),
        ("accepted_on = 2026-01-20", "accepted_on = 2026-05-20"),
        ("accepted_on = 2026-01-20", "accepted_on = 2023-01-20"),
        ("repeat = \"RUN-8\"", "repeat = \"RUN-1\""),
        ("repeat = \"RUN-8\"", "repeat = \"RUN-7\""),
        ("repeat = \"RUN-8\"", "repeat = \"RUN-9\""),
    ] {
        failed().register(&CAUSE.replace(old, new)).expect("C3.1", N, "OPEN_DEFEATER(RUN-7)");
    }
    // The condition lapsed; the repeat failed; the argument names another claim.
    failed().register(CAUSE).replace("register/register.toml", "due = 2026-09-01", "due = 2026-02-01").expect(
        "C3.1",
        N,
        "OPEN_DEFEATER(RUN-7)",
    );
    failed().register(CAUSE).sir("RUN-8", |_, _, _| 6.0).expect("C3.1", X, "CONFLICT(RUN-8)");
    failed().register(&CAUSE.replace("[\"C3.1\"]", "[\"C3.2\"]")).expect("C3.1", X, "CONFLICT(RUN-7)");
}

#[test]
fn fails_that_are_put_aside_stay_doubts() {
    let low = |s: Site| s.sir("RUN-1", |b, p, t| level(b, p, t) - 4.0);
    // Left out with all papers; shown for information; made out of scope.
    let out = "excluded = true\nexcluded_reason = \"power dip\"\nexcluded_by = \"ENG\"\nexcluded_on = 2025-10-05\n";
    for (old, new) in [
        ("operator = \"CHK\"\n".to_string(), format!("operator = \"CHK\"\n{out}")),
        ("operator = \"CHK\"\n".to_string(), "operator = \"CHK\"\ninformative = true\n".to_string()),
        ("method_edition = \"2007\"".to_string(), "method_edition = \"1999\"".to_string()),
        ("instruments = [\"EM-1\"]\n".to_string(), String::new()),
    ] {
        let j = low(clean()).run("RUN-1", &old, &new).judge();
        assert!(j.doubt("DF5:C3.1:RUN-1").is_some(), "{new}");
        j.is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
    }
}

#[test]
fn a_drop_without_a_cause_is_a_question_for_every_claim_of_its_run() {
    let drop =
        |b: usize, p: &str, t: f64| if b == 2 && p == "C1" && (t - 2.0).abs() < 0.01 { 8.6 } else { level(b, p, t) };
    // A criterion counts them for C3.5, and these runs were not planned for C3.5.
    let clean = || {
        let c = super::site::criterion("LIM-DROPS", "drops", "C3.5")
            .replace("\"ge\"", "\"le\"")
            .replace("8.0 log10 ohm", "0");
        clean()
            .add("criteria/cs-1.toml", &c.replace("statistic = \"LTB\"\np = 0.9\nconf = 0.9", "statistic = \"each\""))
    };
    let j = clean().sir("RUN-1", drop).judge();
    assert!(j.doubt("DF5:C3.1:RUN-1").is_some());
    j.is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
    let event = "\n[[run.event]]\nboard = \"L1-2\"\npattern = \"C1\"\nt = \"2 h\"\ncause = \"CAUSE\"\nproof = \"photo 7\"\nby = \"ANA\"\n";
    let told = |cause: &str| clean().add("runs/RUN-1/run.toml", &event.replace("CAUSE", cause)).sir("RUN-1", drop);
    told("foreign").expect("C3.1", S, "");
    told("unknown").expect("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
    told("residue").expect("C3.1", X, "CONFLICT(RUN-1)");
    let bare = clean()
        .add(
            "runs/RUN-1/run.toml",
            &event.replace("CAUSE", "foreign").replace("proof = \"photo 7\"", "unknown = [\"proof\"]"),
        )
        .sir("RUN-1", drop);
    bare.expect("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
}

#[test]
fn a_planned_run_that_is_not_reported_holds_its_claims_down_and_no_contradiction_up() {
    let s = clean().plan("RUN-9", "C3.1");
    let j = s.judge();
    j.is("C3.1", N, "PLANNED(RUN-9)").is("C3.2", S, "").is("C11.1", S, "");
    assert_eq!(j.a.assessment.assemblies[0].runs.unreported, ["RUN-9"]);
    fourth(clean().plan("RUN-9", "C3.1"), &paste(), true).expect("C3.1", X, "CONFLICT(RUN-7)");
    clean().plan("RUN-9", "C1.3").expect("C1.3", N, "PLANNED(RUN-9)");
}
