//! A site with two customers: no copy for one holds a file or a word of the other, and every kept file is one that is cited.

use super::*;
use galipot::pipeline::{self, Assessed, Issue, Options};
use std::sync::OnceLock;

/// The example with OV-4502 sold to a second customer.
fn site() -> &'static Assessed {
    static SITE: OnceLock<Assessed> = OnceLock::new();
    SITE.get_or_init(|| pipeline::assess(files(), &Options::default()).expect("a site"))
}

fn files() -> Vec<(String, Vec<u8>)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let mut files = crate::builder::load(root);
    let mut edit = |path: &str, change: &dyn Fn(String) -> String| {
        let f = files.iter_mut().find(|f| f.0 == path).expect("a file of the example");
        let text = String::from_utf8(f.1.clone()).expect("text");
        let changed = change(text.clone());
        assert_ne!(changed, text, "{path} changes");
        f.1 = changed.into_bytes();
    };
    edit("assemblies/OV-4502.toml", &|t| t.replace("customer = \"OST\"", "customer = \"FXG\""));
    edit("customers/ostravane.toml", &|t| t.replace(", \"OV-4502\"", ""));
    edit("people/people.toml", &|t| {
        t.replace("org = \"customer\"", "org = \"customer\"\ncustomer = \"OST\"")
            + "\n[[person]]\nid = \"FXG-RE\"\nname = \"Lorne Avison\"\norg = \"customer\"\ncustomer = \"FXG\"\nrole = \"Engineer\"\n\
               authority = [\"accept\"]\nkeys = []\nvalid_from = 2023-01-01\nvalid_to = 2028-12-31\n"
    });
    let customer = "[[customer]]\nid = \"FXG\"\nname = \"Foxglade Controls\"\nsector = \"industrial\"\nquality_agreement = \"QA-1\"\n";
    files.push(("customers/foxglade.toml".into(), customer.into()));
    files
}

/// The bag of one assembly; each once, because composing is slow.
pub fn bag(id: &str) -> &'static Bag {
    static BAGS: OnceLock<BTreeMap<&'static str, Bag>> = OnceLock::new();
    let issue = || Issue { revision: "1".into(), ..Issue::default() };
    let of = |id| (id, pipeline::issue(site(), id, &issue()).expect("it may be issued"));
    &BAGS.get_or_init(|| ["OV-1107", "OV-2230", "OV-3415"].map(of).into())[id]
}

/// A text without the paths of inputs, which no copy hides.
fn without_paths(text: &str) -> String {
    let mut paths: Vec<&str> = site().site.inputs().map(|(_, f)| f.path.as_str()).collect();
    paths.sort_by_key(|p| std::cmp::Reverse(p.len()));
    paths.into_iter().fold(text.to_string(), |t, p| t.replace(p, ""))
}

#[test]
fn no_copy_holds_a_word_of_another_customer() {
    let other = site().site.assembly("OV-4502").expect("it");
    let a = &other.assembly;
    let mut words: Vec<String> = [&a.id, &a.product, &a.document, &a.drawing].map(|t| t.text.clone()).to_vec();
    words.extend(other.pairs.iter().map(|p| p.id.text.clone()));
    words.extend(["FXG", "Foxglade", "FXG-RE", "Lorne Avison"].map(String::from));
    assert!(words.len() > 8, "{words:?}");
    for id in ["OV-1107", "OV-2230", "OV-3415"] {
        for reader in ["customer", "lab"] {
            let copy = seal::redact(&bag(id).files, reader).expect("a copy");
            assert_eq!(seal::verify(&copy.files, &[]).problems, []);
            for (path, bytes) in &copy.files {
                let text = without_paths(&String::from_utf8_lossy(bytes));
                for w in &words {
                    let at = text.lines().find(|l| galipot::compose::readers::has_word(l, w));
                    assert!(at.is_none(), "{id} for {reader}: {w} in {path}: {}", at.unwrap_or_default());
                }
            }
        }
        // The whole holds the file of the other customer: the search is no idle one.
        assert!(bag(id).files.contains_key("data/inputs/assemblies/OV-4502.toml"));
    }
}

/// A kept input is cited; what belongs to another assembly of the same customer is left out too.
#[test]
fn a_copy_holds_only_inputs_that_its_dossier_rests_on() {
    for id in ["OV-1107", "OV-2230", "OV-3415"] {
        let customer = seal::redact(&bag(id).files, "customer").expect("a copy").files;
        let lab = seal::redact(&bag(id).files, "lab").expect("a copy").files;
        let dossier = String::from_utf8_lossy(&bag(id).files["data/dossier.md"]).into_owned();
        let record = &bag(id).files["data/record.json"];
        let mut record: serde_json::Value = serde_json::from_slice(record).expect("JSON");
        record["manifest"].take();
        let record = record.to_string();
        let inputs = |files: &Files| -> Vec<String> {
            files.keys().filter_map(|p| p.strip_prefix("data/inputs/")).map(str::to_string).collect()
        };
        for path in inputs(&customer).iter().chain(&inputs(&lab)) {
            let of_record = [format!("\"{path}:"), format!("\"{path}\"")];
            let cited = dossier.contains(&format!("`{path}:")) || of_record.iter().any(|t| record.contains(t));
            assert!(cited, "{id}: nothing cites {path}");
        }
        for other in ["OV-1107", "OV-2230", "OV-3415", "OV-4502"].iter().filter(|o| **o != id) {
            let named = |p: &&String| p.contains(other);
            assert_eq!(inputs(&customer).iter().find(named), None, "{id}");
        }
        assert!(inputs(&customer).contains(&format!("assemblies/{id}.toml")), "{id}");
        assert!(inputs(&customer).iter().all(|p| !p.starts_with("people/")), "{id}");
        let whole = inputs(&bag(id).files);
        let runs = |paths: &[String]| paths.iter().filter(|p| p.ends_with("run.toml")).count();
        assert!(runs(&inputs(&lab)) > 0 && runs(&inputs(&lab)) < runs(&whole), "{id}: only some runs");
        // Data that name a conductor pair are not for a laboratory.
        for p in &site().site.assembly(id).expect("it").pairs {
            let found = lab.iter().find(|f| galipot::compose::readers::has_word(&String::from_utf8_lossy(f.1), &p.id));
            assert!(
                found.is_none_or(|f| f.0 == "whole/manifest-sha256.txt"),
                "{id}: {} in {:?}",
                p.id,
                found.map(|f| f.0)
            );
        }
        assert!(!lab.contains_key("data/people.json") && !lab.contains_key("data/allowed_signers"));
    }
}

/// Who may sign stands in the table of people: the house and this customer, not another, and nobody without an authority.
#[test]
fn the_table_of_people_holds_those_who_may_sign() {
    let people = seal::people(&bag("OV-1107").files).expect("people");
    let ids: Vec<&str> = people.iter().map(|p| p.id.as_str()).collect();
    assert!(ids.contains(&"HF-QM") && ids.contains(&"OST-RE"), "{ids:?}");
    assert!(!ids.contains(&"FXG-RE") && !ids.contains(&"HF-OP1"), "{ids:?}");
    assert!(people.iter().all(|p| !p.authority.is_empty()));
}
