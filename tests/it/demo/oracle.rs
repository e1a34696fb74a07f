//! The states that the scenario was written for, reasoned by hand before there was an engine.

use super::*;

/// Assembly, route, interim, states of leaving, washing and the present process, last day of validity.
const OUTCOMES: [(&str, &str, Option<&str>, [&str; 3], &str); 4] = [
    ("OV-1107", "leave", None, ["S", "N", "N"], "2027-02-14"),
    ("OV-2230", "leave-with-conditions", None, ["C", "N", "N"], "2026-10-01"),
    ("OV-3415", "wash-saponified", None, ["X", "C", "N"], "2026-12-15"),
    ("OV-4502", "not-yet", Some("no-supported-interim"), ["N", "N", "X"], ""),
];

#[test]
fn four_assemblies_reach_four_outcomes() {
    for (id, route, interim, states, until) in OUTCOMES {
        let a = of(&base().assessment, id);
        let found = [a.state.letter(), a.wash_state.letter(), a.present_state.letter()];
        assert_eq!((a.route.word(), a.interim, found), (route, interim, states), "{id}");
        assert_eq!(a.valid_until.map(|d| d.to_string()).unwrap_or_default(), until, "{id}: {}", a.valid_until_from);
    }
    assert!(of(&base().assessment, "OV-1107").valid_until_from.contains("AU-26-01"));
    assert!(of(&base().assessment, "OV-2230").valid_until_from.contains("CO-3"));
}

fn letter(id: &str, claim: &str) -> &'static str {
    let a = of(&base().assessment, id);
    a.claim(tree(claim), claim).unwrap_or_else(|| panic!("{id} has no {claim}")).state.letter()
}

/// Leaves of a tree in a state, acceptance after issue left out.
fn leaves(id: &str, tree: TreeKind, state: State) -> Vec<&'static str> {
    let a = of(&base().assessment, id);
    let mine = a.claims.iter().filter(|c| c.leaf && !c.after_issue && c.tree == tree && c.rule != "comparison");
    mine.filter(|c| c.state == state).map(|c| c.id.as_str()).collect()
}

#[test]
fn everything_of_the_gateway_is_supported_or_does_not_apply() {
    let id = "OV-1107";
    for state in [State::Contradicted, State::NotYet, State::WithConditions] {
        assert!(leaves(id, TreeKind::Leave, state).is_empty(), "{:?}", leaves(id, TreeKind::Leave, state));
    }
    assert!(of(&base().assessment, id).conditions.is_empty());
    let chart = of(&base().assessment, id).claim(TreeKind::Leave, "C10.1").expect("C10.1");
    assert_eq!(chart.n, 24);
    // 3.3 V under U3 by TV-1 at 25 V/mm, 24 V in the open by the dose-0 cell of TV-2 at 100 V/mm.
    let field = of(&base().assessment, id).claim(TreeKind::Leave, "C3.7").expect("C3.7");
    let tested = |pair: &str| {
        let p = field.places.iter().find(|p| p.place.starts_with(pair)).unwrap_or_else(|| panic!("no {pair}"));
        (p.value.round(), p.run.as_str())
    };
    assert_eq!(tested("NP-101"), (100.0, "RUN-107"));
    assert_eq!(tested("NP-102").0, 25.0);
}

#[test]
fn the_positioner_has_exactly_five_conditions() {
    let a = of(&base().assessment, "OV-2230");
    let top = a.claim(TreeKind::Leave, "C0").expect("C0");
    let mut ids: Vec<&str> = top.conditions.iter().map(String::as_str).collect();
    ids.sort_unstable();
    assert_eq!(ids, ["CO-1", "CO-2", "CO-3", "CO-4", "CO-5"]);
    assert!(a.conditions.iter().all(|c| c.lacks.is_empty()));
    assert!(leaves("OV-2230", TreeKind::Leave, State::NotYet).is_empty());
    for (claim, condition) in [("C3.3", "CO-1"), ("C7.1", "CO-2"), ("C5.1", "CO-3"), ("C4.3", "CO-4"), ("C10", "CO-5")]
    {
        let c = a.claim(TreeKind::Leave, claim).expect("a claim");
        assert_eq!(c.state, State::WithConditions, "{claim}");
        assert!(c.conditions.iter().any(|x| x == condition), "{claim} rests on {:?}", c.conditions);
    }
    assert_eq!(letter("OV-2230", "C2.4"), "S");
}

#[test]
fn the_detector_cannot_be_left_and_can_be_washed() {
    let id = "OV-3415";
    assert_eq!(leaves(id, TreeKind::Leave, State::Contradicted), ["C3.11", "C4.1", "C4.2"]);
    let model = of(&base().assessment, id).claim(TreeKind::Leave, "C3.11").expect("C3.11");
    assert!(model.reasons.iter().any(|r| r.text.contains("by model")), "{:?}", model.reasons);
    assert!(leaves(id, TreeKind::Wash, State::NotYet).is_empty());
    assert_eq!(letter(id, "W2"), "S");
    assert_eq!(leaves(id, TreeKind::Wash, State::WithConditions), ["W3", "W6", "W11.2"]);
    assert_eq!(letter(id, "W11"), "C");
    let leak = of(&base().assessment, id).claim(TreeKind::Wash, "W11.2").expect("W11.2");
    assert!(leak.voices.iter().any(|v| v.run == "RUN-112" && v.counts_as == "M"));
}

#[test]
fn the_pump_controller_lacks_six_leaves_and_no_other() {
    let id = "OV-4502";
    assert_eq!(leaves(id, TreeKind::Leave, State::NotYet), ["C2.1", "C3.2", "C3.5", "C3.7", "C3.10", "C6.5"]);
    assert!(leaves(id, TreeKind::Leave, State::Contradicted).is_empty());
    assert_eq!(leaves(id, TreeKind::Leave, State::WithConditions), ["C1.4", "C2.3", "C3.3"]);
    assert_eq!((letter(id, "W2"), letter(id, "I12")), ("N", "X"));
    let a = of(&base().assessment, id);
    assert!(a.stop_ship.iter().any(|s| s.contains("PF-02")), "{:?}", a.stop_ship);
    let open = |d: &str| a.defeaters.iter().any(|x| x.id == d && x.status.word() == "open");
    assert!(open("DF5:C3.5:RUN-116") && open("DF5:C3.10:RUN-104") && open("DF5:W2:RUN-125"));
    let voice = |run: &str| {
        let c = a.claim(TreeKind::Leave, "C3.2").expect("C3.2");
        c.voices.iter().find(|v| v.run == run && v.pattern == "L08").map(|v| v.counts_as)
    };
    assert_eq!(voice("RUN-103"), Some("not covered"));
    assert!(voice("RUN-115").is_some_and(|v| v.starts_with("inadmissible")));
}

/// Statistic before the guard band of a run's set under a criterion.
fn statistic(w: &Workings, run: &str, place: &str, cell: &str, criterion: &str) -> (f64, usize) {
    let found = w.outcomes.iter().find(|o| {
        let s = &w.sets[o.set];
        o.run == run && o.criterion == criterion && s.place == place && s.cell == cell
    });
    let o = found.unwrap_or_else(|| panic!("{run} says nothing of {place}/{cell} under {criterion}"));
    (o.value, o.n_eff)
}

#[test]
fn the_bounds_are_those_of_the_scenario() {
    let w = &base().workings;
    let open = [
        ("RUN-101", "C02-1", "nominal", "LIM-SIR", 8.56),
        ("RUN-102", "C02-1", "hot", "LIM-SIR", 8.40),
        ("RUN-103", "C02-1", "cold", "LIM-SIR", 8.25),
        ("RUN-106", "C02-1", "aged", "LIM-SIR", 8.27),
        ("RUN-107", "X50-1", "dose 0", "LIM-SIR", 8.69),
        ("RUN-107", "X50-1", "dose 100", "LIM-SIR-MIX", 8.39),
        ("RUN-107", "X50-1", "dose 200", "LIM-SIR-MIX", 8.11),
        ("RUN-108", "X50-1", "unheated 200", "LIM-SIR-MIX", 8.29),
    ];
    for (run, place, cell, criterion, wanted) in open {
        let (value, n_eff) = statistic(w, run, place, cell, criterion);
        // Printed to two digits; resistances are committed with four.
        assert!((value - wanted).abs() < 0.006, "{run} {cell}: {value}, not {wanted}");
        assert_eq!(n_eff, 13, "{run} {cell}");
    }
    let ratio = |run: &str, place: &str| statistic(w, run, place, "migration", "LIM-ECM").0;
    assert!((ratio("RUN-105", "E02-1") - 0.43).abs() < 0.005 && (ratio("RUN-110", "X50-1") - 0.31).abs() < 0.005);
    let drop = w.sets.iter().find(|s| s.run == "RUN-106" && s.quantity == "sir_aged_drop" && s.place == "C02-1");
    assert!((drop.expect("a drop").samples[0].value - 0.21).abs() < 0.005);
    let washed = statistic(w, "RUN-114", "Q16", "washed", "LIM-SIR-WASHED").0;
    assert!((washed - 11.3).abs() < 0.005, "{washed}");
}

#[test]
fn the_worst_margin_is_that_of_the_cold_cell() {
    let c = of(&base().assessment, "OV-1107").claim(TreeKind::Leave, "C3.1").expect("C3.1");
    assert!((c.margin - 0.127).abs() < 0.001 && (c.value - 8.127).abs() < 0.001, "{} {}", c.margin, c.value);
    assert_eq!((c.guard, c.limit), (0.12, 8.0));
    let worst = c.voices.iter().filter(|v| v.counts_as == "P").min_by(|a, b| a.margin.total_cmp(&b.margin));
    assert_eq!(worst.map(|v| (v.run.as_str(), v.cell.as_str())), Some(("RUN-103", "cold")));
    let a = of(&base().assessment, "OV-1107");
    for c in a.claims.iter().filter(|c| c.tree == TreeKind::Leave && c.unit == "log10 ohm" && c.margin.is_finite()) {
        assert!(c.margin >= 0.126, "{} has a smaller margin: {}", c.id, c.margin);
    }
}

#[test]
fn flooded_flux_fails_and_no_comb_of_the_three_lots_lies_low() {
    let sets = &base().workings.sets;
    let levels = |run: &str, cell: &str| -> Vec<f64> {
        let s = sets.iter().find(|s| s.run == run && s.quantity == "sir" && s.cell == cell).expect("a set");
        s.samples.iter().map(|x| x.value).collect()
    };
    let flood = levels("RUN-108", "flood 400");
    assert!((flood.iter().sum::<f64>() / 24.0 - 7.1).abs() < 0.005 && flood.iter().all(|x| *x < 7.88));
    for (run, cell) in [("RUN-101", "nominal"), ("RUN-102", "hot"), ("RUN-103", "cold")] {
        let lowest = levels(run, cell).into_iter().fold(f64::INFINITY, f64::min);
        assert!(lowest > 8.619, "{run}: {lowest}");
    }
}

#[test]
fn every_run_of_the_scenario_is_there_with_its_trap() {
    let a = base();
    let role = |id: &str| a.assessment.standings.iter().find(|s| s.run == id).map(|s| (s.role, s.first_failed));
    for n in 101..=156 {
        let id = format!("RUN-{n}");
        let planned = a.site.planned().any(|(_, p)| p.id.text == id);
        match n {
            126 | 127 | 133 => assert!(planned && a.site.run(&id).is_none(), "{id} is planned and waits"),
            123 | 125 => assert!(!planned && a.site.run(&id).is_some(), "{id} is outside the protocol"),
            _ => assert!(planned && a.site.run(&id).is_some(), "{id} is planned and reported"),
        }
    }
    assert_eq!(role("RUN-104"), Some(("inadmissible", "G5")));
    assert_eq!(role("RUN-115"), Some(("inadmissible", "G3")));
    assert_eq!(role("RUN-128"), Some(("inadmissible", "G1")));
    assert_eq!(role("RUN-123").map(|r| r.0), Some("informative"));
    assert_eq!(role("RUN-125"), Some(("exploratory", "G2")));
    assert_eq!(role("RUN-116").map(|r| r.0), Some("used"));
    let supplier = a.assessment.standings.iter().find(|s| s.run == "RUN-115").expect("RUN-115");
    let gate = |g: &str| {
        supplier.gates.iter().any(|x| x.gate == g && x.effect != galipot::model::assessment::GateEffect::Passed)
    };
    assert!(gate("G3") && gate("G9"), "the scope lapsed, and it read once an hour");
    let first =
        a.site.runs.iter().map(|r| r.run.start.day).filter(|d| *d >= Day::parse("2025-09-13").expect("a day")).min();
    assert_eq!(first.map(|d| d.to_string()).as_deref(), Some("2025-10-06"));
}

#[test]
fn runs_are_counted() {
    let count = |id: &str| {
        let r = &of(&base().assessment, id).runs;
        (r.planned, r.registered, r.used, r.inadmissible, r.exploratory, r.pending)
    };
    assert_eq!(count("OV-1107"), (23, 23, 21, 2, 0, 0));
    assert_eq!(count("OV-2230"), (30, 30, 28, 2, 0, 0));
    assert_eq!(count("OV-3415"), (32, 32, 30, 2, 0, 0));
    assert_eq!(count("OV-4502"), (32, 33, 26, 3, 1, 3));
}
