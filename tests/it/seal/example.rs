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
    assert!(!page.contains(">DRAFT<") && page.contains("candidate"));
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
            .contains("calls itself revision 1 (document_rev, assemblies/OV-1107.toml:")
    );
    let poor = refused(example(), "OV-4502", &first());
    assert!(poor.contains("C3.7") && poor.contains("galipot gaps OV-4502") && poor.contains("status"), "{poor}");
    for (label, why) in
        [("0", "numbers begin at 1"), ("01", "numbers begin at 1"), ("1234567890", "longer than 9 signs")]
    {
        let said = refused(example(), "OV-1107", &Issue { revision: label.into(), ..Issue::default() });
        assert!(said.contains(why), "{label}: {said}");
    }
    let after = Issue { previous: Some(Previous { revision: "1".into(), digest: "0".repeat(64) }), ..first() };
    assert!(refused(example(), "OV-1107", &after).contains("does not come after"));
    assert!(refused(example(), "nowhere", &first()).contains("no assembly"));
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let what_if = Options { as_of: None, set: vec!["LIM-SIR.value=7.9".into()] };
    let a = pipeline::assess(crate::builder::load(root), &what_if).expect("a site");
    assert!(refused(&a, "OV-1107", &first()).contains("WHAT-IF"));
}

/// What the customer's product is and what was judged of it, as its files write it, but for words that the laboratory's
/// own files use.
fn secrets(a: &Assessed, id: &str) -> Vec<String> {
    let file = a.site.assembly(id).expect("an assembly");
    let x = &file.assembly;
    let mut all: Vec<String> =
        [&x.product, &x.drawing, &x.bom_rev, &x.layout_rev, &x.process].iter().map(|t| t.text.clone()).collect();
    all.push(x.environment.text.clone());
    all.extend(x.limits_of_use.iter().map(|t| t.text.clone()));
    all.extend(a.site.environments.iter().filter(|e| e.id.text == x.environment.text).map(|e| e.title.text.clone()));
    all.extend(a.site.customers.iter().filter(|c| c.id.text == x.customer.text).map(|c| c.name.text.clone()));
    for p in &file.pairs {
        all.extend([p.net_a.text.clone(), p.net_b.text.clone(), p.v_peak.written.clone()]);
    }
    let readable =
        |p: &str| ["criteria/", "labs/", "protocols/", "runs/", "vehicles/"].iter().any(|f| p.starts_with(f));
    let own: Vec<&[u8]> =
        a.site.sources.iter().filter(|(_, f)| readable(&f.path)).map(|(_, f)| f.bytes.as_slice()).collect();
    let own = String::from_utf8_lossy(&own.concat()).into_owned();
    all.retain(|s| s.len() > 3 && !own.contains(s.as_str()));
    all.sort();
    all.dedup();
    all
}

/// A laboratory sees no net, no voltage, nothing of the product and no verdict, in no form.
#[test]
fn the_copy_for_a_laboratory_shows_nothing_of_the_product() {
    let a = example();
    for id in ["OV-1107", "OV-2230", "OV-3415"] {
        let bag = pipeline::issue(a, id, &first()).expect("it may be issued");
        let copy = seal::redact(&bag.files, "lab").expect("a copy");
        assert_eq!(seal::verify(&copy.files, &[]).problems, []);
        let draft = pipeline::draft(a, id, galipot::compose::Audience::Lab).expect("a draft");
        let route = a.assessment.assemblies.iter().find(|r| r.id == id).expect("judged").route.word();
        let mut secrets = secrets(a, id);
        assert!(secrets.len() >= 10 && secrets.iter().any(|s| s.ends_with(" V")), "{id}: {secrets:?}");
        secrets.extend([format!("\"{route}\""), format!(": {route}"), "YES: ".into(), "YES, ".into(), "NO: ".into()]);
        // Inputs are the laboratory's own files, and the built-in texts are the same for everybody.
        let written =
            copy.files.iter().filter(|f| !["data/built-in/", "data/inputs/"].iter().any(|d| f.0.starts_with(d)));
        for (path, bytes) in written.chain(draft.files.iter().map(|(p, b)| (p, b))) {
            let text = String::from_utf8_lossy(bytes);
            for s in &secrets {
                assert!(!text.contains(s.as_str()), "{id}: {s} in {path}");
            }
        }
        let open = ["criteria", "labs", "protocols", "runs", "vehicles"];
        let folder =
            |p: &str| p.strip_prefix("data/inputs/").map(|p| p.split('/').next().unwrap_or_default().to_string());
        assert!(copy.files.keys().filter_map(|p| folder(p)).all(|f| open.contains(&f.as_str())));
        // The whole holds every one of them: the search is no idle one.
        let whole = bag.files["data/dossier.html"].clone();
        assert!(
            String::from_utf8_lossy(&whole).contains(a.site.assembly(id).expect("it").pairs[0].net_a.text.as_str())
        );
    }
}

/// A chapter of the house with its template is not for the customer, in no file of the copy.
#[test]
fn the_copy_for_the_customer_shows_nothing_of_the_house() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let mut files = crate::builder::load(root);
    let text = "title: House\nnumber: H\naudience: internal\n---\nThe margin on OV-1107 is a secret of the house.\n";
    files.push(("templates/55-house.md".into(), text.into()));
    let a = pipeline::assess(files, &Options::default()).expect("a site");
    let bag = pipeline::issue(&a, "OV-1107", &first()).expect("it may be issued");
    let holds =
        |files: &Files| files.values().filter(|b| String::from_utf8_lossy(b).contains("secret of the house")).count();
    assert!(holds(&bag.files) >= 3, "input, HTML and Markdown");
    let copy = seal::redact(&bag.files, "customer").expect("a copy");
    let report = seal::verify(&copy.files, &[]);
    assert_eq!((report.problems.as_slice(), holds(&copy.files)), (&[][..], 0));
    assert_eq!((report.verdict.as_str(), report.conditions), ("leave", 0));
    assert!(report.withheld.iter().any(|w| w.0 == "data/inputs/templates/55-house.md"));
    let draft = pipeline::draft(&a, "OV-1107", galipot::compose::Audience::Customer).expect("a draft");
    assert_eq!(holds(&draft.files.into_iter().collect()), 0);
}

/// The revision that follows a rejected one says so, and gives itself again from its own payload.
#[test]
fn the_chapter_of_changes_tells_of_a_rejection() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let assessed = |revision: &str| {
        let mut files = crate::builder::load(&root);
        let with = format!("document_rev = \"{revision}\"");
        crate::builder::patch(&mut files, "assemblies/OV-1107.toml", "document_rev = \"1\"", &with);
        crate::builder::patch(
            &mut files,
            "people/people.toml",
            "AAAAC3NzaC1lZDI1NTE5AAAAIP1p/9tCiDUZakPKX22O3kQ4JI00aPhCxOci/1DE2BLm",
            public(KEYS[1]).split(' ').nth(1).expect("a key"),
        );
        pipeline::assess(files, &Options::default()).expect("a site")
    };
    let mut one = pipeline::issue(&assessed("1"), "OV-1107", &first()).expect("issued").files;
    sign(&mut one, "OST-RE", "accept", KEYS[1], |s| {
        (s.meaning, s.reason) = ("rejected".into(), Some("The gap was not measured.".into()));
    });
    let report = seal::verify(&one, &[]);
    assert_eq!((report.problems.as_slice(), seal::standing(&report, &[]).word()), (&[][..], "rejected"));
    let second = Issue {
        revision: "2".into(),
        previous: Some(Previous { revision: "1".into(), digest: report.digest.clone() }),
        previous_record: Some(one["data/record.json"].clone()),
        previous_standing: Some(seal::standing_file(&report)),
        ..Issue::default()
    };
    let a = assessed("2");
    let bag = pipeline::issue(&a, "OV-1107", &second).expect("issued");
    let page = String::from_utf8_lossy(&bag.files["data/dossier.md"]).into_owned();
    let told = "Revision 1 was rejected by OST-RE (Corin Vanterpool) on 2026-04-02, in the role accept: The gap was not measured.";
    assert!(page.contains(told) && page.contains("revision 1 (rejected, as of"), "the chapter of changes");
    assert_eq!(seal::verify(&bag.files, &[]).problems, []);
    let before =
        pipeline::Before { record: one["data/record.json"].clone(), digest: None, stood: Some(seal::stood(&report)) };
    let now = pipeline::Before { record: bag.files["data/record.json"].clone(), digest: None, stood: None };
    let c = pipeline::compare(&before, &now).expect("two records");
    let screen = galipot::compose::since::human(&c).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(screen.contains(told), "{screen}");
    // A file about another revision is none.
    let mut other = bag.files.clone();
    let text = String::from_utf8(other["data/previous/standing.json"].clone()).expect("text");
    let text = text.replace(&report.digest, &"0".repeat(64));
    other.insert("data/previous/standing.json".into(), text.into_bytes());
    super::copies::reseal(&mut other);
    assert!(seal::verify(&other, &[]).problems.iter().any(|p| p.text.contains("not about the revision before")));
}
