//! The best plan: equal to brute force on small sites, never made worse by a further option, and true to the states.

use super::peer;
use galipot::plan::instance::{Instance, Kind, Line, Scheme, Test, Work};
use galipot::plan::search::{Limits, best};
use serde_json::Value;

const GO_ON: &dyn Fn() -> bool = &|| false;

#[test]
fn brute_force_finds_nothing_better_on_500_small_sites() {
    let (mut with_packs, mut staged) = (0, 0);
    for seed in 1..=500 {
        let of = peer::site(seed);
        let packs = of.relevant();
        let (contained, cost) = peer::least(&of, &packs);
        let found = best(&of, &packs, &Limits::default(), GO_ON).unwrap_or_else(|e| panic!("site {seed}: {e}"));
        let f = &found.followed;
        assert!(found.search.proven, "site {seed}: {:?}", found.search);
        assert!((f.contained - contained).abs() < 1e-9, "site {seed}: contained {} and {contained}", f.contained);
        assert!((f.cost - cost).abs() < 1e-6 * (1.0 + cost.abs()), "site {seed}: {} and {cost}", f.cost);
        // What the programme says it costs is what its steps cost.
        let again: f64 = f
            .ends
            .iter()
            .map(|e| {
                let packs: f64 = e.leaf.results.iter().map(|r| of.packs[r.0].cost * of.paid(r.2)).sum();
                e.leaf.chance * (peer::cost(&of, &e.steps) + packs)
            })
            .sum();
        assert!((again - cost).abs() < 1e-6 * (1.0 + cost.abs()), "site {seed}: its steps cost {again}, not {cost}");
        with_packs += usize::from(!packs.is_empty());
        staged += usize::from(f.ends.len() > 2);
    }
    assert!(with_packs > 100 && staged > 10, "{with_packs} sites with packages, {staged} plans in stages");
}

/// A made-up site of `site_plan.json`, of which every assembly that may change does so in one month.
fn of_reference(s: &Value) -> Instance {
    let n = |v: &Value| v.as_f64().expect("a number");
    let list = |v: &Value| -> Vec<f64> { v.as_array().expect("a list").iter().map(n).collect() };
    let months = n(&s["months"]) as u32;
    let years = months.div_ceil(12) as usize;
    let boards = list(&s["boards"]);
    let (belt, batch, outside) = (&s["belt"], &s["batch"], &s["outside"]);
    let steps = belt["shifts"].as_array().expect("shifts").iter().map(|x| (n(&x[0]), n(&x[1]))).collect();
    let line = |yearly: f64, work| Line { yearly, work, replace: None, retire: 0.0, conversion: 0.0 };
    let lines = vec![
        Line {
            replace: Some((n(&belt["replace"][0]) as u32, n(&belt["replace"][1]))),
            retire: n(&belt["retire"]),
            conversion: n(&belt["conversion"]),
            ..line(
                n(&belt["yearly"]),
                Work::Shifts { steps, hour: n(&belt["hour"]), saponifier: n(&belt["saponifier"]) },
            )
        },
        line(
            n(&batch["yearly"]),
            Work::Batch {
                boards: list(&batch["boards"]).into_iter().map(Some).collect(),
                load: n(&batch["load"]),
                capacity: n(&batch["capacity"]),
                peak: n(&batch["peak"]),
                price: n(&batch["price"]),
            },
        ),
        line(n(&outside["yearly"]), Work::Outside { board: n(&outside["board"]) }),
    ];
    let lead = n(&s["lead"]) as u32;
    let kind = |line, saponified, lead| Kind { line, saponified, lead, board: 0.0, contained: false };
    let treatments = vec![
        kind(Some(0), false, 0),
        kind(None, false, lead),
        kind(Some(1), true, lead),
        kind(Some(0), true, lead),
        kind(Some(2), true, lead),
    ];
    let after = s["may"].as_array().expect("may").iter().map(|m| {
        let may: Vec<bool> = m.as_array().expect("a list").iter().map(|b| b.as_bool().expect("a bool")).collect();
        let today = !may.contains(&true);
        std::iter::once(today).chain(may).map(|b| if b { vec![0] } else { Vec::new() }).collect()
    });
    let others = vec![1, 2, 3, 4];
    let scheme = |beside, v: &Value| Scheme {
        treatments: others.clone(),
        beside,
        yearly: n(&v["yearly"]),
        once: v["once"].as_f64().unwrap_or(0.0),
    };
    let factor = (1.0 + n(&s["rate"])).powf(-1.0 / 12.0);
    Instance {
        months,
        once: factor,
        recurring: factor,
        panels: boards.iter().map(|b| vec![b / 4.0; years]).collect(),
        boards: boards.iter().map(|b| vec![*b; years]).collect(),
        lines,
        treatments,
        programmes: vec![scheme(Vec::new(), &s["programme"]), scheme(vec![0], &s["segregation"])],
        packs: Vec::new(),
        today: 0,
        after: after.collect(),
    }
}

#[test]
fn medium_sites_cost_what_scipy_finds() {
    // scipy.optimize.milp over a programme written apart from this one; see tests/reference/site_plan.py.
    let text = include_str!("../../reference/site_plan.json");
    let all: Value = serde_json::from_str(text).expect("json");
    let cases = all["cases"].as_array().expect("cases");
    assert_eq!(cases.len(), 12);
    for (i, c) in cases.iter().enumerate() {
        let of = of_reference(&c["site"]);
        let found = best(&of, &[], &Limits::default(), GO_ON).unwrap_or_else(|e| panic!("case {i}: {e}"));
        let least = c["least"].as_f64().expect("a number");
        assert!(found.search.proven, "case {i}: {:?}", found.search);
        assert!((found.followed.cost - least).abs() < 1e-6 * least, "case {i}: {} and {least}", found.followed.cost);
    }
}

#[test]
fn a_further_option_never_makes_the_best_plan_worse() {
    let mut compared = 0;
    for seed in 1..=40 {
        let of = peer::site(seed);
        let least = |of: &Instance| {
            let f = best(of, &of.relevant(), &Limits::default(), GO_ON).expect("a plan").followed;
            (f.contained, f.cost)
        };
        let before = least(&of);
        for a in 0..of.assemblies() {
            for t in (0..of.treatments.len()).filter(|&t| !of.treatments[t].contained && of.after[a][t] != [0]) {
                let mut more = of.clone();
                more.after[a][t] = vec![0];
                let after = least(&more);
                let worse = after.0 > before.0 + 1e-9
                    || (after.0 > before.0 - 1e-9 && after.1 > before.1 + 1e-6 * before.1.abs());
                assert!(!worse, "site {seed}: treatment {t} for assembly {a} makes {before:?} {after:?}");
                compared += 1;
            }
        }
    }
    assert!(compared > 100, "{compared}");
}

#[test]
fn a_claim_that_falls_takes_its_route_away() {
    let mut fallen = 0;
    for seed in 1..=70 {
        let of = peer::site(seed);
        let before = best(&of, &of.relevant(), &Limits::default(), GO_ON).expect("a plan").followed;
        for (a, t, _) in before.ends.iter().flat_map(|e| e.steps.clone()).filter(|s| !of.treatments[s.1].contained) {
            let mut less = of.clone();
            less.after[a][t] = Vec::new();
            let after = best(&less, &less.relevant(), &Limits::default(), GO_ON).expect("a plan").followed;
            let has = after.ends.iter().flat_map(|e| &e.steps).any(|s| (s.0, s.1) == (a, t));
            assert!(!has, "site {seed}: assembly {a} still has treatment {t}");
            fallen += 1;
        }
    }
    assert!(fallen > 40, "{fallen}");
}

#[test]
fn the_cost_of_a_line_ends_with_its_last_board() {
    // Two assemblies on one belt; the yearly cost, the replacement and the retirement wait for the last of them.
    let kind = |line, lead| Kind { line, saponified: false, lead, board: 0.0, contained: false };
    let belt = Line {
        yearly: 60_000.0,
        work: Work::Shifts { steps: vec![(1000.0, 1000.0)], hour: 20.0, saponifier: 0.0 },
        replace: Some((12, 100_000.0)),
        retire: -5000.0,
        conversion: 0.0,
    };
    let mut of = Instance {
        months: 24,
        once: 1.0,
        recurring: 1.0,
        boards: vec![vec![400.0; 2]; 2],
        panels: vec![vec![100.0; 2]; 2],
        lines: vec![belt],
        treatments: vec![kind(Some(0), 0), kind(None, 6)],
        programmes: Vec::new(),
        packs: Vec::new(),
        today: 0,
        after: vec![vec![vec![0], vec![0]], vec![vec![0], Vec::new()]],
    };
    let cost = |of: &Instance| best(of, &[], &Limits::default(), GO_ON).expect("a plan").followed.cost;
    // All 24 months of 80 000 a year and the replacement, although one of the two is left.
    assert!((cost(&of) - 260_000.0).abs() < 1e-6, "{}", cost(&of));
    // The last board goes too: five months, and what is got for the line.
    of.after[1][1] = vec![0];
    assert!((cost(&of) - (80_000.0 * 5.0 / 12.0 - 5000.0)).abs() < 1e-6, "{}", cost(&of));
}

#[test]
fn a_search_that_is_cut_short_says_so_and_gives_a_bound() {
    // 200 assemblies and 20 packages; a few programmes only, so that the test is quick.
    let mut d = peer::Dice::new(3);
    let mut of = peer::site(7);
    let years = of.months.div_ceil(12) as usize;
    let n = 200;
    of.boards = (0..n).map(|_| vec![100.0 * (1 + d.below(100)) as f64; years]).collect();
    of.panels = of.boards.iter().map(|b| b.iter().map(|x| x / 4.0).collect()).collect();
    let total: f64 = of.panels.iter().map(|p| p[0]).sum();
    of.lines[0].work = Work::Shifts {
        steps: (1..=5).map(|s| (total * f64::from(s) / 5.0 * 1.001, 800.0 * f64::from(s))).collect(),
        hour: 40.0,
        saponifier: 2.0,
    };
    of.lines.truncate(1);
    of.treatments.truncate(3);
    of.packs = (0..20).map(|_| Test { cost: 1e4, months: 3, chance: 0.7, paid_at_end: false }).collect();
    of.after = (0..n)
        .map(|_| {
            let leave = if d.chance(60) { vec![0] } else { vec![1 << d.below(20)] };
            vec![Vec::new(), leave, Vec::new()]
        })
        .collect();
    of.programmes.iter_mut().for_each(|p| p.treatments.retain(|t| *t < 3));
    let limits = Limits { programmes: 6, ..Limits::default() };
    let found = best(&of, &of.relevant(), &limits, GO_ON).expect("a plan");
    let s = &found.search;
    assert!(!s.proven && s.stopped.is_some(), "{s:?}");
    assert!(s.bound.is_finite() && s.bound <= found.followed.cost && s.gap > 0.0 && s.gap < 1.0, "{s:?}");
    // The time that is given may be over at once.
    assert!(best(&of, &of.relevant(), &limits, &|| true).is_err());
}
