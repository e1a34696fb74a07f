//! Gates G1 to G12: one departure each, the standing of the run, and what the claim says of it.

use super::site::{C, N, S, Site, X, clean, level};

/// Run 1 counts no more, and the claim says by which gate.
fn put_aside(site: Site, gate: &str, role: &str, code: &str) {
    let j = site.judge();
    let s = j.standing("RUN-1");
    assert_eq!((s.role, s.first_failed), (role, gate), "{:?}", s.gates);
    j.is("C3.1", N, code);
}

#[test]
fn g1_an_altered_file_is_put_aside() {
    let s = clean();
    let old =
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/RUN-1/sir.csv").expect("it").1.clone()).expect("text");
    let new = old.replacen("e9,ok", "e10,ok", 1);
    assert_ne!(old, new);
    let j = s.file("runs/RUN-1/sir.csv", &new).judge();
    assert_eq!(j.standing("RUN-1").first_failed, "G1");
    j.is("C3.1", N, "INADMISSIBLE(G1)").is("C11.3", N, "INADMISSIBLE(G1)");
}

#[test]
fn g1_readings_without_a_row_are_no_readings() {
    let s = clean().file("runs/RUN-1/sir.csv", "t_h,board,pattern,R_ohm,flag\n").stamp("RUN-1", "sir.csv");
    let s = s.run("RUN-1", "controls = [\"K1-1\", \"K1-2\"]\n", "");
    let j = s.judge();
    assert_eq!(j.standing("RUN-1").first_failed, "G1", "a chamber log is no reading");
    j.is("C3.1", N, "NOT_COVERED(K21)");
}

#[test]
fn g1_a_copied_file_counts_once_also_with_its_digest_in_capitals() {
    let s = clean().sir("RUN-3", |b, p, t| level(b, p, t) + 0.3);
    let first = s.files.iter().find(|f| f.0 == "runs/RUN-1/sir.csv").expect("it").1.clone();
    let copied = String::from_utf8(first).expect("text");
    // The copy must name the boards of the original, so the build of run 2 is the same one.
    let s = s.file("runs/RUN-2/sir.csv", &copied).stamp("RUN-2", "sir.csv");
    let s = s.run("RUN-2", "\"BLD-2\"", "\"BLD-1\"").run("RUN-2", "[\"K2-1\", \"K2-2\"]", "[\"K1-1\", \"K1-2\"]");
    let digest = galipot::diag::sha256_hex(copied.as_bytes());
    for text in [digest.clone(), digest.to_uppercase()] {
        let t = Site { files: s.files.clone() };
        let t = if text == digest { t } else { t.run("RUN-2", &digest, &text) };
        let j = t.judge();
        assert_eq!(j.standing("RUN-2").first_failed, "G1");
        assert_eq!(j.standing("RUN-1").role, "used");
        assert!(j.doubt("DF20:C3.1:RUN-2").is_some());
        j.is("C3.1", N, "INADMISSIBLE(G1)");
    }
}

#[test]
fn g1_a_copy_in_other_words_counts_once() {
    // Other boards, other digest, the same resistances.
    let s = clean();
    let first =
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/RUN-1/sir.csv").expect("it").1.clone()).expect("text");
    let copy = first.replace(",L1-", ",L2-").replace(",K1-", ",K2-");
    let j = s.file("runs/RUN-2/sir.csv", &copy).stamp("RUN-2", "sir.csv").judge();
    assert_eq!((j.standing("RUN-2").first_failed, j.standing("RUN-1").role), ("G1", "used"));
    assert!(j.doubt("DF20:C3.1:RUN-2").is_some());
    j.is("C3.1", N, "INADMISSIBLE(G1)");
}

#[test]
fn g1_a_file_listed_twice_counts_once() {
    let s = clean();
    let csv =
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/INC-1/ionic.csv").expect("it").1.clone()).expect("text");
    let digest = galipot::diag::sha256_hex(csv.as_bytes());
    let entry = format!(
        "\n[[run.file]]\npath = \"again.csv\"\nsha256 = \"{digest}\"\nrole = \"readings\"\ntable = \"ionic\"\n"
    );
    let j = s.add("runs/INC-1/run.toml", &entry).file("runs/INC-1/again.csv", &csv).judge();
    assert_eq!(j.standing("INC-1").first_failed, "G1");
    j.is("C7.1", N, "INADMISSIBLE(G1)");
}

#[test]
fn g2_a_run_outside_the_protocol_is_exploratory() {
    let s = clean().replace("protocols/pt-1.toml", "\"RUN-1\"", "\"RUN-9\"");
    let s = s.run("RUN-1", "protocol = \"PT-1\"", "claims = [\"C3.1\"]\nassemblies = [\"AB-10\"]");
    put_aside(s, "G2", "exploratory", "CRITERION_AFTER_DATA(RUN-1)");
}

#[test]
fn g2_a_protocol_signed_on_the_first_day_comes_too_late() {
    let s = clean().patch("protocols/pt-1.toml", "signed_on = 2025-09-01", "signed_on = 2025-10-01");
    put_aside(s, "G2", "exploratory", "CRITERION_AFTER_DATA(RUN-1)");
}

#[test]
fn g2_an_id_in_another_case_is_another_run() {
    let s = clean().replace("protocols/pt-1.toml", "\"RUN-1\"", "\"Run-1\"");
    let s = s.run("RUN-1", "protocol = \"PT-1\"", "protocol = \"PT-1\"\nclaims = [\"C3.1\"]\nassemblies = [\"AB-10\"]");
    let j = s.judge();
    assert_eq!(j.standing("RUN-1").role, "exploratory");
    j.is("C3.1", N, "PLANNED(Run-1)");
}

#[test]
fn g2_an_exploratory_fail_contradicts_nothing_however_old() {
    let s = clean().replace("protocols/pt-1.toml", "\"RUN-1\"", "\"RUN-9\"").patch(
        "criteria/cs-1.toml",
        "months = 24",
        "months = 1",
    );
    let s = s.run("RUN-1", "protocol = \"PT-1\"", "claims = [\"C3.1\"]\nassemblies = [\"AB-10\"]");
    let j = s.sir("RUN-1", |b, p, t| level(b, p, t) - 4.0).judge();
    assert_eq!(j.standing("RUN-1").role, "exploratory", "not registered outweighs too old");
    j.is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-1)");
}

#[test]
fn g3_a_scope_that_lapsed_during_the_run() {
    let s = clean().replace("labs/labs.toml", "valid_to = 2027-01-01", "valid_to = 2025-10-01");
    let j = s.judge();
    assert_eq!(j.standing("RUN-1").role, "used", "{:?}", j.standing("RUN-1").gates);
    assert_eq!(j.standing("RUN-2").first_failed, "G3");
    j.is("C3.1", N, "INADMISSIBLE(G3)");
}

#[test]
fn g3_another_edition_is_another_method() {
    put_aside(
        clean().run("RUN-1", "method_edition = \"2007\"", "method_edition = \"2000\""),
        "G3",
        "inadmissible",
        "INADMISSIBLE(G3)",
    );
}

#[test]
fn g3_a_scope_without_accreditation_is_none() {
    let s = clean().patch("labs/labs.toml", "accreditation = \"T-0042\"", "unknown = [\"accreditation\"]");
    put_aside(s, "G3", "inadmissible", "INADMISSIBLE(G3)");
}

#[test]
fn g3_a_validated_method_in_the_house_caps_at_conditions() {
    let house = "independence = \"internal\"\nmethod_validation = \"VAL-7\"\napproved_by = \"REL\"\nunknown = [\"accreditation\"]";
    let s = clean().patch("labs/labs.toml", "independence = \"independent\"\naccreditation = \"T-0042\"", house);
    let j = s.judge();
    assert_eq!(j.standing("RUN-1").first_failed, "G3");
    j.is("C3.1", C, "INADMISSIBLE(G3)");
    // A method that the maker accepts for itself is not validated.
    let own = house.replace("\"REL\"", "\"ENG\"");
    let s = clean().patch("labs/labs.toml", "independence = \"independent\"\naccreditation = \"T-0042\"", &own);
    s.expect("C3.1", N, "INADMISSIBLE(G3)");
}

#[test]
fn g4_a_calibration_gap_and_the_check_that_mends_it() {
    let gap = |post: &str| {
        let new = format!("certificate = \"C-1001\"\ncal_from = 2025-02-01\ncal_to = 2025-10-01{post}");
        let run = "end = 2025-10-01T12:00:00+01:00";
        clean()
            .patch("labs/labs.toml", "certificate = \"C-1001\"\ncal_from = 2025-02-01\ncal_to = 2026-02-01", &new)
            .run("RUN-1", run, "end = 2025-10-03T12:00:00+01:00")
            .chamber("RUN-1", |_| (40.0, 90.0))
    };
    let j = gap("").judge();
    assert!(j.gate("RUN-1", "G4").starts_with("Inadmissible"), "{}", j.gate("RUN-1", "G4"));
    assert!(j.gate("RUN-2", "G4").starts_with("Inadmissible"), "it had run out before run 2 began");
    let j = gap("\npost_check = 2025-10-10").judge();
    assert!(j.gate("RUN-1", "G4").starts_with("Passed"), "{}", j.gate("RUN-1", "G4"));
    assert!(j.gate("RUN-2", "G4").starts_with("Inadmissible"), "a check mends no calibration that had run out before");
    let j = gap("\npost_check = 2025-10-02").judge();
    assert!(j.gate("RUN-1", "G4").starts_with("Inadmissible"), "the check came before the end");
    let j = gap("\npost_check = 2026-12-01").judge();
    assert!(j.gate("RUN-1", "G4").starts_with("Inadmissible"), "the check is yet to come");
}

#[test]
fn g4_no_instrument_is_no_measurement() {
    put_aside(clean().run("RUN-1", "instruments = [\"EM-1\"]\n", ""), "G4", "inadmissible", "INADMISSIBLE(G4)");
}

#[test]
fn g5_the_chamber_outside_its_tolerance() {
    let s = clean().chamber("RUN-1", |t| if t < 0.5 { (44.0, 90.0) } else { (40.0, 90.0) });
    put_aside(s, "G5", "inadmissible", "INADMISSIBLE(G5)");
    // One sample in a hundred and more may be outside; between the two limits a small doubt stays.
    let s = clean().chamber("RUN-1", |t| if t == 0.0 { (44.0, 90.0) } else { (40.0, 90.0) });
    s.expect("C3.1", N, "OPEN_DEFEATER(G5:C3.1:RUN-1)");
}

#[test]
fn g5_a_log_that_covers_half_of_the_run() {
    let half: String = (0..=12).map(|i| format!("{:.4},40,90\n", f64::from(i) / 6.0)).collect();
    let s = clean().file("runs/RUN-1/chamber.csv", &format!("t_h,T_c,RH_pct\n{half}")).stamp("RUN-1", "chamber.csv");
    put_aside(s, "G5", "inadmissible", "INADMISSIBLE(G5)");
    let s = clean().file("runs/RUN-1/chamber.csv", "t_h,T_c,RH_pct\n1,40,90\n").stamp("RUN-1", "chamber.csv");
    put_aside(s, "G5", "inadmissible", "INADMISSIBLE(G5)");
}

#[test]
fn g5_no_tolerance_no_log_no_criterion() {
    put_aside(clean().run("RUN-1", "tolerance_rh = \"3 %RH\"\n", ""), "G5", "inadmissible", "INADMISSIBLE(G5)");
    let s = clean().patch("criteria/cs-1.toml", "\"chamber_inside_floor\"", "\"chamber_inside_other\"");
    put_aside(s, "G5", "inadmissible", "INADMISSIBLE(G5)");
}

#[test]
fn g5_condensation_voids_a_pass_and_keeps_a_fail_as_a_doubt() {
    let wet = |s: Site| s.run("RUN-1", "condensation_seen = false", "condensation_seen = true");
    put_aside(wet(clean()), "G5", "inadmissible", "INADMISSIBLE(G5)");
    let j = wet(clean().sir("RUN-1", |b, p, t| level(b, p, t) - 4.0)).judge();
    assert!(j.doubt("DF5:C3.10:RUN-1").is_some(), "what failed wet speaks of wet use");
    j.is("C3.1", N, "INADMISSIBLE(G5)");
}

#[test]
fn g6_controls_below_their_limit() {
    let csv = |s: &Site| {
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/RUN-1/sir.csv").expect("it").1.clone()).expect("text")
    };
    let s = clean();
    let low: String = csv(&s)
        .lines()
        .map(|l| if l.contains("K1-1") && !l.starts_with('0') { l.replace("1.2589e11", "5.0e8") } else { l.to_string() } + "\n")
        .collect();
    assert!(low.contains("5.0e8"), "{}", &low[..400]);
    let s = s.file("runs/RUN-1/sir.csv", &low).stamp("RUN-1", "sir.csv");
    put_aside(s, "G6", "inadmissible", "INADMISSIBLE(G6)");
    put_aside(
        clean().run(
            "RUN-1",
            "controls = [\"K1-1\", \"K1-2\"]",
            "controls = []\npositive_controls = [\"K1-1\", \"K1-2\"]",
        ),
        "G6",
        "inadmissible",
        "INADMISSIBLE(G6)",
    );
}

#[test]
fn g6_a_board_that_was_meant_to_fail_and_did_not() {
    // Board 7 is declared a positive control: it stays at 9.8, so the run proves nothing.
    let s = clean().run("RUN-1", "controls = [", "positive_controls = [\"L1-7\"]\ncontrols = [");
    put_aside(s, "G6", "inadmissible", "INADMISSIBLE(G6)");
    let s = clean()
        .run("RUN-1", "controls = [", "positive_controls = [\"L1-7\"]\ncontrols = [")
        .sir("RUN-1", |b, p, t| if b == 7 { 6.5 } else { level(b, p, t) });
    let j = s.judge();
    assert!(j.gate("RUN-1", "G6").starts_with("Passed"), "{}", j.gate("RUN-1", "G6"));
    j.is("C3.1", S, "");
}

#[test]
fn g7_lots_and_builds_that_cannot_be() {
    let s = clean().patch("vehicles/tv-1.toml", "lot = \"L-1\"", "lot = \"L-9\"");
    put_aside(s, "G7", "inadmissible", "INADMISSIBLE(G7)");
    let s = clean().patch("vehicles/tv-1.toml", "lot = \"L-1\"", "lot = \"l-1\"");
    put_aside(s, "G7", "inadmissible", "INADMISSIBLE(G7)");
    let s = clean().patch("vehicles/tv-1.toml", "date = 2025-09-11", "date = 2025-10-11");
    put_aside(s, "G7", "inadmissible", "INADMISSIBLE(G7)");
    // The lot on the shelf is of another revision than the build says.
    let s = clean().patch(
        "materials/materials.toml",
        "id = \"L-1\"\nmaterial = \"SP-21\"\nformulation_rev = \"4\"",
        "id = \"L-1\"\nmaterial = \"SP-21\"\nformulation_rev = \"3\"",
    );
    put_aside(s, "G7", "inadmissible", "INADMISSIBLE(G7)");
}

#[test]
fn g8_a_washed_build_does_not_speak_of_residue_that_stays() {
    let s = clean().replace("vehicles/tv-1.toml", "washed = \"no\"", "washed = \"water\"");
    let j = s.judge();
    assert_eq!(j.standing("RUN-1").role, "used", "the run itself is sound");
    j.is("C3.1", N, "INADMISSIBLE(G8)").is("C3.2", N, "INADMISSIBLE(G8)");
    // Nor does its fail.
    let s = clean().replace("vehicles/tv-1.toml", "washed = \"no\"", "washed = \"water\"");
    s.sir("RUN-1", |b, p, t| level(b, p, t) - 4.0).expect("C3.1", N, "INADMISSIBLE(G8)");
}

/// A criterion that counts drops, and runs that are to speak to it.
fn with_drops(s: Site) -> Site {
    let drops = "[[criterion]]\nid = \"LIM-DROPS\"\nquantity = \"drops\"\noperator = \"le\"\nvalue = \"0\"\nstatistic = \"each\"\n\
        geometry = [\"COMB-02\"]\nwindow = [\"0 h\", \"4 h\"]\nguard_rule = \"none\"\nstandard = \"AABUS\"\nedition = \"2025\"\n\
        clause = \"QA-7 3.5\"\nstanding = \"agreed\"\nrationale = \"No drop.\"\napplies_to = [\"C3.5\"]\nset = \"CS-1\"";
    s.add("criteria/cs-1.toml", drops).replace("protocols/pt-1.toml", "\"C3.7\"]", "\"C3.7\", \"C3.5\"]")
}

#[test]
fn g9_readings_far_apart_show_no_absence_of_drops() {
    with_drops(clean()).expect("C3.5", S, "");
    let mut s = with_drops(clean());
    for i in 1..=3 {
        s = s.channels(&format!("RUN-{i}"), &["C1", "B1"], 60.0, level);
    }
    let j = s.judge();
    assert!(j.gate("RUN-1", "G9").starts_with("Minor"), "{}", j.gate("RUN-1", "G9"));
    j.is("C3.5", N, "INADMISSIBLE(G9)").is("C3.1", N, "OPEN_DEFEATER(G9:C3.1:RUN-1)");
}

#[test]
fn g9_ceiling_and_series_resistor() {
    let j = clean().run("RUN-1", "ceiling = \"1e13 ohm\"", "ceiling = \"5e8 ohm\"").judge();
    assert!(j.gate("RUN-1", "G9").contains("ceiling"), "{}", j.gate("RUN-1", "G9"));
    // A limit written in ohm needs the same headroom as one written in decades.
    let ohm = clean().replace("criteria/cs-1.toml", "value = \"8.0 log10 ohm\"", "value = \"100 Mohm\"");
    let j = ohm.run("RUN-1", "ceiling = \"1e13 ohm\"", "ceiling = \"5e8 ohm\"").judge();
    assert!(j.gate("RUN-1", "G9").contains("ceiling"), "{}", j.gate("RUN-1", "G9"));
    let j =
        clean().replace("vehicles/tv-1.toml", "series_resistor = \"1e6 ohm\"", "series_resistor = \"0 ohm\"").judge();
    assert!(j.gate("RUN-1", "G9").contains("resistor"), "{}", j.gate("RUN-1", "G9"));
    j.is("C3.1", N, "OPEN_DEFEATER(G9:C3.1:RUN-1)");
}

#[test]
fn g9_without_an_agreed_interval_nothing_counts() {
    put_aside(
        clean().patch("criteria/cs-1.toml", "\"reading_interval\"", "\"reading_pace\""),
        "G9",
        "inadmissible",
        "INADMISSIBLE(G9)",
    );
}

#[test]
fn g10_missing_channels() {
    put_aside(
        clean().run("RUN-1", "channels_planned = 18", "channels_planned = 24"),
        "G10",
        "inadmissible",
        "INADMISSIBLE(G10)",
    );
    put_aside(
        clean().run("RUN-1", "channels_planned = 18", "unknown = [\"channels_planned\"]"),
        "G10",
        "inadmissible",
        "INADMISSIBLE(G10)",
    );
    // One in twenty or fewer: a doubt, unless a photograph explains it.
    let s = || {
        clean().patch("criteria/cs-1.toml", "value = \"5 %\"", "value = \"10 %\"").run(
            "RUN-1",
            "channels_planned = 18",
            "channels_planned = 19",
        )
    };
    s().expect("C3.1", N, "OPEN_DEFEATER(G10:C3.1:RUN-1)");
    s().run(
        "RUN-1",
        "channels_planned = 19",
        "channels_planned = 19\ndead_channels_explained = \"photo P-7: cut track\"",
    )
    .expect("C3.1", S, "");
}

#[test]
fn g11_whoever_built_does_not_analyse_alone() {
    for (old, new) in [
        ("analyst = \"ANA\"", "analyst = \"OPS\""),
        ("second_check = \"CHK\"", "second_check = \"ANA\""),
        ("second_check = \"CHK\"", "unknown = [\"second_check\"]"),
        ("analysis_version = \"1\"", "unknown = [\"analysis_version\"]"),
    ] {
        let j = clean().run("RUN-1", old, new).judge();
        assert!(j.gate("RUN-1", "G11").starts_with("CapConditional"), "{new}: {}", j.gate("RUN-1", "G11"));
        j.is("C3.1", C, "INADMISSIBLE(G11)").is("C3.7", S, "").is("C11.6", C, "INADMISSIBLE(G11)");
    }
}

#[test]
fn g11_a_field_covered_only_by_such_runs_is_capped_too() {
    clean().runs("analysis_version = \"1\"", "unknown = [\"analysis_version\"]").expect("C3.7", C, "");
}

#[test]
fn g12_evidence_ages_and_a_fail_does_not() {
    let s = clean().patch("criteria/cs-1.toml", "months = 24", "months = 5");
    put_aside(s, "G12", "expired", "EXPIRED_AGE(RUN-1)");
    let s =
        clean().patch("criteria/cs-1.toml", "months = 24", "months = 5").sir("RUN-1", |b, p, t| level(b, p, t) - 4.0);
    s.expect("C3.1", X, "CONFLICT(RUN-1)");
    let s = clean().patch("criteria/cs-1.toml", "kind = \"sir\"", "kind = \"ecm\"");
    put_aside(s, "G12", "inadmissible", "INADMISSIBLE(G12)");
}

#[test]
fn the_day_of_judgement_knows_no_later_run() {
    let j = clean().judge_on(Some("2025-10-02"));
    assert_eq!(j.standing("RUN-3").role, "pending");
    j.is("C3.1", N, "PLANNED(RUN-3)");
    assert_eq!(j.a.assessment.assemblies[0].runs.pending, 1);
    // A fail that is yet to come contradicts nothing.
    let j = clean().sir("RUN-3", |b, p, t| level(b, p, t) - 4.0).judge_on(Some("2025-10-02"));
    j.is("C3.1", N, "PLANNED(RUN-3)");
}
