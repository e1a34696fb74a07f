//! What lines cost today: average, marginal and avoidable apart, and a warning wherever an average would mislead.

use super::{LINES, example, planning, site};
use crate::builder::patch;
use galipot::model::planning::LineCost;

fn line<'a>(all: &'a [LineCost], id: &str) -> &'a LineCost {
    all.iter().find(|l| l.line == id).unwrap_or_else(|| panic!("no line {id}"))
}

fn near(x: f64, wanted: f64, half: f64) {
    assert!((x - wanted).abs() <= half, "{x}, wanted {wanted}");
}

#[test]
fn the_lines_of_the_example_cost_what_its_text_says() {
    let lines = &planning().lines;
    let belt = line(lines, "WL-1");
    assert!(belt.in_use && (belt.boards, belt.panels) == (107_200.0, 44_200.0));
    near(belt.yearly.value, 61_820.0, 1e-9);
    near(belt.unit_cost.value, 38.34, 0.005);
    // The text prints 222 834 with the hour rounded to 38.337.
    near(belt.year.expect("in use").value, 222_836.0, 0.5);
    near(belt.average.expect("in use").value, 222_835.82 / 107_200.0, 1e-9);
    near(belt.marginal.expect("in use").value, 0.0, 0.0);
    assert_eq!(belt.avoidable, belt.year);
    let share = |id: &str| belt.shares.iter().find(|s| s.assembly == id).expect("a share");
    // 5.04 a panel; OV-3415 has one board on it, OV-1107 four.
    near(share("OV-3415").average.value, 5.04, 0.005);
    near(share("OV-1107").average.value, 1.26, 0.005);
    // A second shift stays for any three of them.
    assert!(belt.shares.iter().all(|s| s.saved_if_it_leaves.value == 0.0));
    // Alone OV-3415 keeps one shift running: 142 328 a year. The text's 87 k (16.8 a board) has hours of no shift.
    near(share("OV-3415").alone.value, 142_328.0 / 5200.0, 0.001);
    let used = belt.used.expect("in use");
    near(used.hours.value, 4200.0, 0.0);
    near(used.energy_kwh.value, 4200.0 * 78.0 * 0.755, 1e-6);
    near(used.water_m3.value, 4200.0 * 0.6, 1e-6);
    near(used.effluent_m3.value, 4200.0 * 0.6 * 0.92, 1e-6);
    near(used.saponifier_l.value, 0.0, 0.0);
    // The boards would need 99 hours of it.
    near(belt.needed_hours.expect("a rate").value, 44_200.0 / 446.0, 1e-9);

    let batch = line(lines, "WB");
    assert!(
        !batch.in_use
            && batch.used.is_none()
            && batch.needed_hours.is_none()
            && batch.year.is_none()
            && batch.average.is_none()
            && batch.boards == 0.0
    );
    near(batch.unit_cost.value, 17.3, 1e-9);
    let alone = |id: &str| batch.shares.iter().find(|s| s.assembly == id).expect("a share").alone.value;
    near(alone("OV-3415"), 4.07, 0.005);
    let (n, last) = batch.machines.expect("machines");
    assert_eq!(n, 2);
    near(last.value, 0.095, 0.0005);
    assert_eq!(line(lines, "OUT").unit_cost.value, 7.4);
}

#[test]
fn averages_that_mislead_are_said() {
    let lines = &planning().lines;
    let told = |id: &str, words: &[&str]| {
        let all = &line(lines, id).warnings;
        assert!(all.iter().any(|w| words.iter().all(|x| w.contains(x))), "{id} does not say {words:?}: {all:?}");
    };
    told("WL-1", &["OV-1107", "1.26", "60498 a year", "; 0 a year is saved"]);
    told("WL-1", &["OV-3415", "alone on WL-1", "27.37", "5.4 times"]);
    told("WL-1", &["222836 a year", "310000 in month 36", "only the last one saves them"]);
    told("WB", &["machine 2", "9.5 %"]);
    // One board alone on a line has an average that is true.
    assert!(line(lines, "OUT").warnings.is_empty());
}

#[test]
fn a_belt_whose_hours_follow_the_boards_saves_with_every_one() {
    let mut files = example();
    let steps = "shift = [\n    { hours = 2100, panels = 25000 },       # one shift is enough for this many panels a year\n    { hours = 4200, panels = 60000 },\n]";
    patch(&mut files, LINES, steps, "");
    // The parameter of a shift step that is no more.
    let path = "plan/uncertainty.toml";
    patch(&mut files, path, "parameter = \"WL-1.hours_1\"", "parameter = \"OUT.yearly\"");
    let s = site(files);
    super::Desk::at(&s, |d| {
        let lines = galipot::plan::lines::lines(&d.p, &mut d.b).expect("lines");
        let belt = line(&lines, "WL-1");
        let hours = 44_200.0 / 446.0;
        near(belt.needed_hours.expect("hours").value, hours, 1e-9);
        near(belt.year.expect("in use").value, 61_820.0 + hours * 38.3371, 1e-6);
        near(belt.marginal.expect("in use").value, hours * 38.3371 / 107_200.0, 1e-9);
        let saved: f64 = belt.shares.iter().map(|s| s.saved_if_it_leaves.value).sum();
        // What all of them save one by one is the running cost; what is kept stays for the last.
        near(saved, hours * 38.3371, 1e-6);
    });
}

#[test]
fn what_plans_use_is_counted_path_by_path_and_weighted_by_chance() {
    let plans = &planning().plans;
    let of = |id: &str| plans.iter().find(|p| p.id == id).expect("a plan");
    let keep = of("KEEP").used.expect("washed");
    near(keep.hours.value, 6.0 * 4200.0, 1e-6);
    near(keep.water_m3.value, 6.0 * 4200.0 * 0.6, 1e-6);
    // R2: five months of two shifts, then 67 of one shift with saponifier, 1.1 l an hour.
    let hybrid = of("R2").used.expect("washed");
    near(hybrid.hours.value, 4200.0 * 5.0 / 12.0 + 2100.0 * 67.0 / 12.0, 1e-6);
    near(hybrid.saponifier_l.value, 2100.0 * 67.0 / 12.0 * 1.1, 1e-6);
    // R4, path 1: 5 months of two shifts, 6 of one, then 61 months of 325 and 1900 loads of 0.30 m3, 18 kWh and 62 minutes.
    let path = &of("R4").paths[0];
    let (loads, belt) = (2225.0 * 61.0 / 12.0, 4200.0 * 5.0 / 12.0 + 2100.0 * 6.0 / 12.0);
    let used = path.used.expect("washed");
    near(used.hours.value, belt + loads * 62.0 / 60.0, 1e-6);
    near(used.water_m3.value, belt * 0.6 + loads * 0.30, 1e-6);
    // All water of a load is discharged where the site does not say how much.
    near(used.effluent_m3.value, belt * 0.6 * 0.92 + loads * 0.30, 1e-6);
    near(used.energy_kwh.value, belt * 78.0 * 0.755 + loads * 18.0, 1e-6);
    near(used.saponifier_l.value, loads * 0.9, 1e-6);
    let all = of("R4");
    let expected: f64 = all.paths.iter().map(|p| p.chance.value * p.used.expect("washed").water_m3.value).sum();
    near(all.used.expect("washed").water_m3.value, expected, 1e-6);
}
