//! Coverage by board, pattern and climate, K7 to K15: covered, not covered, carried by a bridge or by none.

use super::coverage::uncovered;
use super::site::{C, CORNERS, N, S, bridge, build, clean};

const TV: &str = "vehicles/tv-1.toml";
const AB: &str = "assemblies/ab-10.toml";

#[test]
fn k7_body_gap_and_fill() {
    let gap = |um: &str| clean().patch(TV, "gap = \"36.7 um\"", &format!("gap = \"{um} um\""));
    gap("38.5").expect("C3.2", S, "");
    uncovered(|| gap("40"), "C3.2", "K7", true);
    uncovered(|| gap("41"), "C3.2", "K7", false);
    uncovered(|| gap("40").patch(AB, "gap_source = \"measured\"", "gap_source = \"calculated\""), "C3.2", "K7", false);
    uncovered(|| clean().patch(TV, "fill = \"58 %\"", "fill = \"50 %\""), "C3.2", "K7", false);
    uncovered(|| clean().patch(TV, "fill = \"58 %\"\n", ""), "C3.2", "K7", false);
    uncovered(|| clean().patch(AB, "fill = \"58 %\"\n", ""), "C3.2", "K7", false);
    // Another class says nothing, and neither does an open comb.
    let other = clean().patch(TV, "body_class = \"BTC\"", "body_class = \"LGA\"");
    other.expect("C3.2", N, "MISSING(U3)");
    // A body pair whose part is not listed has no body to compare with.
    let j = clean().patch(AB, "place = \"U3\"", "place = \"u3\"").judge();
    j.is("C3.7", N, "NOT_COVERED(K7)");
}

#[test]
fn k8_spacing() {
    let pair = |um: u32| {
        clean().patch(AB, "spacing = \"200 um\"\nfacing = \"0.60 mm\"\nmask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n\n[[net_pair]]", &format!("spacing = \"{um} um\"\nfacing = \"0.60 mm\"\nmask_cover = \"none\"\ncoated = false\nsafety = false\nsource = \"layout\"\nzone = \"Z1\"\n\n[[net_pair]]"))
    };
    pair(250).expect("C3.1", S, "");
    let all = |um: u32, k: &str| {
        ["RUN-1", "RUN-2", "RUN-3"].iter().fold(pair(um), |s, r| {
            s.register(&bridge(r, "C3.1", k)).register(&bridge(r, "C3.1", "K9").replace("BR-", "BF-"))
        })
    };
    pair(180).expect("C3.1", N, "NOT_COVERED(K8)");
    all(180, "K8").expect("C3.1", C, "");
    all(170, "K8").expect("C3.1", N, "NOT_COVERED(K8)");
}

#[test]
fn k9_field_and_regime() {
    let volts = |v: &str| {
        clean().patch(
            AB,
            "place = \"J1\"\ngeometry = \"trace_trace\"\nv_work = \"3.3 V\"\nv_peak = \"5 V\"",
            &format!("place = \"J1\"\ngeometry = \"trace_trace\"\nv_work = \"3.3 V\"\nv_peak = \"{v} V\""),
        )
    };
    volts("5").expect("C3.1", S, "");
    uncovered(|| volts("6"), "C3.1", "K9", true);
    uncovered(|| volts("7"), "C3.1", "K9", false);
    // A wider pair at 12 V has a lower field and another regime: nothing carries that.
    let wide = || volts("12").replace(AB, "spacing = \"200 um\"", "spacing = \"600 um\"");
    uncovered(wide, "C3.1", "K9", false);
    wide().expect("C3.7", N, "NOT_COVERED(K9)");
    // Volts of the pattern far above: harder is not the same.
    let harder = || clean().replace(TV, "v_bias = \"5 V\"", "v_bias = \"50 V\"");
    uncovered(harder, "C3.1", "K9", false);
    harder().expect("C3.7", N, "NOT_COVERED(K9)");
}

#[test]
fn k10_to_k13_the_board() {
    uncovered(|| clean().replace(TV, "direct = true", "direct = false"), "C3.1", "K10", false);
    clean()
        .replace(TV, "direct = true", "direct = false")
        .replace(AB, "dc_fraction = 1.0", "dc_fraction = 0.0")
        .expect("C3.1", S, "");
    let finish = |a: &str, t: &str| {
        clean().patch(AB, "finish = \"ENIG\"", &format!("finish = \"{a}\"")).patch(
            TV,
            "finish = \"ENIG\"",
            &format!("finish = \"{t}\""),
        )
    };
    finish("OSP", "bare Cu").expect("C3.1", S, "");
    uncovered(|| finish("ENIG", "ENEPIG"), "C3.1", "K11", true);
    uncovered(|| finish("HASL", "ImSn"), "C3.1", "K11", true);
    uncovered(|| finish("ImAg", "ENIG"), "C3.1", "K11", false);
    uncovered(|| finish("bare Cu", "OSP"), "C3.1", "K11", false);
    uncovered(|| clean().patch(TV, "mask = \"MSK-3\"", "mask = \"MSK-4\""), "C3.1", "K12", true);
    uncovered(|| clean().patch(TV, "mask_defined = \"NSMD\"", "mask_defined = \"SMD\""), "C3.1", "K12", false);
    clean().patch(AB, "mask_defined = \"NSMD\"", "mask_defined = \"SMD\"").expect("C3.1", S, "");
    uncovered(|| clean().patch(TV, "fabricator = \"FAB-1\"", "fabricator = \"FAB-7\""), "C3.1", "K13", true);
    uncovered(|| clean().patch(TV, "halogen_free = true", "halogen_free = false"), "C3.1", "K13", false);
}

#[test]
fn k14_coated_boards_do_not_speak_for_bare_ones() {
    // C3.1 does not ask for K14: the doubt DF15 holds it down.
    let j = clean().replace(TV, "coated = false", "coated = true").judge();
    assert!(j.doubt("DF15:C3.1:RUN-1").is_some());
    j.is("C3.1", N, "OPEN_DEFEATER(DF15:C3.1:RUN-1)");
    // One coated build of two is enough for the doubt.
    let text = build(1, "cold", CORNERS[0].1, &[]);
    assert!(text.contains("coated = false"));
    let s = clean().patch(TV, "wiped = \"never\"\naged = false\ncoated = false\n\n[[vehicle.build.flux]]\nmaterial = \"SP-21\"\nformulation_rev = \"4\"\nlot = \"L-1\"", "wiped = \"never\"\naged = false\ncoated = true\n\n[[vehicle.build.flux]]\nmaterial = \"SP-21\"\nformulation_rev = \"4\"\nlot = \"L-1\"");
    s.expect("C3.1", N, "OPEN_DEFEATER(DF15:C3.1:RUN-1)");
}

#[test]
fn k15_climate() {
    let bin = |t: &str, rh: &str| {
        clean().patch(
            "environments/indoor.toml",
            "t = \"16 degC\"\nrh = \"70 %RH\"",
            &format!("t = \"{t} degC\"\nrh = \"{rh} %RH\""),
        )
    };
    bin("40", "90").expect("C3.1", S, "");
    uncovered(|| bin("45", "90"), "C3.1", "K15", true);
    uncovered(|| bin("40", "98"), "C3.1", "K15", true);
    uncovered(|| bin("60", "80"), "C3.1", "K15", false);
    bin("60", "50").expect("C3.1", S, "");
}

#[test]
fn runs_bracket_a_window_together_and_take_no_gap_from_one_and_field_from_another() {
    // Vehicle 1: the gap, 5 V. Vehicle 2: 6 V and a wider gap. The pair under the body needs 5.5 V.
    let volts = clean().patch(
        AB,
        "geometry = \"body_under\"\nv_work = \"3.3 V\"\nv_peak = \"5 V\"",
        "geometry = \"body_under\"\nv_work = \"3.3 V\"\nv_peak = \"5.5 V\"",
    );
    let tv1 = String::from_utf8(volts.files.iter().find(|f| f.0 == TV).expect("it").1.clone()).expect("text");
    let (head, _) = tv1.split_once("[[vehicle.build]]").expect("builds");
    let tv2 = head
        .replace("TV-1", "TV-2")
        .replace("v_bias = \"5 V\"", "v_bias = \"6 V\"")
        .replace("gap = \"36.7 um\"", "gap = \"60 um\"");
    let s = volts
        .file(
            "vehicles/tv-2.toml",
            &format!("{tv2}\n{}", build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true)])),
        )
        .plan("RUN-7", "C3.2")
        .with_run("RUN-7", "BLD-7", "2025-10-20");
    let j = s.judge();
    j.is("C3.2", N, "NOT_COVERED(K9)").is("C3.2", N, "NOT_COVERED(K7)");
}
