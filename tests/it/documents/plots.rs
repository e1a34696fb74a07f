//! Any numbers in a plot give a sound picture; curves keep what matters.

use galipot::model::document::{Block, Chapter, Document, Figure, Panel, Plot};
use proptest::prelude::*;

use super::markup::{Part, parts};
use super::{file, rendered};

fn drawn(plot: Plot) -> String {
    let figure = Figure { name: "f".into(), caption: "c".into(), alternative: "a".into(), plot };
    let chapter = Chapter {
        name: "c".into(),
        number: String::new(),
        title: "c".into(),
        audience: "all".into(),
        blocks: vec![Block::Figure(figure)],
    };
    let document = Document {
        title: "t".into(),
        identity: vec![],
        running: String::new(),
        mark: None,
        day: None,
        chapters: vec![chapter],
    };
    file(&rendered(&document), "figures/f.svg")
}

fn sound(svg: &str) -> Result<(), TestCaseError> {
    for part in parts(svg) {
        let Part::Open(_, attributes) = part else { continue };
        for (key, value) in attributes {
            prop_assert!(!value.contains("NaN") && !value.contains("inf"), "{} of {}", value, key);
        }
    }
    Ok(())
}

/// Numbers of every kind, the odd ones as often as the ordinary.
fn odd() -> impl Strategy<Value = f64> {
    let special = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -0.0, 1e16, 1e-300, f64::MAX, f64::MIN];
    prop_oneof![prop::sample::select(special.to_vec()), prop::num::f64::ANY, -20.0..20.0f64, 0.0..1000.0f64]
}

fn curve() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((odd(), odd()), 0..6)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_numbers_give_a_sound_picture_of_combs(
        n in prop::array::uniform7(odd()),
        curves in prop::collection::vec(curve(), 0..3),
        controls in prop::collection::vec(curve(), 0..3),
        drops in curve(),
    ) {
        let panel = Panel { title: "t".into(), curves, controls, drops, place: String::new() };
        let [limit, guard, low, high, hours, from, to] = n;
        sound(&drawn(Plot::Combs { panels: vec![panel], limit, guard, low, high, hours, window: (from, to) }))?;
    }

    #[test]
    fn any_numbers_give_a_sound_picture_of_dots(
        n in prop::array::uniform4(odd()),
        values in prop::collection::vec(odd(), 0..6),
    ) {
        let [limit, low, high, statistic] = n;
        let rows = vec![("row".to_owned(), values, statistic)];
        sound(&drawn(Plot::Dots { rows, limit, unit: "pA".into(), low, high }))?;
    }
}

fn one_comb(low: f64, high: f64, points: Vec<(f64, f64)>) -> String {
    let panel =
        Panel { title: "t".into(), curves: vec![points], controls: vec![], drops: vec![], place: String::new() };
    drawn(Plot::Combs { panels: vec![panel], limit: 8.0, guard: 0.1, low, high, hours: 168.0, window: (24.0, 168.0) })
}

#[test]
fn the_axis_does_not_follow_the_readings() {
    let height = |level: f64| {
        let svg = one_comb(6.0, 13.0, vec![(0.0, level), (168.0, level)]);
        let comb = svg.find("fill=\"none\" stroke=\"#1b1b1b\" stroke-width=\"0.6\"").expect("comb");
        let at = svg[..comb].rfind("d=\"M").expect("path") + 4;
        let path = &svg[at..at + svg[at..].find('"').expect("end")];
        path.split(['L', ' ']).nth(1).and_then(|y| y.parse::<f64>().ok()).expect("height")
    };
    // One decade is the same length wherever it stands: 148 pixels for seven decades.
    let (ten, nine, eight) = (height(10.0), height(9.0), height(8.0));
    assert!((nine - ten - 148.0 / 7.0).abs() < 0.11 && (eight - nine - 148.0 / 7.0).abs() < 0.11);
}

#[test]
fn a_curve_below_the_axis_is_told_in_words() {
    assert!(one_comb(6.0, 13.0, vec![(0.0, 9.0), (88.0, 4.2), (168.0, 9.0)]).contains("falls below the axis"));
    assert!(!one_comb(6.0, 13.0, vec![(0.0, 9.0), (88.0, 6.2), (168.0, 9.0)]).contains("falls below the axis"));
}
