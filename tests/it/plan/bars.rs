//! How a saving moves with each uncertain number alone.

use super::{example, planning, site};
use crate::builder::{patch, put};
use galipot::model::economy::{Shape, Uncertain};
use galipot::plan::bars::ends;

/// The ends that the scenario was written for, thousands.
const TEXT: &[(&str, f64, f64)] = &[
    ("WL-1.crew", 399.0, 600.0),
    ("WL-1.kwh_price", 452.0, 616.0),
    ("TV-3.chance", 411.0, 566.0),
    ("NO-CLEAN.yearly", 549.0, 400.0),
    ("economy.rate", 568.0, 421.0),
    ("WL-1.replace_price", 438.0, 548.0),
    ("NO-CLEAN.once", 521.0, 421.0),
];

#[test]
fn the_bars_of_the_staged_plan_are_those_of_its_text() {
    let plan = planning().plans.iter().find(|p| p.id == "R5").expect("R5");
    for (name, low, high) in TEXT {
        let bar = plan.tornado.iter().find(|b| b.parameter == *name).unwrap_or_else(|| panic!("no bar of {name}"));
        let near = |x: f64, text: f64| assert!((x / 1000.0 - text).abs() <= 0.6, "{name}: {x}, the text says {text} k");
        near(bar.saving_low, *low);
        near(bar.saving_high, *high);
    }
    assert_eq!(plan.tornado.len(), planning().plans[0].tornado.len() + 12, "all twelve numbers move it");
    let width = |b: &galipot::model::planning::Bar| (b.saving_high - b.saving_low).abs();
    assert!(plan.tornado.is_sorted_by(|a, b| width(a) >= width(b)));
    // What a plan does not touch does not move it.
    let hybrid = planning().plans.iter().find(|p| p.id == "R2").expect("R2");
    assert!(
        !hybrid
            .tornado
            .iter()
            .any(|b| ["WB.per_load", "TV-3.chance", "WL-1.replace_price"].contains(&b.parameter.as_str()))
    );
}

/// What the scenario's simulation gave, thousands: plan, mean, points of 5, 50 and 95 percent (NaN where it has none),
/// chance of a loss. Another generator should agree within 8.
const DRAWN: &[(&str, [f64; 4], f64)] =
    &[("R2", [-121.0, -247.0, f64::NAN, 3.0], 0.94), ("R5", [478.0, -137.0, 586.0, 753.0], 0.10)];

#[test]
fn the_spread_of_savings_is_that_of_the_text() {
    for (id, text, loss) in DRAWN {
        let plan = planning().plans.iter().find(|p| p.id == *id).expect("a plan");
        let s = plan.spread.as_ref().expect("a spread");
        for (own, text) in [s.mean, s.p5, s.p50, s.p95].into_iter().zip(text) {
            assert!(text.is_nan() || (own / 1000.0 - text).abs() <= 8.0, "{id}: {own}, the text says {text} k");
        }
        assert!((s.loss - loss).abs() < 0.01, "{id}: {}", s.loss);
        // 20 000 draws lie within four standard errors of the mean without a draw.
        assert!((s.mean - s.exact_mean).abs() <= 4.0 * s.error, "{id}: {} and {}", s.mean, s.exact_mean);
    }
}

#[test]
fn another_rate_is_the_plan_of_a_site_with_that_rate() {
    let plan = planning().plans.iter().find(|p| p.id == "R5").expect("R5");
    let bar = plan.tornado.iter().find(|b| b.parameter == "economy.rate").expect("the rate");
    let mut files = example();
    patch(&mut files, super::LINES, "rate = 0.09", "rate = 0.06");
    super::Desk::at(&site(files), |d| {
        let all = d.weighed();
        let cost = |id: &str| all.iter().find(|w| w.result.id == id).expect("a plan").result.cost.value;
        // R0 changes nothing, so it costs what today costs.
        assert!((cost("R0") - cost("R5") - bar.saving_low).abs() < 1e-6, "{}", bar.saving_low);
    });
}

#[test]
fn shapes_without_ends_show_their_points_of_5_and_95_percent() {
    let q = |x: f64| galipot::quantity::Quantity::plain(x, s().uncertain[0].at);
    fn s() -> &'static galipot::model::economy::PlanInputs {
        &super::read_example().plan
    }
    let mut u: Uncertain = s().uncertain[0].clone();
    (u.mean, u.sd) = (Some(q(10.0)), Some(q(2.0)));
    u.shape = Shape::Normal;
    let (low, high) = ends(&u).expect("ends");
    assert!((low - 6.7103).abs() < 1e-4 && (high - 13.2897).abs() < 1e-4, "{low} {high}");
    u.shape = Shape::Lognormal;
    let (low, high) = ends(&u).expect("ends");
    // The median is 10 / sqrt(1.04), in the middle of the ends by their ratio.
    assert!((low * high - 100.0 / 1.04).abs() < 1e-9 && low > 6.7 && high > 13.3, "{low} {high}");
    u.shape = Shape::Fixed;
    let mode = u.mode.as_ref().map(|m| (m.si, m.si));
    assert_eq!(ends(&u).ok(), mode);
    (u.shape, u.low) = (Shape::Triangular, None);
    assert!(ends(&u).is_err());
}

#[test]
fn every_number_on_the_page_of_rules_can_be_uncertain_and_is_in_a_price() {
    let page = include_str!("../../../docs/plan.md");
    let table = page.split("| parameter | of |").nth(1).and_then(|t| t.split("\n\n").next()).expect("the table");
    let names = |of: &str| -> Vec<&str> {
        let row =
            table.lines().find(|l| l.ends_with(&format!("| {of} |")) || l.contains(&format!("| {of};"))).expect(of);
        row.split('|').nth(1).expect("a cell").split('`').skip(1).step_by(2).filter(|n| *n != "hours_2").collect()
    };
    // Id of a record of each kind, and which of the names on the page the example states for it.
    let mut all =
        vec!["WL-1.hours_1".to_string(), "WL-1.hours_2".to_string(), "TV-3.chance".into(), "A-X.chance".into()];
    let mut add = |id: &str, of: &str| all.extend(names(of).iter().map(|n| format!("{id}.{n}")));
    add("WL-1", "a belt");
    add("WB", "a batch line");
    add("OUT", "a house outside");
    add("WL-1", "any line");
    add("LEAVE", "a treatment");
    add("NO-CLEAN", "a programme");
    // Both rows of any line.
    all.extend(["WL-1", "WB", "OUT"].map(|id| format!("{id}.yearly")));
    all.extend(["replace_price", "conversion", "salvage", "decommission"].map(|n| format!("WL-1.{n}")));
    all.sort();
    all.dedup();
    assert!(all.len() > 25, "{all:?}");
    let records: String = all
        .iter()
        .map(|n| {
            // A share stays below 1.
            let share = [".chance", "_share", "_factor"].iter().any(|s| n.ends_with(s));
            let ends = if share { "low = 0.9\nhigh = 1.05" } else { "low = 0.5\nhigh = 2" };
            format!(
                "[[uncertain]]\nparameter = \"{n}\"\nshape = \"uniform\"\nrelative = true\n{ends}\nbasis = \"a test\"\n"
            )
        })
        .collect();
    let mut files = example();
    put(&mut files, "plan/uncertainty.toml", records);
    patch(
        &mut files,
        super::LINES,
        "lead = 6                                # change",
        "per_board = 0.02\nlead = 6    # change",
    );
    let action = "[[action]]\nid = \"A-X\"\ntext = \"a test\"\ncost = 1\nweeks = 1\nchance = 0.5\nbasis = \"a test\"\n";
    put(&mut files, "plan/alone.toml", action);
    super::Desk::at(&site(files), |d| {
        assert!(d.b.base.iter().all(|x| *x == 1.0), "a number is in no price: {all:?} {:?}", d.b.base);
    });
}
