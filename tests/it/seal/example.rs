//! The example site issued: its bag is intact, the same everywhere, rebuilt byte by byte, and redacted without a trace.

use super::*;
use galipot::pipeline::{self, Assessed, Issue, Options};
use std::sync::OnceLock;

fn example() -> &'static Assessed {
    static SITE: OnceLock<Assessed> = OnceLock::new();
    SITE.get_or_init(|| {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
        pipeline::assess(crate::builder::load(root), &Options::default()).expect("a site")
    })
}

fn first() -> Issue {
    Issue { revision: "1".into(), ..Issue::default() }
}

#[test]
fn the_bag_of_the_example_is_intact_and_gives_itself_again() {
    let bag = pipeline::issue(example(), "OV-2230", &first()).expect("it may be issued");
    let report = seal::verify(&bag.files, &[]);
    assert_eq!(report.problems, []);
    assert_eq!((report.verdict.as_str(), report.conditions), ("leave-with-conditions", 5));
    let page = String::from_utf8_lossy(&bag.files["data/dossier.html"]).into_owned();
    assert!(!page.contains(">DRAFT<") && page.contains("frozen for approval"));
    // From the payload alone, in another order of files.
    let mut inputs: Vec<(String, Vec<u8>)> =
        bag.files.iter().filter_map(|(p, b)| Some((p.strip_prefix("data/inputs/")?.to_string(), b.clone()))).collect();
    inputs.reverse();
    let again = pipeline::assess(inputs, &Options { as_of: Some(day("2026-03-31")), set: Vec::new() }).expect("a site");
    assert!(pipeline::issue(&again, "OV-2230", &first()).expect("it may be issued") == bag);
}

#[test]
fn what_may_not_be_issued_is_refused_with_every_reason() {
    let refused = |a: &Assessed, id: &str, i: &Issue| pipeline::issue(a, id, i).expect_err("refused").join("\n");
    assert!(refused(example(), "OV-4502", &first()).contains("not-yet"));
    assert!(
        refused(example(), "OV-1107", &Issue { revision: "2".into(), ..Issue::default() })
            .contains("calls itself revision 1")
    );
    let after = Issue { previous: Some(Previous { revision: "1".into(), digest: "0".repeat(64) }), ..first() };
    assert!(refused(example(), "OV-1107", &after).contains("does not come after"));
    assert!(refused(example(), "nowhere", &first()).contains("no assembly"));
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let what_if = Options { as_of: None, set: vec!["LIM-SIR.value=7.9".into()] };
    let a = pipeline::assess(crate::builder::load(root), &what_if).expect("a site");
    assert!(refused(&a, "OV-1107", &first()).contains("WHAT-IF"));
}

/// A laboratory sees no net, pair or node of the customer, in no form.
#[test]
fn the_copy_for_a_laboratory_shows_no_net() {
    let a = example();
    for id in ["OV-1107", "OV-2230", "OV-3415"] {
        let bag = pipeline::issue(a, id, &first()).expect("it may be issued");
        let copy = seal::redact(&bag.files, "lab").expect("a copy");
        assert_eq!(seal::verify(&copy.files, &[]).problems, []);
        let file = a.site.assembly(id).expect("an assembly");
        let mut secrets: Vec<String> = Vec::new();
        for p in &file.pairs {
            secrets.extend([p.net_a.text.clone(), p.net_b.text.clone()]);
        }
        secrets.retain(|s| s.len() > 3);
        assert!(secrets.len() >= 2, "{id}: {secrets:?}");
        let forms = |p: &str| {
            p.ends_with(".html")
                || p.ends_with(".md")
                || p.ends_with(".typ")
                || p.ends_with(".json")
                || p.ends_with(".svg")
        };
        for (path, bytes) in copy.files.iter().filter(|f| forms(f.0) && !f.0.contains("built-in")) {
            let text = String::from_utf8_lossy(bytes);
            for s in &secrets {
                assert!(!text.contains(s.as_str()), "{id}: {s} in {path}");
            }
        }
        assert!(!copy.files.contains_key("data/record.json"));
        assert!(!copy.files.keys().any(|p| p.starts_with("data/inputs/assemblies/")));
    }
}
