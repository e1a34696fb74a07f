//! Any numbers in a plot give a sound picture; curves keep what matters.

use galipot::model::document::{Block, Chapter, Document, Figure, Panel, Plot, Swing, Track};
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

    #[test]
    fn any_numbers_give_a_sound_waterfall(n in prop::array::uniform2(odd()), steps in prop::collection::vec(odd(), 0..6)) {
        let steps = steps.into_iter().map(|x| ("step".to_owned(), x)).collect();
        let ends = n.map(|x| ("end".to_owned(), x));
        let [from, to] = ends;
        sound(&drawn(Plot::Waterfall { from, steps, to, unit: "k".into() }))?;
    }

    #[test]
    fn any_numbers_give_a_sound_tornado(centre in odd(), ends in prop::collection::vec((odd(), odd()), 0..6)) {
        let bars = ends.into_iter().map(|(a, b)| swing("n", a, b)).collect();
        sound(&drawn(Plot::Tornado { bars, centre, unit: "k".into() }))?;
    }

    #[test]
    fn any_numbers_give_a_sound_histogram(
        bins in prop::collection::vec((odd(), odd(), prop::num::usize::ANY.prop_map(|n| n >> 8)), 0..6),
        marks in prop::collection::vec(odd(), 0..4),
    ) {
        let marks = marks.into_iter().map(|x| ("mark".to_owned(), x)).collect();
        sound(&drawn(Plot::Histogram { bins, marks, unit: "k".into() }))?;
    }

    #[test]
    fn any_months_give_a_sound_timeline(
        months in 0u32..400,
        spans in prop::collection::vec((0u32..500, 0u32..500, 0usize..9), 0..5),
        events in prop::collection::vec(0u32..500, 0..5),
    ) {
        let kinds = vec![("L".to_owned(), "left".to_owned()), ("W".to_owned(), "washed".to_owned())];
        let tracks = vec![Track { name: "A".into(), spans, marked: vec![(1, 3)] }];
        let events = events.into_iter().map(|m| (m, "event".to_owned())).collect();
        sound(&drawn(Plot::Timeline { months, kinds, tracks, events }))?;
    }
}

fn swing(name: &str, at_low: f64, at_high: f64) -> Swing {
    Swing { name: name.into(), low: "1".into(), high: "2".into(), at_low, at_high }
}

/// Left end, width and surface of every bar, from top to bottom.
fn bars(svg: &str) -> Vec<(f64, f64, String)> {
    let mut out = Vec::new();
    for part in parts(svg) {
        let Part::Open(name, attributes) = part else { continue };
        let get = |key: &str| attributes.iter().find(|a| a.0 == key).map(|a| a.1.to_string());
        if let ("rect", Some(x), Some(width)) = (name.as_str(), get("x"), get("width")) {
            out.push((x.parse().expect("x"), width.parse().expect("width"), get("fill").expect("fill")));
        }
    }
    out
}

#[test]
fn every_bar_of_a_waterfall_begins_where_the_one_before_it_ends() {
    let steps = vec![("less".to_owned(), -60.0), ("more".to_owned(), 20.0)];
    let (from, to) = (("was".to_owned(), 100.0), ("is".to_owned(), 60.0));
    let svg = drawn(Plot::Waterfall { from, steps, to, unit: "kEUR".into() });
    let bars = bars(&svg);
    assert_eq!(bars.len(), 4, "{svg}");
    let (whole, less, more, end) = (&bars[0], &bars[1], &bars[2], &bars[3]);
    assert!((whole.0 + whole.1 - less.0 - less.1).abs() < 0.11, "the saving hangs from the whole");
    assert!((less.0 - more.0).abs() < 0.11 && (more.0 + more.1 - end.0 - end.1).abs() < 0.11);
    assert!((less.1 / whole.1 - 0.6).abs() < 0.01 && (more.1 / whole.1 - 0.2).abs() < 0.01, "lengths are amounts");
    assert!(less.2 != more.2 && svg.contains(">-60.0<") && svg.contains(">+20.0<") && svg.contains(">100.0<"));
}

#[test]
fn a_tornado_has_its_low_and_high_values_at_its_ends() {
    let bars_in = vec![Swing { low: "0.12".into(), high: "0.29".into(), ..swing("price", 600.0, 400.0) }];
    let svg = drawn(Plot::Tornado { bars: bars_in, centre: 520.0, unit: "kEUR".into() });
    let bars = bars(&svg);
    assert_eq!(bars.len(), 2, "one side each");
    let (low, high) = (&bars[0], &bars[1]);
    assert!((high.0 + high.1 - low.0).abs() < 0.11, "both meet at the number as stated");
    assert!((low.1 / high.1 - 80.0 / 120.0).abs() < 0.01 && low.2 != high.2);
    let at = |words: &str| {
        let end = svg.find(&format!(">{words}<")).expect("the value");
        let open = svg[..end].rfind("<text x=\"").expect("its place") + 9;
        svg[open..].split('"').next().and_then(|x| x.parse::<f64>().ok()).expect("a number")
    };
    assert!(at("0.29") < high.0 && at("0.12") > low.0 + low.1, "the high price gives the low saving");
}

#[test]
fn a_histogram_shows_both_heaps_losses_and_nothing_gained() {
    let bins = vec![(-200.0, -100.0, 100), (-100.0, 0.0, 10), (0.0, 500.0, 0), (500.0, 600.0, 300)];
    let marks = vec![("P50".to_owned(), 520.0), ("nothing saved".to_owned(), 0.0)];
    let svg = drawn(Plot::Histogram { bins, marks, unit: "kEUR".into() });
    let bars = bars(&svg);
    assert_eq!(bars.len(), 3, "an empty bin is no bar: {bars:?}");
    assert!(bars[0].2 == bars[1].2 && bars[1].2 != bars[2].2, "losses have their own surface");
    assert!(svg.contains("nothing saved") && svg.contains("stroke-width=\"2\"") && svg.contains("P50"));
}

#[test]
fn a_timeline_tells_treatments_by_letter_and_surface_and_lists_events() {
    let kinds = vec![("P".to_owned(), "as today".to_owned()), ("L".to_owned(), "residue stays".to_owned())];
    let tracks = vec![Track { name: "AB-1".into(), spans: vec![(1, 36, 0), (37, 72, 1)], marked: vec![(1, 36)] }];
    let svg = drawn(Plot::Timeline { months: 72, kinds, tracks, events: vec![(36, "line replaced".into())] });
    let bars = bars(&svg);
    assert_eq!(bars.len(), 4, "two spans and two signs of the key");
    assert!((bars[0].0 + bars[0].1 - bars[1].0).abs() < 0.11 && (bars[0].1 - bars[1].1).abs() < 0.11);
    assert!(bars[0].2 != bars[1].2 && svg.matches(">P<").count() == 2 && svg.matches(">L<").count() == 2);
    assert!(svg.contains("month 36: line replaced") && svg.contains("black strip"), "what is marked has its key");
}

#[test]
fn a_bar_begins_at_the_arrow_of_its_own_month_and_no_arrow_crosses_a_name() {
    let kinds = vec![("P".to_owned(), "as today".to_owned()), ("L".to_owned(), "residue stays".to_owned())];
    let row = |name: &str| Track { name: name.into(), spans: vec![(1, 8, 0), (9, 72, 1)], marked: vec![] };
    let svg = drawn(Plot::Timeline {
        months: 72,
        kinds,
        tracks: vec![row("AB-1"), row("AB-2")],
        events: vec![(9, "sold".into())],
    });
    let bars = bars(&svg);
    let arrow = svg.split("<path d=\"M").find(|p| p.contains("l-4 8h8z")).expect("an arrow");
    let at: f64 = arrow.split(' ').next().and_then(|x| x.parse().ok()).expect("its place");
    assert!((bars[1].0 - at).abs() < 0.11, "{} and {at}", bars[1].0);
    // Dashed lines begin and end where the bands do.
    let lines: Vec<&str> = svg.split("<path d=\"M").filter(|p| p.contains("stroke-dasharray")).collect();
    assert_eq!(lines.len(), 2, "one for each band");
    for l in lines {
        let ends: Vec<f64> = l.split(['L', ' ', '"']).filter_map(|x| x.parse().ok()).take(4).collect();
        assert!((ends[3] - ends[1] - 15.0).abs() < 0.11, "{l}");
    }
}

#[test]
fn a_word_without_end_stays_inside_the_picture() {
    let steps = vec![("W".repeat(200), -60.0)];
    let (from, to) = (("was".to_owned(), 100.0), ("is".to_owned(), 40.0));
    let svg = drawn(Plot::Waterfall { from, steps, to, unit: "kEUR".into() });
    // A W is about 9.5 pixels wide at the size of these words.
    let longest = svg.split(|c| c != 'W').map(str::len).max().expect("a run");
    assert!(longest as f64 * 9.5 < 740.0, "{longest} letters in one line");
    assert_eq!(svg.matches('W').count(), 200, "nothing is cut off");
}

#[test]
fn a_plot_is_drawn_for_a_screen_and_for_a_phone() {
    let figure = Figure {
        name: "f".into(),
        caption: "c".into(),
        alternative: "a".into(),
        plot: Plot::Tornado { bars: vec![swing("price", 600.0, 400.0)], centre: 520.0, unit: "kEUR".into() },
    };
    let chapter = Chapter {
        name: "c".into(),
        number: String::new(),
        title: "c".into(),
        audience: "all".into(),
        blocks: vec![Block::Figure(figure)],
    };
    let (title, day) = ("t".to_owned(), None);
    let document =
        Document { title, identity: vec![], running: String::new(), mark: None, day, chapters: vec![chapter] };
    let page = galipot::render::pages(&document, "d").into_iter().find(|p| p.0 == "d.html").expect("a page");
    let page = String::from_utf8(page.1).expect("UTF-8");
    assert!(page.contains("panel broad") && page.contains("panel slim"));
    assert!(page.contains("viewBox=\"0 0 740 ") && page.contains("viewBox=\"0 0 360 "));
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
