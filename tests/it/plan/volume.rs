//! The volume of a plan from a hand-made planning: every number of the record on the page, internal on every page.

mod hand;
mod links;
mod told;

use galipot::compose::plan;
use galipot::model::document::{Behind, Block, Document, Inline, Plot};
use hand::{planning, site};
use serde_json::Value;

fn digests() -> Vec<(String, String)> {
    vec![("LP-40".into(), "ab".repeat(32))]
}

fn volume() -> (Document, Value) {
    plan::volume(&site().site, &site().assessment, &planning(), &digests())
}

fn texts(blocks: &[Block], visit: &mut dyn FnMut(&[Inline])) {
    for b in blocks {
        match b {
            Block::Heading { text, .. } | Block::Paragraph(text) | Block::Caution(text) => visit(text),
            Block::List { items, .. } => items.iter().for_each(|i| texts(i, visit)),
            Block::Quote(inner) => texts(inner, visit),
            Block::Fold { summary, blocks } => {
                visit(summary);
                texts(blocks, visit);
            }
            Block::Table(t) => t.rows.iter().flatten().for_each(|c| visit(c)),
            Block::Verdict { lines, .. } => lines.iter().for_each(|x| visit(x)),
            _ => {}
        }
    }
}

fn values(d: &Document) -> Vec<(String, Behind)> {
    let mut out = Vec::new();
    let mut take = |text: &[Inline]| {
        for i in text {
            if let Inline::Value { text, behind } = i {
                out.push((text.clone(), behind.clone()));
            }
        }
    };
    d.chapters.iter().for_each(|c| texts(&c.blocks, &mut take));
    out
}

/// Every working that a JSON value names.
fn named(v: &Value, out: &mut Vec<(String, f64)>) {
    match v {
        Value::Object(map) => {
            if let (Some(w), Some(x)) = (map.get("working").and_then(Value::as_str), map.get("value")) {
                out.push((w.to_string(), x.as_f64().unwrap_or(f64::NAN)));
            }
            map.values().for_each(|v| named(v, out));
        }
        Value::Array(list) => list.iter().for_each(|v| named(v, out)),
        _ => {}
    }
}

#[test]
fn every_amount_of_the_record_stands_on_the_page_with_its_working() {
    let (document, record) = volume();
    let mut all = Vec::new();
    for key in ["plans", "lines", "evidence", "closing", "committed", "unwashed"] {
        named(&record[key], &mut all);
    }
    assert!(all.len() > 40, "{}", all.len());
    let shown = values(&document);
    for (working, value) in all {
        let found = shown.iter().any(|(_, b)| matches!(b, Behind::Working(id) if id.name() == working));
        assert!(found, "{working} = {value} stands nowhere on the page");
        let known = record["workings"].as_array().expect("a list").iter().find(|w| w["id"] == working.as_str());
        assert_eq!(known.expect("its working is in the record")["outputs"][0]["value"].as_f64(), Some(value));
    }
}

#[test]
fn what_has_no_working_of_its_own_stands_on_the_page_at_its_place() {
    let (document, _) = volume();
    let shown = values(&document);
    let placed =
        |words: &str| shown.iter().any(|(t, b)| t == words && matches!(b, Behind::Place(p, _) if p.contains(".toml:")));
    for words in ["+191.3", "161.2", "1.6", "+192.4", "160.7", "-21.1", "+311.7", "+341.9", "0.37", "0.125", "0.375"] {
        assert!(placed(words), "{words} of the spread");
    }
    // What a search found, and what the weighing of a whole plan gave, leads to what it rests on.
    for words in ["0.07", "250.0", "0.02", "0.40", "1.00", "14", "6.25"] {
        assert!(placed(words), "{words} of a search");
    }
    for words in ["+233.1", "+122.2", "8123", "2031", "4.0", "0 to 6.5", "0.61"] {
        assert!(placed(words), "{words}");
    }
    let (line, plan) = (["901", "811", "75601", "1801"], ["5432", "2345", "2222", "65432", "77.0"]);
    for words in ["256.1", "452.4", "8123", "9321"].iter().chain(&line).chain(&plan).copied() {
        assert!(shown.iter().any(|(t, b)| t == words && matches!(b, Behind::Working(_))), "{words}");
    }
}

#[test]
fn every_cited_working_has_its_sheet() {
    let (document, _) = volume();
    let sheets: Vec<&str> = document
        .chapters
        .iter()
        .flat_map(|c| &c.blocks)
        .filter_map(|b| match b {
            Block::Sheet(s) => Some(s.name.as_str()),
            _ => None,
        })
        .collect();
    for (text, behind) in values(&document) {
        if let Behind::Working(id) = behind {
            assert!(sheets.contains(&id.name().as_str()), "{text} leads to {}, which has no sheet", id.name());
        }
    }
}

#[test]
fn every_page_is_internal_and_says_why() {
    let (document, record) = volume();
    assert_eq!(document.mark.as_deref(), Some("INTERNAL"));
    assert!(document.chapters.iter().all(|c| c.audience == "internal"));
    assert_eq!(record["audience"], "internal");
    let pages = galipot::render::pages(&document, "plan");
    let text = |name: &str| {
        let file = pages.iter().find(|p| p.0 == name).unwrap_or_else(|| panic!("no {name}"));
        String::from_utf8(file.1.clone()).expect("UTF-8")
    };
    let md = text("plan.md");
    assert!(md.contains("**INTERNAL**") && md.contains("must not go to customers"), "{md}");
    assert!(text("plan.html").contains("<strong>INTERNAL</strong>"));
    for words in ["FORBIDDEN", "GO is closed", "HYBRID loses", "mixture of", "Not proven", &"ab".repeat(32), "C9.9"] {
        assert!(md.contains(words), "{words} is missing");
    }
    let low = md.to_lowercase();
    assert!(!low.split(|c: char| !c.is_alphabetic()).any(|w| w == "safe"), "a word that promises too much");
}

#[test]
fn the_four_pictures_say_their_numbers_in_words() {
    let (document, _) = volume();
    let mut seen = Vec::new();
    fn figures<'a>(blocks: &'a [Block], out: &mut Vec<&'a galipot::model::document::Figure>) {
        for b in blocks {
            match b {
                Block::Figure(f) => out.push(f),
                Block::Fold { blocks, .. } => figures(blocks, out),
                _ => {}
            }
        }
    }
    document.chapters.iter().for_each(|c| figures(&c.blocks, &mut seen));
    let of = |kind: &str| seen.iter().find(|f| f.plot.kind() == kind).unwrap_or_else(|| panic!("no {kind}"));
    for words in ["-21.1 kEUR", "+341.9 kEUR", "0.37", "2 heaps"] {
        assert!(of("histogram").alternative.contains(words), "{}", of("histogram").alternative);
    }
    assert!(of("tornado").alternative.contains("+233.1 kEUR") && of("tornado").alternative.contains("0.125"));
    let fall = seen.iter().find(|f| f.name == "waterfall-HYBRID").expect("a waterfall for every plan");
    assert!(
        fall.alternative.contains("451.0")
            && fall.alternative.contains("480.0")
            && fall.alternative.contains("while they run -4.0")
            && fall.alternative.contains("kept 0.0")
    );
    let Plot::Waterfall { from, steps, to, .. } = &fall.plot else { panic!("another plot") };
    let sum: f64 = steps.iter().map(|s| s.1).sum();
    assert!((from.1 + sum - to.1).abs() < 1e-9, "the causes explain the whole difference");
    let best = seen.iter().find(|f| f.name == "waterfall-BEST").expect("a waterfall for every plan");
    assert!(best.alternative.contains("in no row of cost"), "rows that do not add up are told: {}", best.alternative);
    assert!(!fall.alternative.contains("in no row of cost"));
    let months = of("timeline");
    assert!(
        months.alternative.contains("LP-40: PRESENT without support from month 0, LEAVE from month 7"),
        "{}",
        months.alternative
    );
    assert!(months.alternative.contains("month 5 BELT is sold") && months.alternative.contains("is paid"));
}

#[test]
fn the_record_holds_no_number_that_is_not_one() {
    let mut p = planning();
    p.plans[2].cost.value = f64::NAN;
    p.search.gap = f64::INFINITY;
    let (document, record) = plan::volume(&site().site, &site().assessment, &p, &digests());
    assert_eq!(record["schema"], plan::SCHEMA);
    assert!(record["plans"][2]["cost"]["value"].is_null() && record["search"]["gap"].is_null());
    let text = String::from_utf8(galipot::model::document::record_bytes(&record)).expect("UTF-8");
    assert!(!text.contains("NaN") && !text.contains("inf"));
    for (path, bytes) in galipot::render::pages(&document, "plan") {
        let text = String::from_utf8(bytes).expect("UTF-8");
        assert!(!text.contains("NaN"), "{path}");
    }
}

#[test]
fn one_screen_for_a_terminal() {
    let (a, p) = (site(), planning());
    let screen = plan::human(&a.site, &a.assessment, &p);
    for l in screen.lines() {
        assert!(l.chars().count() <= 100, "{} columns: {l}", l.chars().count());
    }
    let at = |words: &str| screen.find(words).unwrap_or_else(|| panic!("no {words} in\n{screen}"));
    assert!(
        at("gate GO CLOSED") < at("KEEP") && at("HYBRID") < at("next test") && at("next test") < at("HYBRID FORBIDDEN")
    );
    for words in ["-29.0", "+195.0", "-21..+342", "0.37", "+196.2 kEUR", "chance of 0.07", "INTERNAL", "not proven"] {
        at(words);
    }
    let gaps = plan::gaps_human(&a.site, &a.assessment, &p, None);
    for words in ["LP-40", "4.0 kEUR", "6.25 weeks", "0.62", "C3.1", "NOTHING LIFTS C9.9"] {
        assert!(gaps.contains(words), "no {words} in\n{gaps}");
    }
    let json = plan::gaps_json(&a.site, &a.assessment, &p, Some("LP-40"));
    assert_eq!((&json["schema"], &json["assemblies"][0]["closing"][0]["weeks"]), (&plan::GAPS.into(), &6.25.into()));
}
