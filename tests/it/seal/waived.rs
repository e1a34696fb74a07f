//! A release under a waiver: the verdict says what is not shown, by whom it was released, for what and until when.

use super::*;
use galipot::compose::Audience;
use galipot::pipeline::{self, Assessed, Before, Issue, Options};

const CLAIMS: &str = "[\"C2.1\", \"C3.2\", \"C3.5\", \"C3.7\", \"C3.10\", \"C6.5\"]";

/// The example with a waiver for OV-4502 until a day.
fn site(to: &str) -> Assessed {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let mut files = crate::builder::load(root);
    let text = format!(
        "[[waiver]]\nid = \"WV-1\"\nassembly = \"OV-4502\"\nclaims = {CLAIMS}\nscope = \"Pilot lot of 20 units\"\n\
         limit_of_use = \"Indoor test stand only\"\ncustomer_authority = \"OST-RE\"\nfrom = 2026-03-01\nto = {to}\n"
    );
    files.push(("register/waiver.toml".into(), text.into()));
    pipeline::assess(files, &Options::default()).expect("a site")
}

fn first() -> Issue {
    Issue { revision: "1".into(), ..Issue::default() }
}

#[test]
fn a_release_under_a_waiver_is_no_yes() {
    let a = site("2026-12-31");
    let bag = pipeline::issue(&a, "OV-4502", &first()).expect("it may be issued");
    let page = String::from_utf8(bag.files["data/dossier.md"].clone()).expect("text");
    let verdict = page.split("## 1 ").nth(1).and_then(|p| p.split("### Conditions").next()).expect("the verdict");
    assert!(!verdict.contains("YES"), "{verdict}");
    for said in [
        "**NOT SHOWN: RELEASED ONLY UNDER WAIVER WV-1 AND 2 CONDITIONS**",
        "**Not supported by evidence:** [C2.1]",
        "**Released under waiver WV-1:** by Corin Vanterpool (Reliability engineer), for: Pilot lot of 20 units",
        "Only within: Indoor test stand only. From 2026-03-01 to 2026-12-31, the last day",
        "**Limits of use:** Indoor test stand only",
        "**Stop shipment of unwashed lots outside the waiver:**",
    ] {
        assert!(verdict.contains(said), "{said}: {verdict}");
    }
    let asked = page.split("\n## 7 ").nth(1).and_then(|p| p.split("### Residual risks").next()).expect("chapter 7");
    assert!(asked.contains("UNDER WAIVER WV-1") && asked.contains("Indoor test stand only"), "{asked}");
    // What is approved names the waiver, and counts it.
    let record: serde_json::Value = serde_json::from_slice(&bag.files["data/record.json"]).expect("JSON");
    assert_eq!(record["route_conditions"], serde_json::json!(["CO-41", "CO-42", "WV-1"]));
    let report = seal::verify(&bag.files, &[]);
    assert_eq!((report.problems.as_slice(), report.conditions), (&[][..], 3));
    assert_eq!(seal::meaning_of("accept", report.conditions), Some("accepted-with-conditions"));
}

#[test]
fn a_waiver_that_has_ended_releases_nothing_and_is_no_risk_to_accept() {
    let a = site("2026-03-30");
    assert!(pipeline::issue(&a, "OV-4502", &first()).expect_err("refused").join("\n").contains("not-yet"));
    let draft = pipeline::draft(&a, "OV-4502", Audience::All).expect("a draft");
    let page = draft.files.iter().find(|f| f.0 == "dossier.md").expect("a page");
    let page = String::from_utf8_lossy(&page.1).into_owned();
    assert!(!page.contains("Accepted without evidence") && !page.contains("Released under waiver"));
}

#[test]
fn compare_says_that_the_route_came_to_rest_on_a_waiver() {
    let record = |a: &Assessed| {
        let draft = pipeline::draft(a, "OV-4502", Audience::All).expect("a draft");
        let record = draft.files.into_iter().find(|f| f.0 == "record.json").expect("a record").1;
        Before { record, digest: None, stood: None }
    };
    let c = pipeline::compare(&record(&site("2026-03-30")), &record(&site("2026-12-31"))).expect("two records");
    let screen = galipot::compose::since::human(&c);
    assert!(screen.contains("from not-yet to leave-with-conditions under waiver WV-1"), "{screen}");
    assert_eq!(galipot::compose::since::json(&c)["new"]["waivers"], serde_json::json!(["WV-1"]));
}
