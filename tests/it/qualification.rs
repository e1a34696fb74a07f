//! What the tool says of itself: the self-test at the command line, its record, its digest in dossiers; the methods.

use crate::commands::galipot;
use crate::documents::content::{of_html, of_markdown};
use galipot::compute::{calc, selftest};
use galipot::{manual, render};
use std::path::Path;

fn read(folder: &Path, file: &str) -> String {
    std::fs::read_to_string(folder.join(file)).unwrap_or_else(|e| panic!("{file}: {e}"))
}

#[test]
fn a_self_test_fits_a_terminal_and_says_how_well_answers_are_known() {
    let dir = tempfile::tempdir().expect("a folder");
    let call = galipot(dir.path(), &["selftest"]);
    assert_eq!((call.status, call.err.as_str()), (0, ""), "{}", call.out);
    assert!(call.out.lines().all(|l| l.chars().count() <= 100), "{}", call.out);
    for word in ["0 missed", "seen", "from memory", "common practice", "reference library", "worked by hand"] {
        assert!(call.out.contains(word), "{word}: {}", call.out);
    }
    for c in calc::registry() {
        assert!(call.out.contains(&format!("{} ", c.id)), "{}", c.id);
    }
}

#[test]
fn the_table_for_machines_carries_every_answer() {
    let dir = tempfile::tempdir().expect("a folder");
    let call = galipot(dir.path(), &["selftest", "--json"]);
    let doc: serde_json::Value = serde_json::from_str(&call.out).expect("JSON");
    assert_eq!(doc["schema"], "galipot.selftest/1");
    let rows = doc["checks"].as_array().expect("a list");
    let answers: usize = calc::registry().iter().flat_map(|c| c.checks).map(|k| k.expected.len()).sum();
    assert_eq!((rows.len(), doc["missed"].as_u64()), (answers, Some(0)));
    for r in rows {
        for field in ["calc", "inputs", "output", "expected", "computed", "tolerance", "source", "standing"] {
            assert!(!r[field].is_null(), "{field} of {r}");
        }
        let gap = (r["computed"].as_f64().expect("a number") - r["expected"].as_f64().expect("a number")).abs();
        assert!(gap <= r["tolerance"].as_f64().expect("a number") && r["met"] == true, "{r}");
        let key = &r["source"];
        assert!(doc["sources"].as_array().is_some_and(|s| s.iter().any(|s| &s["key"] == key)), "{key}");
    }
}

#[test]
fn the_record_names_the_digest_of_its_table_and_nothing_of_the_machine() {
    let dir = tempfile::tempdir().expect("a folder");
    let (one, two) = (dir.path().join("one"), dir.path().join("deep/er/two"));
    for folder in [&one, &two] {
        let call = galipot(dir.path(), &["selftest", "--out", &folder.to_string_lossy()]);
        assert_eq!(call.status, 0, "{}", call.err);
    }
    let table = std::fs::read(one.join("selftest.json")).expect("the table");
    let digest = galipot::diag::sha256_hex(&table);
    assert_eq!(digest, selftest::run(calc::registry()).digest());
    for file in ["selftest.md", "selftest.html", "selftest.json"] {
        let text = read(&one, file);
        assert_eq!(text, read(&two, file), "{file} depends on its folder");
        assert!(!text.contains(&*dir.path().to_string_lossy()), "{file} names a folder");
        if file != "selftest.json" {
            assert!(text.contains(&digest) && text.contains("replaces none of them"), "{file}");
            assert!(text.contains("It does not show"), "{file}");
        }
    }
    // Again over our own files; never over somebody else's.
    assert_eq!(galipot(dir.path(), &["selftest", "--out", "one"]).status, 0);
    std::fs::write(one.join("mine.txt"), "mine").expect("written");
    assert_eq!(galipot(dir.path(), &["selftest", "--out", "one"]).status, 2);
}

#[test]
fn both_forms_of_the_tools_own_papers_say_the_same() {
    let record = manual::record(&selftest::run(calc::registry()), "any machine");
    for (document, stem) in [(manual::methods(calc::topics()), "methods"), (record, "selftest")] {
        let pages = render::pages(&document, stem);
        let text = |end: &str| {
            let page = pages.iter().find(|p| p.0 == format!("{stem}.{end}")).expect("a page");
            String::from_utf8(page.1.clone()).expect("UTF-8")
        };
        let (html, markdown) = (of_html(&text("html")), of_markdown(&text("md")));
        assert!(html.blocks.len() > 500, "{}", html.blocks.len());
        for (a, b) in html.blocks.iter().zip(&markdown.blocks) {
            assert_eq!(a, b, "HTML on the left, Markdown on the right");
        }
        assert_eq!(html.blocks.len(), markdown.blocks.len());
        assert_eq!(text("html").contains("<math"), stem == "methods");
    }
}

#[test]
fn the_methods_hold_every_calculation_once() {
    let of_topics: Vec<&str> = calc::topics().iter().flat_map(|t| t.1).map(|c| c.id).collect();
    let all: Vec<&str> = calc::registry().iter().map(|c| c.id).collect();
    assert_eq!(of_topics, all);
    let pages = render::pages(&manual::methods(calc::topics()), "methods");
    let page = String::from_utf8(pages.iter().find(|p| p.0 == "methods.md").expect("a page").1.clone()).expect("UTF-8");
    for c in calc::registry() {
        assert!(page.contains(&format!("({})\n", c.id)), "{}", c.id);
        assert!(page.contains(&c.printed()), "{}", c.id);
    }
}

#[test]
fn the_page_of_methods_is_written_for_this_build() {
    let dir = tempfile::tempdir().expect("a folder");
    let call = galipot(dir.path(), &["calc", "--out", "methods"]);
    assert_eq!(call.status, 0, "{}", call.err);
    let html = read(&dir.path().join("methods"), "methods.html");
    assert!(html.contains("<math display=\"block\" alttext=\"LTB = mean - k * s\">") && !html.contains("<script"));
    assert_eq!(galipot(dir.path(), &["calc", "kappa", "--out", "methods"]).status, 2);
}

#[test]
fn a_dossier_cites_the_digest_of_the_self_test() {
    let a = galipot::pipeline::assess(crate::new_site::files(), &Default::default()).expect("the new site");
    let id = a.site.assemblies[0].assembly.id.text.clone();
    let bundle = galipot::pipeline::draft(&a, &id, galipot::compose::Audience::All).expect("a dossier");
    let digest = selftest::run(calc::registry()).digest();
    for file in ["dossier.md", "dossier.html", "record.json"] {
        let bytes = &bundle.files.iter().find(|f| f.0 == file).expect("a file").1;
        assert!(String::from_utf8_lossy(bytes).contains(&digest), "{file}");
    }
}

#[test]
fn a_calculation_takes_units_and_shows_its_numbers_its_weakness_and_a_call() {
    let dir = tempfile::tempdir().expect("a folder");
    let run = |args: &[&str]| galipot(dir.path(), args);
    let call = run(&["calc", "field_strength", "V_peak=12 V", "spacing=200 um"]);
    assert_eq!(call.status, 0, "{}", call.err);
    for part in ["E = V_peak / spacing", "12 / 0.200000 = 60.0000", "60.0000 V/mm", "weak because", "source"] {
        assert!(call.out.contains(part), "{part}: {}", call.out);
    }
    let wrong = run(&["calc", "field_strength", "V_peak=12 V", "spacing=200 ohm"]);
    assert!(wrong.status == 2 && wrong.out.is_empty(), "{}", wrong.out);
    assert!(wrong.err.contains("a resistance") && wrong.err.contains("a length"), "{}", wrong.err);
    for c in calc::registry() {
        let shown = run(&["calc", c.id]);
        // A list in a command is one word for the shell, so it is not broken.
        let long = |l: &&str| l.chars().count() > 100 && !l.contains(',');
        assert_eq!(shown.out.lines().find(long), None);
        assert!(shown.out.contains(&format!("galipot calc {} ", c.id)), "{}", shown.out);
    }
    let json = run(&["calc", "field_strength", "V_peak=12 V", "spacing=200 um", "--json"]);
    let doc: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(doc["schema"], "galipot.calc/1");
    assert!((doc["results"]["field_strength"]["E"].as_f64().expect("a number") - 60.0).abs() < 1e-9);
}
