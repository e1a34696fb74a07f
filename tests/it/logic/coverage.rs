//! Coverage by material, build and lots: covered, not covered, carried by a bridge, and what no bridge carries.

use super::site::{C, CORNERS, N, S, Site, bridge, build, clean, overlap, overlap_of};

const TV: &str = "vehicles/tv-1.toml";
const AB: &str = "assemblies/ab-10.toml";
const MAT: &str = "materials/materials.toml";

/// The claim is not covered in `k`; a bridge over all three runs changes that only where reasoning is admissible.
pub fn uncovered(make: impl Fn() -> Site, claim: &str, k: &str, admissible: bool) {
    let code = format!("NOT_COVERED({k})");
    make().expect(claim, N, &code);
    let mut s = make();
    for run in ["RUN-1", "RUN-2", "RUN-3"] {
        s = s.register(&bridge(run, claim, k));
    }
    let j = s.judge();
    if admissible {
        j.is(claim, C, "");
        assert!(j.claim(claim).bridges.iter().any(|b| b.ends_with(&format!("-{k}"))), "{:?}", j.claim(claim).bridges);
    } else {
        j.is(claim, N, &code);
        assert!(j.claim(claim).bridges.is_empty());
    }
}

#[test]
fn k1_another_revision_is_another_formula() {
    // The paste in use is revision 5; what was tested is revision 4, and no reasoning makes them one.
    let make = || {
        clean().patch(
            MAT,
            "title = \"No-clean paste\"\nformulation_rev = \"4\"",
            "title = \"No-clean paste\"\nformulation_rev = \"5\"",
        )
    };
    uncovered(make, "C3.1", "K1", false);
    let make = || {
        clean().patch(
            MAT,
            "title = \"No-clean paste\"\nformulation_rev = \"4\"",
            "title = \"No-clean paste\"\nunknown = [\"formulation_rev\"]",
        )
    };
    uncovered(make, "C3.1", "K1", false);
}

#[test]
fn k1_forgives_a_missing_flux_only_where_the_whole_stack_is_asked_for() {
    // The same claim, asking for the stack of a mixed zone or not: boards with the selective flux alone.
    let claim = |covers: &str| {
        format!(
            "[[claim]]\nid = \"C2.3\"\ntree = \"leave\"\nparent = \"C2\"\ntitle = \"Dose\"\ntext = \"It is bounded.\"\nrule = \"evidence\"\nper = \"liquid_zone\"\ncovers = [{covers}]\nwashed = \"unwashed\"\n"
        )
    };
    let s = |covers: &str| {
        overlap_of(&[("SF-08", 60, true)])
            .file("claims/own.toml", &claim(covers))
            .add("criteria/cs-1.toml", &super::site::criterion("LIM-DOSE", "sir", "C2.3"))
            .replace("protocols/pt-1.toml", "claims = [\"C3.3\"]", "claims = [\"C3.3\", \"C2.3\"]")
    };
    s("\"K1\"").expect("C2.3", N, "NOT_COVERED(K1)");
    s("\"K1\", \"K4\"").expect("C2.3", N, "NOT_COVERED(K4)");
}

/// Paste SP-22 is on the boards and SP-21 on the product.
fn other_paste(site: &str, letters: &str) -> Site {
    let paste = format!(
        "[[material]]\nid = \"SP-22\"\nkind = \"paste\"\ntitle = \"No-clean paste\"\nformulation_rev = \"4\"\n\
         maker_site = \"{site}\"\nwater_soluble = false\nclass_letters = \"{letters}\"\nalloy = \"Sn-Ag-Cu\"\npowder_type = 4\n\
         solids = \"45 %\"\n"
    );
    clean().replace(MAT, "material = \"SP-21\"", "material = \"SP-22\"").add(MAT, &paste).replace(
        TV,
        "\"SP-21\"",
        "\"SP-22\"",
    )
}

#[test]
fn k1_the_same_formula_from_another_site_may_be_carried() {
    uncovered(|| other_paste("South works", "ROL0"), "C3.2", "K1", true);
    uncovered(|| other_paste("North works", "ROL0"), "C3.2", "K1", false);
    uncovered(|| other_paste("South works", "ROL1"), "C3.2", "K1", false);
}

#[test]
fn k1_an_id_in_another_case_is_refused_by_reading() {
    let s = clean().replace(TV, "\"SP-21\"", "\"sp-21\"");
    assert!(galipot::pipeline::assess(s.files, &Default::default()).is_err());
}

/// The product's paste with another alloy or powder; the boards keep a paste of the same key, so a second one is needed.
fn tested_paste(alloy: &str, powder: u32) -> Site {
    other_paste("South works", "ROL0")
        .patch(MAT, "class_letters = \"ROL0\"\nalloy = \"Sn-Ag-Cu\"\npowder_type = 4\nsolids = \"45 %\"\n\n[[lot]]\nid = \"L-1\"",
            &format!("class_letters = \"ROL0\"\nalloy = \"{alloy}\"\npowder_type = {powder}\nsolids = \"45 %\"\n\n[[lot]]\nid = \"L-1\""))
}

fn covers(j: &super::site::Judged, k: &str) -> Vec<String> {
    let rows = &j.a.assessment.assemblies[0].coverage;
    let cells = rows.iter().filter(|r| r.claim == "C3.1").flat_map(|r| &r.cells);
    cells.filter(|c| c.dimension == k).map(|c| c.cover.sign().to_string()).collect()
}

#[test]
fn k2_alloy_family() {
    let bridged = |s: Site| ["RUN-1", "RUN-2", "RUN-3"].iter().fold(s, |s, r| s.register(&bridge(r, "C3.1", "K2")));
    assert_eq!(covers(&clean().judge(), "K2"), ["=", "=", "="]);
    assert_eq!(covers(&bridged(tested_paste("Sn-Ag", 4)).judge(), "K2"), ["B", "B", "B"]);
    assert_eq!(covers(&bridged(tested_paste("Sn-Bi", 4)).judge(), "K2"), ["-", "-", "-"]);
    assert_eq!(covers(&bridged(tested_paste("Sn-Pb", 4)).judge(), "K2"), ["-", "-", "-"]);
    let s = clean().patch(MAT, "alloy = \"Sn-Ag-Cu\"\n", "");
    uncovered(|| Site { files: s.files.clone() }, "C3.1", "K2", false);
}

#[test]
fn k3_powder_type() {
    let bridged = |s: Site| ["RUN-1", "RUN-2", "RUN-3"].iter().fold(s, |s, r| s.register(&bridge(r, "C3.1", "K3")));
    // The product's paste is what differs: type 3 is covered by 4, type 5 by a bridge, type 6 by none.
    for (product, plain, carried) in [(3, "=", "="), (4, "=", "="), (5, "-", "B"), (6, "-", "-")] {
        assert_eq!(covers(&tested_paste("Sn-Ag-Cu", product).judge(), "K3"), [plain; 3], "type {product}");
        assert_eq!(covers(&bridged(tested_paste("Sn-Ag-Cu", product)).judge(), "K3"), [carried; 3], "type {product}");
    }
}

#[test]
fn k4_the_overlap_as_it_is_laid() {
    overlap().expect("C3.3", S, "");
    // The other way round both fluxes are there, and reasoning may carry the order.
    let turned = || overlap_of(&[("SF-08", 60, true), ("SP-21", 60, true)]);
    turned().expect("C3.3", N, "NOT_COVERED(K4)");
    turned().register(&bridge("RUN-4", "C3.3", "K4")).expect("C3.3", C, "");
    // A flux that no cell has is carried by nothing: this is how a rework flux is forgotten.
    let alone = || overlap_of(&[("SF-08", 60, true)]);
    alone().expect("C3.3", N, "NOT_COVERED(K4)");
    ["RUN-4", "RUN-5", "RUN-6"].iter().fold(alone(), |s, r| s.register(&bridge(r, "C3.3", "K4"))).expect(
        "C3.3",
        N,
        "NOT_COVERED(K4)",
    );
}

#[test]
fn k4_every_pair_of_three_fluxes_has_been_together() {
    let third = "[[flux_use]]\nzone = \"Z2\"\nflux = \"TF-03\"\norder = 3\ndose = \"40 ug/cm2\"\ndose_ucl = \"60 ug/cm2\"\nmetered = true\nheated_fraction = 1.0\nwiped = \"never\"\n";
    let all = overlap_of(&[("SP-21", 60, true), ("SF-08", 60, true), ("TF-03", 60, true)]).add(AB, third);
    all.expect("C3.3", S, "");
    let j = overlap().add(AB, third).judge();
    j.is("C3.3", N, "NOT_COVERED(K4)").is("C3.3", N, "NOT_COVERED(K5)");
    // Paste under flux in one cell and flux under flux in another leave paste under the third flux untested.
    let s = overlap()
        .add(AB, third)
        .add(TV, &build(7, "nominal", CORNERS[2].1, &[("SF-08", "SF-08-A", 60, true), ("TF-03", "TF-03-A", 60, true)]));
    let j = s.plan("RUN-7", "C3.3").with_run("RUN-7", "BLD-7", "2025-10-20").judge();
    j.is("C3.3", N, "NOT_COVERED(K4)");
    assert!(
        j.claim("C3.3").reasons.iter().any(|r| r.text.contains("TF-03 on SP-21") && !r.text.contains("TF-03 on SF-08"))
    );
}

#[test]
fn k5_dose_at_its_upper_limit_and_unheated_flux() {
    let dose = |d: u32| overlap_of(&[("SP-21", 60, true), ("SF-08", d, true)]);
    dose(60).expect("C3.3", S, "");
    for (tested, carried) in [(55, C), (50, N)] {
        dose(tested).expect("C3.3", N, "NOT_COVERED(K5)");
        dose(tested).register(&bridge("RUN-4", "C3.3", "K5")).expect("C3.3", carried, "");
    }
    // No upper limit is no bound.
    overlap().patch(AB, "dose_ucl = \"60 ug/cm2\"\n", "").expect("C3.3", N, "NOT_COVERED(K5)");
    // Flux that stays unheated somewhere asks for an unheated cell, and no reasoning replaces it.
    let shadow = |s: Site| {
        s.patch(
            AB,
            "dose_ucl = \"60 ug/cm2\"\nmetered = true\nheated_fraction = 1.0",
            "dose_ucl = \"60 ug/cm2\"\nmetered = true\nheated_fraction = 0.9",
        )
    };
    shadow(overlap()).expect("C3.3", N, "NOT_COVERED(K5)");
    ["RUN-4", "RUN-5", "RUN-6"].iter().fold(shadow(overlap()), |s, r| s.register(&bridge(r, "C3.3", "K5"))).expect(
        "C3.3",
        N,
        "NOT_COVERED(K5)",
    );
    let cold = || {
        shadow(overlap())
            .add(TV, &build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true), ("SF-08", "SF-08-A", 60, false)]))
            .plan("RUN-7", "C3.3")
            .with_run("RUN-7", "BLD-7", "2025-10-20")
    };
    cold().expect("C3.3", S, "");
}

#[test]
fn k6_the_corners_of_the_reflow_window() {
    // Runs together bracket the window; a product that gets hotter than the hot one leaves it open above.
    let hottest = |c: u32| clean().patch(AB, "hottest_peak = \"245 degC\"", &format!("hottest_peak = \"{c} degC\""));
    hottest(248).expect("C3.1", S, "");
    uncovered(|| hottest(251), "C3.1", "K6", true);
    uncovered(|| hottest(252), "C3.1", "K6", false);
    uncovered(|| clean().replace(TV, "atmosphere = \"air\"", "atmosphere = \"nitrogen\""), "C3.1", "K6", false);
    uncovered(|| clean().patch(TV, "tal = \"60 s\"", "tal = \"66 s\""), "C3.1", "K6", true);
    uncovered(|| clean().patch(AB, "passes = 1", "passes = 2"), "C3.1", "K6", false);
    let s = clean();
    let text = String::from_utf8(s.files.iter().find(|f| f.0 == AB).expect("it").1.clone()).expect("text");
    let (before, _) = text.split_once("[reflow]").expect("it");
    s.file(AB, before).expect("C3.1", N, "NOT_COVERED(K6)");
}

#[test]
fn k16_k17_k18() {
    let short = || {
        let mut s = clean();
        for i in 1..=3 {
            s = s.run(&format!("RUN-{i}"), "T12:00:00+01:00", "T11:00:00+01:00");
        }
        s
    };
    uncovered(short, "C3.1", "K16", false);
    uncovered(
        || clean().replace(TV, "line = \"Line 2, Mill Lane\"", "line = \"Line 5, Hill Lane\""),
        "C3.1",
        "K17",
        true,
    );
    let supplier = || {
        clean().replace(TV, "line = \"Line 2, Mill Lane\"", "line = \"Supplier\"").patch(
            "labs/labs.toml",
            "\"independent\"",
            "\"supplier\"",
        )
    };
    uncovered(supplier, "C3.1", "K17", false);
    uncovered(|| clean().patch(AB, "wiped = \"never\"", "wiped = \"on_rework\""), "C3.1", "K18", false);
    uncovered(|| clean().replace(TV, "wiped = \"never\"", "wiped = \"always\""), "C3.1", "K18", false);
}

#[test]
fn k19_ageing_when_life_is_long() {
    uncovered(|| clean().patch(AB, "life = \"4 years\"", "life = \"12 years\""), "C3.1", "K19", false);
    uncovered(
        || clean().patch("environments/indoor.toml", "swing = \"15 K\"", "swing = \"70 K\""),
        "C3.1",
        "K19",
        false,
    );
    let aged = clean().patch(AB, "life = \"4 years\"", "life = \"12 years\"").add(
        TV,
        &build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true)]).replace("aged = false", "aged = true"),
    );
    aged.plan("RUN-7", "C3.1").with_run("RUN-7", "BLD-7", "2025-10-20").expect("C3.1", S, "");
}

#[test]
fn k20_bare_boards() {
    uncovered(|| clean().patch(TV, "bare_ionic = \"0.2 ug/cm2\"", "bare_ionic = \"0.1 ug/cm2\""), "C3.2", "K20", true);
    // The doubt of a board that was cleaned and not measured stands beside the bridge.
    let unknown = |s: Site| s.patch(TV, "bare_ionic = \"0.2 ug/cm2\"", "unknown = [\"bare_ionic\"]");
    let s = ["RUN-1", "RUN-2", "RUN-3"].iter().fold(unknown(clean()), |s, r| s.register(&bridge(r, "C3.1", "K20")));
    s.expect("C3.1", N, "OPEN_DEFEATER(DF1:C3.1:TV-1)");
    // Nothing is known of production: no median, no bridge.
    let void = |s: Site| s.run("INC-1", "method_edition = \"B\"", "method_edition = \"A\"");
    uncovered(|| void(clean()), "C3.1", "K20", false);
}

#[test]
fn k21_three_lots() {
    let two = || clean().patch(TV, "lot = \"L-3\"", "lot = \"L-2\"");
    two().expect("C3.1", N, "NOT_COVERED(K21)");
    let bridged = ["RUN-1", "RUN-2", "RUN-3"].iter().fold(two(), |s, r| s.register(&bridge(r, "C3.1", "K21")));
    // A bridge carries it, and the doubt on lots still asks for its witness.
    let j = bridged.judge();
    j.is("C3.1", N, "OPEN_DEFEATER(DF2:C3.1:lots)");
    assert!(!j.codes("C3.1").iter().any(|c| c.starts_with("NOT_COVERED")), "{:?}", j.codes("C3.1"));
    let witness = super::site::condition("CND-W", "C3.1", "answers = [\"DF2:C3.1:lots\"]");
    ["RUN-1", "RUN-2", "RUN-3"]
        .iter()
        .fold(two(), |s, r| s.register(&bridge(r, "C3.1", "K21")))
        .register(&witness)
        .expect("C3.1", C, "");
}

#[test]
fn a_bridge_holds_only_as_it_was_signed() {
    let gap = || {
        clean().patch(AB, "v_peak = \"5 V\"\ndc_fraction = 1.0\nduty_biased = 1.0\nspacing = \"200 um\"\nfacing = \"0.60 mm\"\nmask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n\n[[net_pair]]", "v_peak = \"6 V\"\ndc_fraction = 1.0\nduty_biased = 1.0\nspacing = \"200 um\"\nfacing = \"0.60 mm\"\nmask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n\n[[net_pair]]")
    };
    let good = bridge("RUN-1", "C3.1", "K9");
    gap().register(&good).expect("C3.1", C, "");
    for (old, new) in [
        ("approved_by = \"REL\"", "approved_by = \"ENG\""),
        ("approved_by = \"REL\"", "unknown = [\"approved_by\"]"),
        ("approved_on = 2026-01-10", "approved_on = 2026-05-10"),
        ("approved_on = 2026-01-10", "approved_on = 2023-01-10"),
        ("expires = 2026-12-31", "expires = 2026-03-30"),
        ("claims = [\"C3.1\"]", "claims = [\"C3.2\"]"),
        ("dimensions = [\"K9\"]", "dimensions = [\"K8\"]"),
    ] {
        gap().register(&good.replace(old, new)).expect("C3.1", N, "NOT_COVERED(K9)");
    }
    let j = gap().register(&good).judge();
    assert_eq!(j.claim("C3.1").valid_until_from, "bridge BR-RUN-1-K9");
    // More than three of them raise a doubt.
    let s = gap().register(&good).patch(TV, "finish = \"ENIG\"", "finish = \"ENEPIG\"");
    let s = ["RUN-1", "RUN-2", "RUN-3"].iter().fold(s, |s, r| s.register(&bridge(r, "C3.1", "K11")));
    s.expect("C3.1", N, "OPEN_DEFEATER(DF25:C3.1:bridges)");
}
