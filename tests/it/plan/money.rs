//! What plans cost: the example by its text and by hand, and what must hold for every price.

use super::{Desk, LINES, example, site};
use crate::builder::{patch, put};
use galipot::plan::course::{Course, Priced};
use galipot::plan::money::Money;

/// The amounts that the scenario was written for, thousands: plan, each path, expected cost.
const TEXT: &[(&str, &[f64], f64)] = &[
    ("R0", &[1279.6], 1279.6),
    ("R2", &[1359.5], 1359.5),
    // The scenario has 1 488.6 on the second path: machines bought in month 12, and no test. By its own rule of payment
    // that path is R4's with two machines and the test in month 0: 1 348.4 + 192 + 14 - 13.2.
    ("R3", &[893.6, 1541.2], 1087.9),
    ("R4", &[914.3, 1348.4], 1044.5),
    ("R5", &[624.8, 937.3, 1371.4], 779.7),
    ("R6", &[620.6, 937.3, 1371.4], 777.0),
];

#[test]
fn the_example_costs_what_its_text_says() {
    let plans = &super::planning().plans;
    for (id, paths, expected) in TEXT {
        let plan = plans.iter().find(|p| p.id == *id).unwrap_or_else(|| panic!("no plan {id}"));
        let near = |x: f64, text: f64| assert!((x / 1000.0 - text).abs() <= 0.1, "{id}: {x}, the text says {text} k");
        near(plan.cost.value, *expected);
        near(plan.saving.value, TEXT[0].2 - *expected);
        assert_eq!(plan.paths.len(), paths.len(), "{id}");
        plan.paths.iter().zip(*paths).for_each(|(p, text)| near(p.cost.value, *text));
    }
}

#[test]
fn a_path_is_the_sum_of_its_months_worked_out_anew() {
    // R4, second path, from the numbers alone: one-off in month 0; 1 to 5 as today; one shift from 6, with saponifier
    // from 12; recurring and segregation from 6; the test in month 8, conversion in 12, replacement in 36.
    let hour = 78.0 * 0.755 * 0.17 + 0.6 * (2.7 + 0.92 * 5.4) + 2.15 + 3.2 + 0.75 * 24.5;
    let year = |hours: f64, more: f64| 61_820.0 + hours * (hour + more);
    let mut sum = 0.0;
    for m in 0..=72u32 {
        let recurring = match m {
            0 => 0.0,
            1..=5 => year(4200.0, 0.0),
            6..=11 => year(2100.0, 0.0) + 42_500.0,
            _ => year(2100.0, 3.9) + 42_500.0,
        };
        let once = match m {
            0 => 151_640.0,
            8 => 14_000.0,
            12 => 38_000.0,
            36 => 310_000.0,
            _ => 0.0,
        };
        sum += (recurring / 12.0 + once) / libm::pow(1.09, f64::from(m) / 12.0);
    }
    let plan = super::planning().plans.iter().find(|p| p.id == "R4").expect("R4");
    let path = &plan.paths[1];
    assert!((path.cost.value - sum).abs() < 1e-9 * sum, "{}, by hand {sum}", path.cost.value);
    let flows = path.flows.iter().enumerate().map(|(m, f)| f / libm::pow(1.09, m as f64 / 12.0)).sum::<f64>();
    assert!((flows - sum).abs() < 1e-9 * sum, "{flows}");
    let rows: f64 = path.rows.iter().map(|r| r.present.value).sum();
    assert!((rows - sum).abs() < 1e-9 * sum, "{rows}");
}

#[test]
fn every_amount_on_a_page_is_a_result_of_its_working() {
    let p = super::planning();
    let mut seen = 0;
    let mut check = |value: f64, id: galipot::model::workings::WorkingId, what: &str| {
        let w = p.workings.get(id);
        assert!(w.outputs.iter().any(|o| o.value.to_bits() == value.to_bits()), "{what}: {value} is not in {w:?}");
        seen += 1;
    };
    for plan in &p.plans {
        check(plan.cost.value, plan.cost.working, &plan.id);
        check(plan.saving.value, plan.saving.working, &plan.id);
        for path in &plan.paths {
            check(path.cost.value, path.cost.working, &path.text);
            check(path.chance.value, path.chance.working, &path.text);
            for r in &path.rows {
                check(r.amount.value, r.amount.working, &r.text);
                check(r.present.value, r.present.working, &r.text);
            }
        }
    }
    for l in &p.lines {
        let all =
            [Some(l.yearly), Some(l.unit_cost), l.year, l.average, l.marginal, l.avoidable, l.machines.map(|m| m.1)];
        all.into_iter().flatten().for_each(|a| check(a.value, a.working, &l.line));
        for s in &l.shares {
            [s.average, s.saved_if_it_leaves, s.alone].iter().for_each(|a| check(a.value, a.working, &s.assembly));
        }
    }
    assert!(seen > 200, "only {seen} amounts");
}

#[test]
fn counts_are_no_money() {
    let p = super::planning();
    for w in &p.workings.items {
        let words = ["loads of", "panels of", "boards of"];
        if words.iter().any(|x| w.subject.contains(x)) && w.calc != "cost_item" && w.calc != "cost_per_board" {
            assert!(w.outputs.iter().all(|o| !o.unit.contains("EUR")), "{w:?}");
        }
    }
    assert!(p.workings.items.iter().any(|w| w.calc == "yearly_count"), "nothing was counted");
}

#[test]
fn every_amount_is_its_polynomial_at_the_numbers_of_the_site() {
    let s = site(example());
    let (mut compared, mut uncertain) = (0, 0);
    Desk::at(&s, |d| {
        let base = d.b.base.clone();
        assert!(base.iter().all(|x| x.is_finite()), "a parameter of the example names no number: {base:?}");
        let mut same = |m: &Money, what: &str| {
            let p = m.poly.at(&base);
            assert!((p - m.value).abs() <= 1e-9 * (1.0 + m.value.abs()), "{what}: {p} and {}", m.value);
            compared += 1;
            uncertain += usize::from(m.poly.constant_value().is_none());
        };
        for l in &d.p.lines {
            let hour = l.hour.iter().flatten();
            let all = [&l.yearly, &l.machine, &l.conversion, &l.replace, &l.salvage, &l.decommission, &l.board];
            hour.chain(all).chain(&l.per_load).chain(l.shifts.iter().map(|s| &s.1)).for_each(|m| same(m, &l.line.id));
        }
        for p in &d.p.programmes {
            same(&p.yearly, &p.programme.id);
            same(&p.once, &p.programme.id);
        }
        for (id, cost, chance) in &d.p.packs {
            same(cost, id);
            same(chance, id);
        }
        for (id, text, course) in d.courses() {
            same(&d.price(&course).cost, &format!("{id}: {text}"));
        }
    });
    assert!(compared > 40 && uncertain > 20, "{compared} amounts, {uncertain} of them uncertain");
    // The same for expected costs and savings, with the chances in them.
    Desk::at(&s, |d| {
        let base = d.b.base.clone();
        for w in d.weighed() {
            let p = w.cost.at(&base);
            assert!((p - w.result.cost.value).abs() <= 1e-9 * p.abs(), "{}: {p}", w.result.id);
        }
    });
}

#[test]
fn a_polynomial_is_the_price_of_a_site_with_other_numbers() {
    // Structure stays as it is, so a site with the other number must cost what the polynomial says.
    let changes = [
        ("kwh_price = 0.17\nwater", "kwh_price = 0.29\nwater", "WL-1.kwh_price", 0.29),
        ("crew = 0.75", "crew = 0.5", "WL-1.crew", 0.5),
        ("effluent_price = 5.4", "effluent_price = 9", "WL-1.effluent_price", 9.0),
        ("machine_price = 96000", "machine_price = 130000", "WB.machine_price", 130_000.0),
        ("{ hours = 2100,", "{ hours = 1500,", "WL-1.hours_1", 1500.0),
        ("replace_price = 310000", "replace_price = 220000", "WL-1.replace_price", 220_000.0),
        ("{ text = \"nitrogen\", price = 5000 }", "{ text = \"nitrogen\", price = 9000 }", "NO-CLEAN.yearly", 40_500.0),
        ("{ text = \"training\", price = 7000 }", "{ text = \"training\", price = 17000 }", "NO-CLEAN.once", 161_640.0),
        (
            "{ text = \"resin and parts\", price = 1.31 }",
            "{ text = \"resin and parts\", price = 3.31 }",
            "WB.per_load",
            19.3,
        ),
        // A factor on the sum, 61 820.
        ("{ text = \"standby heat\", price = 2300 }", "{ text = \"standby heat\", price = 8482 }", "WL-1.yearly", 1.1),
    ];
    let s = site(example());
    let names: Vec<String> =
        s.plan.uncertain.iter().map(|u| u.parameter.text.clone()).filter(|n| n != "economy.rate").collect();
    let mut moved = 0;
    Desk::at(&s, |d| {
        let base = d.b.base.clone();
        let costs: Vec<_> = d.weighed().into_iter().map(|w| w.cost).collect();
        for (old, new, name, x) in changes {
            let mut files = example();
            patch(&mut files, LINES, old, new);
            let mut at = base.clone();
            at[names.iter().position(|n| n == name).unwrap_or_else(|| panic!("{name} is not listed"))] = x;
            Desk::at(&site(files), |other| {
                for (w, cost) in other.weighed().iter().zip(&costs) {
                    let (said, is) = (cost.at(&at), w.result.cost.value);
                    assert!((said - is).abs() < 1e-9 * is, "{name}, {}: {said} and {is}", w.result.id);
                    moved += usize::from((is - cost.at(&base)).abs() > 100.0);
                }
            });
        }
    });
    assert!(moved > 30, "only {moved} costs moved");
}

/// Months and amounts of the rows with a word in their text.
fn rows(p: &Priced, word: &str) -> Vec<(u32, u32, f64)> {
    p.rows.iter().filter(|r| r.text.contains(word)).map(|r| (r.from, r.to, r.amount.value.round())).collect()
}

#[test]
fn the_fixed_cost_of_a_line_falls_with_its_last_board_only() {
    let s = site(example());
    Desk::at(&s, |d| {
        for n in 0..=4 {
            let all = ["OV-1107", "OV-2230", "OV-4502", "OV-3415"].map(|a| (a, "LEAVE", 6));
            let course = Course { steps: d.steps(&all[..n]), ..Course::default() };
            let p = d.price(&course);
            let kept = n < 4;
            assert_eq!(rows(&p, "is replaced").len(), usize::from(kept), "{n} leave");
            assert_eq!(rows(&p, "is taken down"), if kept { vec![] } else { vec![(6, 6, 18_000.0)] }, "{n} leave");
            assert_eq!(rows(&p, "is sold"), if kept { vec![] } else { vec![(6, 6, -25_000.0)] }, "{n} leave");
            assert_eq!(p.lines, [("WL-1".to_string(), 1, if kept { 72 } else { 5 })], "{n} leave");
        }
    });
}

#[test]
fn machines_come_as_loads_need_them_and_early_ones_count() {
    let s = site(example());
    Desk::at(&s, |d| {
        let steps = d.steps(&[("OV-3415", "BATCH", 6), ("OV-4502", "BATCH", 20)]);
        let p = d.price(&Course { steps: steps.clone(), ..Course::default() });
        assert_eq!(rows(&p, "bought"), [(6, 6, 96_000.0), (20, 20, 96_000.0)]);
        assert_eq!(p.machines, [("WB".to_string(), 6, 1), ("WB".to_string(), 20, 2)]);
        let p = d.price(&Course { steps, lines: vec![(1, 3, Some(2))], ..Course::default() });
        assert_eq!(rows(&p, "bought"), [(3, 3, 192_000.0)]);
        let odd = Course { steps: d.steps(&[("OV-1107", "BATCH", 6)]), ..Course::default() };
        let e = d.try_price(&odd).expect_err("no basket takes it");
        assert!(e.contains("WB does not say how many boards of OV-1107"), "{e}");
    });
}

#[test]
fn volumes_by_year_move_shifts_and_a_rise_of_costs_moves_what_recurs() {
    let mut files = example();
    // From year 3 on one shift is enough.
    let volumes: String = (3..=6)
        .flat_map(|y| [("OV-1107", 4000), ("OV-4502", 10_000)].map(|(a, n)| (y, a, n)))
        .map(|(y, a, n)| format!("[[volume]]\nassembly = \"{a}\"\nyear = {y}\nboards = {n}\n"))
        .collect();
    put(&mut files, "plan/volumes.toml", volumes);
    Desk::at(&site(files), |d| {
        assert_eq!(rows(&d.price(&Course::default()), "runs"), [(1, 24, 222_836.0), (25, 72, 142_328.0)]);
    });
    let mut files = example();
    patch(&mut files, LINES, "rate = 0.09", "rate = 0.09\nescalation = 0.02");
    Desk::at(&site(files), |d| {
        let p = d.price(&Course::default());
        let by_hand: f64 =
            (1..=72).map(|m| 222_835.82 / 12.0 * libm::pow(1.02 / 1.09, f64::from(m) / 12.0)).sum::<f64>();
        let own = p.rows.iter().find(|r| !r.once).expect("a row").present.value;
        assert!((own - by_hand).abs() < 1.0, "{own} {by_hand}");
        // Payments of one month do not rise.
        assert_eq!(rows(&p, "is replaced"), [(36, 36, 310_000.0)]);
    });
}

#[test]
fn conversion_and_programmes_are_paid_by_rule_or_early() {
    let s = site(example());
    Desk::at(&s, |d| {
        let steps = d.steps(&[("OV-3415", "INLINE-SAP", 12), ("OV-4502", "INLINE-SAP", 30)]);
        let p = d.price(&Course { steps: steps.clone(), ..Course::default() });
        assert_eq!(rows(&p, "fit for saponifier"), [(12, 12, 38_000.0)]);
        // The longest lead of its treatments is 6 months.
        assert_eq!(rows(&p, "Running without the wash"), [(12, 72, 36_500.0), (6, 6, 151_640.0)]);
        assert_eq!(rows(&p, "Two fluxes"), [(12, 72, 6000.0)]);
        let early = Course { steps, programmes: vec![(0, 3)], lines: vec![(0, 0, None)], ..Course::default() };
        let p = d.price(&early);
        assert_eq!(rows(&p, "fit for saponifier"), [(0, 0, 38_000.0)]);
        assert_eq!(rows(&p, "Running without the wash"), [(3, 72, 36_500.0), (6, 6, 151_640.0)]);
    });
}

#[test]
fn a_cheaper_price_never_costs_more_and_the_books_decide_nothing() {
    let cost = |old: &str, new: &str| {
        let mut files = example();
        patch(&mut files, LINES, old, new);
        let mut out = Vec::new();
        Desk::at(&site(files), |d| out = d.weighed().iter().map(|w| w.result.cost.value).collect());
        out
    };
    let base = cost("book_value = 14000", "book_value = 14000");
    assert_eq!(cost("book_value = 14000", "book_value = 900000"), base);
    for (old, new) in [
        ("wage = 24.5\n", "wage = 20\n"),
        ("conversion = 38000", "conversion = 1000"),
        ("per_board = 6.90", "per_board = 1"),
    ] {
        let cheaper = cost(old, new);
        assert!(cheaper.iter().zip(&base).all(|(c, b)| c <= b) && cheaper != base, "{new}");
    }
}

#[test]
fn payback_is_when_the_discounted_saving_stays_above_nothing() {
    let plans = &super::planning().plans;
    let plan = |id: &str| plans.iter().find(|p| p.id == id).expect("a plan");
    // The one loses, the other changes nothing.
    assert_eq!((plan("R2").payback, plan("R0").payback), (None, None));
    let months = plan("R5").payback.expect("it pays") as usize;
    let keep = &plan("KEEP").paths[0].flows;
    let sum = |to: usize| -> f64 {
        let saved = |m: usize| keep[m] - plan("R5").paths.iter().map(|p| p.chance.value * p.flows[m]).sum::<f64>();
        (0..=to).map(|m| saved(m) / libm::pow(1.09, m as f64 / 12.0)).sum()
    };
    assert!(sum(months - 1) < 0.0 && (months..=72).all(|m| sum(m) > 0.0), "{months}");
}
