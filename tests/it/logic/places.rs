//! Places of a claim: none, not applicable, one paste among two, facts that contradict a statement.

use super::site::{C, N, NA, S, Site, clean, condition};

const AB: &str = "assemblies/ab-10.toml";

fn statement(claim: &str) -> String {
    format!(
        "[[not_applicable]]\nclaim = \"{claim}\"\nreason = \"there is none\"\nproof = \"layout\"\nby = \"REL\"\non = 2026-01-10\n"
    )
}

#[test]
fn what_does_not_apply_must_be_stated_and_true() {
    clean().expect("C4.1", N, "MISSING(node)");
    clean().add(AB, &statement("C4.1")).expect("C4.1", NA, "");
    let node = "[[node]]\nid = \"N1\"\nrole = \"sensor\"\nbudget = \"25 pA\"\ntest_method = \"in humidity\"\n";
    clean().add(AB, &statement("C4.1")).add(AB, node).expect("C4.1", N, "CONFLICT");
    // A statement of somebody who was not in office, or of tomorrow, states nothing.
    clean().add(AB, &statement("C4.1").replace("2026-01-10", "2023-01-10")).expect("C4.1", N, "MISSING(node)");
    clean().add(AB, &statement("C4.1").replace("2026-01-10", "2026-05-10")).expect("C4.1", N, "MISSING(node)");
    // A person may doubt the statement, and it may rest on an assumption.
    let doubt = "[[doubt]]\nid = \"DB-1\"\nassembly = \"AB-10\"\nclaim = \"C4.1\"\nkind = \"rebut\"\nseverity = \"major\"\ntext = \"U7 has one.\"\nraised_by = \"REL\"\nraised_on = 2026-01-15\n";
    clean().add(AB, &statement("C4.1")).register(doubt).expect("C4.1", N, "OPEN_DEFEATER(DB-1)");
    let assumption = "[[assumption]]\nid = \"AS-1\"\nassemblies = [\"AB-10\"]\nclaims = [\"C4.1\"]\ntext = \"No node.\"\nbasis = \"circuit\"\nfalsifier = \"a node\"\nowner = \"REL\"\nreview_on = 2026-09-01\nstatus = \"STATUS\"\n";
    clean().add(AB, &statement("C4.1")).register(&assumption.replace("STATUS", "accepted")).expect("C4.1", NA, "");
    clean().add(AB, &statement("C4.1")).register(&assumption.replace("STATUS", "falsified")).expect(
        "C4.1",
        N,
        "ASSUMPTION(AS-1)",
    );
    // Where places exist none can be stated away.
    clean().add(AB, &statement("C3.1")).expect("C3.1", N, "CONFLICT");
    clean().add(AB, &statement("C3.2")).expect("C3.2", N, "CONFLICT");
    // A claim on the whole assembly that runs are planned for applies.
    clean().add(AB, &statement("C3.6")).expect("C3.6", N, "CONFLICT");
    clean().add(AB, &statement("C5.3")).expect("C5.3", NA, "");
    clean().add(AB, &statement("C5.3")).plan("RUN-9", "C5.3").expect("C5.3", N, "CONFLICT");
    // An inspection always applies.
    clean().add(AB, &statement("C11.1")).expect("C11.1", N, "CONFLICT");
}

#[test]
fn wet_use_is_no_matter_of_statement() {
    let wet = |s: Site| {
        s.patch("environments/indoor.toml", "condensing = \"0 h\"", "condensing = \"60 h\"").patch(
            "environments/indoor.toml",
            "hours = \"2760 h\"",
            "hours = \"2700 h\"",
        )
    };
    wet(clean()).expect("C3.10", N, "MISSING(K15)");
    wet(clean()).add(AB, &statement("C3.10")).expect("C3.10", N, "CONFLICT");
    let salt = |s: Site| s.patch("environments/indoor.toml", "salt = false", "salt = true");
    salt(clean()).add(AB, &statement("C3.10")).expect("C3.10", N, "CONFLICT");
    let unknown = clean().patch("environments/indoor.toml", "condensing = \"0 h\"", "unknown = [\"condensing\"]");
    unknown.expect("C3.10", N, "MISSING(condensing)");
}

fn dew(kelvin: &str) -> String {
    format!(
        "[[criterion]]\nid = \"LIM-DEW\"\nquantity = \"dew_margin\"\noperator = \"ge\"\nvalue = \"{kelvin} K\"\nstatistic = \"each\"\nguard_rule = \"none\"\nstandard = \"AABUS\"\nedition = \"2025\"\nclause = \"QA-7 6\"\nstanding = \"agreed\"\nrationale = \"Dry.\"\napplies_to = [\"C3.10\"]\nset = \"CS-1\"\n"
    )
}

#[test]
fn dryness_is_argued_from_a_measured_climate_with_a_margin() {
    let cs = "criteria/cs-1.toml";
    clean().expect("C3.10", N, "CRITERION_MISSING(dew_margin)");
    clean().add(cs, &dew("3")).expect("C3.10", S, "");
    clean().add(cs, &dew("9")).expect("C3.10", N, "NOT_SHOWN(bin 2)");
    clean()
        .add(cs, &dew("3"))
        .patch("environments/indoor.toml", "source = \"measured\"", "source = \"estimate\"")
        .expect("C3.10", N, "INPUT_ESTIMATED(bins)");
    clean().add(cs, &dew("3")).plan("RUN-9", "C3.10").expect("C3.10", N, "PLANNED(RUN-9)");
    // What failed wet is met by that very margin, and by no other claim's word.
    let dripped = || {
        clean()
            .add(cs, &dew("3"))
            .run("RUN-1", "condensation_seen = false", "condensation_seen = true")
            .sir("RUN-1", |_, _, _| 6.0)
    };
    dripped().expect("C3.10", N, "OPEN_DEFEATER(DF5:C3.10:RUN-1)");
    let answer = "[[answer]]\ndoubt = \"DF5:C3.10:RUN-1\"\nassemblies = [\"AB-10\"]\nstatus = \"refuted\"\ntext = \"It stays dry.\"\nevidence = [\"C3.10\"]\nby = \"REL\"\non = 2026-02-01\n";
    dripped().register(answer).expect("C3.10", S, "");
    let wet = dripped()
        .register(answer)
        .patch("environments/indoor.toml", "condensing = \"0 h\"", "condensing = \"60 h\"")
        .patch("environments/indoor.toml", "hours = \"2760 h\"", "hours = \"2700 h\"");
    wet.expect("C3.10", N, "OPEN_DEFEATER(DF5:C3.10:RUN-1)");
}

#[test]
fn a_board_with_two_pastes_is_two_surfaces() {
    let second = "[[material]]\nid = \"SP-22\"\nkind = \"paste\"\ntitle = \"Other paste\"\nformulation_rev = \"1\"\nwater_soluble = false\nalloy = \"Sn-Ag-Cu\"\npowder_type = 4\n";
    let zone = "[[zone]]\nid = \"Z2\"\nside = \"bottom\"\ncoated = false\narea = \"9 cm2\"\n\n[[flux_use]]\nzone = \"Z2\"\nflux = \"SP-22\"\norder = 1\ndose = \"60 ug/cm2\"\nmetered = true\nheated_fraction = 1.0\nwiped = \"never\"\n";
    let pair = "[[net_pair]]\nid = \"NP-4\"\nnet_a = \"A\"\nnet_b = \"B\"\nplace = \"J4\"\ngeometry = \"trace_trace\"\nv_work = \"3.3 V\"\nv_peak = \"5 V\"\ndc_fraction = 1.0\nduty_biased = 1.0\nspacing = \"250 um\"\nfacing = \"1 mm\"\nmask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z2\"\n";
    let s = clean().add("materials/materials.toml", second).add(AB, zone).add(AB, pair);
    s.expect("C3.1", N, "NOT_COVERED(K1)").is("C3.7", N, "NOT_COVERED(K1)");
    // Without a pair in its zone the second paste is judged all the same.
    clean().add("materials/materials.toml", second).add(AB, zone).expect("C3.1", N, "NOT_COVERED(K1)");
}

#[test]
fn a_body_without_a_gap_is_a_place() {
    let part = "[[component]]\nrefdes = \"U9\"\npart_key = \"IC-9\"\nbody_class = \"BTC\"\nn_io = 32\nwash_ok = \"yes\"\nzone = \"Z1\"\n";
    clean().add(AB, part).expect("C3.2", N, "NOT_COVERED(K7)");
}

#[test]
fn leakage_leans_on_readings_that_count() {
    let need = |s: Site| {
        s.patch(AB, "mask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n\n[[net_pair]]", "mask_cover = \"none\"\ncoated = false\nr_need = \"1e9 ohm\"\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n\n[[net_pair]]")
    };
    let margin = "[[criterion]]\nid = \"LIM-LEAK\"\nquantity = \"leakage_margin\"\noperator = \"ge\"\nvalue = 10\nstatistic = \"each\"\nguard_rule = \"none\"\nstandard = \"AABUS\"\nedition = \"2025\"\nclause = \"QA-7 6\"\nstanding = \"agreed\"\nrationale = \"Ten.\"\napplies_to = [\"C3.11\"]\nset = \"CS-1\"\n";
    let s = || need(clean()).add("criteria/cs-1.toml", margin);
    let j = s().judge();
    j.is("C3.11", S, "");
    assert!(j.claim("C3.11").valid_until.is_some(), "the model lasts no longer than its readings");
    clean().add("criteria/cs-1.toml", margin).expect("C3.11", N, "MISSING");
    // The weakest run is what the model starts from; altered, it carries nothing.
    let weak = |s: Site| s.sir("RUN-2", |b, p, t| super::site::level(b, p, t) - 0.5);
    weak(s()).expect("C3.11", S, "");
    weak(s()).run("RUN-2", "instruments = [\"EM-1\"]\n", "").expect("C3.11", N, "INADMISSIBLE(RUN-2)");
    // Need far beyond even the mean: contradicted by the model. Between: a condition may answer.
    let far = s().patch(AB, "r_need = \"1e9 ohm\"", "r_need = \"1e15 ohm\"").judge();
    assert_eq!(far.claim("C3.11").state, super::site::X);
    s().plan("RUN-9", "C3.11").expect("C3.11", N, "PLANNED(RUN-9)");
    let _ = (C, condition);
}
