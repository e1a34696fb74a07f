//! The scenes of the demonstration that ask "what if": a higher limit, a higher gap, a later day.

use super::*;

/// Reason codes of a claim.
fn codes(a: &Assessment, id: &str, claim: &str) -> Vec<Code> {
    of(a, id).claim(tree(claim), claim).expect("a claim").reasons.iter().map(|r| r.code).collect()
}

#[test]
fn a_limit_of_eight_and_a_half_is_not_shown_and_not_contradicted() {
    let a = with(&["LIM-SIR.value=8.5"]).assessment;
    let gateway = of(&a, "OV-1107");
    assert_eq!((gateway.route.word(), gateway.state), ("not-yet", State::NotYet));
    let c = gateway.claim(TreeKind::Leave, "C3.1").expect("C3.1");
    assert_eq!(c.state, State::NotYet);
    assert!(codes(&a, "OV-1107", "C3.1").contains(&Code::NotShown));
    // Bounds of 8.40 and 8.25 need more combs; how many is printed, and no comb misses the limit.
    let text: Vec<&str> = c.reasons.iter().map(|r| r.text.as_str()).collect();
    for (run, n) in [("RUN-102", "n_eff 36"), ("RUN-103", "n_eff 247")] {
        assert!(text.iter().any(|t| t.contains(run) && t.contains(n)), "{run}: {text:?}");
    }
    assert!(a.what_if);
}

#[test]
fn a_higher_gap_is_covered_and_the_field_still_is_not() {
    // Whether the pattern over an LGA of lot 1 covers U4 in a dimension.
    let cover = |a: &Assessment, k: &str| {
        let row = of(a, "OV-4502")
            .coverage
            .iter()
            .find(|r| r.claim == "C3.2" && r.place == "U4" && r.run == "RUN-101" && r.pattern == "L08");
        let row = row.expect("a row of coverage");
        row.cells.iter().find(|c| c.dimension == k).map(|c| c.cover)
    };
    assert_eq!(cover(&base().assessment, "K7"), Some(Cover::Not));
    let a = with(&["OV-4502.U4.gap=\"40 um\""]).assessment;
    assert_eq!(cover(&a, "K7"), Some(Cover::Covered));
    let field = of(&a, "OV-4502").claim(TreeKind::Leave, "C3.7").expect("C3.7");
    assert_eq!(field.state, State::NotYet);
    let lacking: Vec<&str> =
        field.reasons.iter().filter(|r| r.code == Code::NotCovered).map(|r| r.detail.as_str()).collect();
    assert_eq!(lacking, ["K9"], "NP-401 still lacks its field, and nothing else");
}

#[test]
fn the_notice_of_a_new_formulation_bites_on_its_day() {
    let a = with(&["CH-01.effective_on=2026-03-30"]).assessment;
    for id in ["OV-1107", "OV-2230", "OV-4502"] {
        assert_eq!(of(&a, id).state, State::NotYet, "{id}");
    }
    // Before its day it is printed and holds nothing down.
    let noted = of(&base().assessment, "OV-1107").defeaters.iter().filter(|d| d.id.ends_with("CH-01")).count();
    assert!(noted > 5);
}

#[test]
fn evidence_that_is_too_old_no_longer_counts() {
    let options = Options { as_of: Day::parse("2027-02-15"), ..Options::default() };
    let a = assess(files().clone(), &options).expect("it is read").assessment;
    assert!(codes(&a, "OV-1107", "C7.3").contains(&Code::ExpiredAge), "the handling audit of 2026-02-14");
}
