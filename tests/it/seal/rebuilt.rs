//! `verify --rebuild`: whatever was changed in a bag and sealed anew, and does not follow from its inputs, is named.

use super::*;
use galipot::cli::rebuild::rebuilt;

fn differs(files: &Files) -> Vec<String> {
    let report = seal::verify(files, &[]);
    assert_eq!(report.problems, [], "plain verify alone finds nothing");
    rebuilt(&report, files).differs
}

#[test]
fn a_rebuild_compares_everything_that_follows_from_the_inputs() {
    let good = &super::leaks::bag("OV-1107").files;
    let report = seal::verify(good, &[]);
    let done = rebuilt(&report, good);
    assert_eq!(done.differs, Vec::<String>::new());
    assert!(done.left_out.iter().any(|l| l.contains("Galipot-Commit")), "{:?}", done.left_out);
    let figure = good.keys().find(|p| p.ends_with(".svg")).expect("a picture").clone();
    let template = good.keys().find(|p| p.starts_with("data/built-in/templates/")).expect("a chapter").clone();
    let text = |p: &str| String::from_utf8(good[p].clone()).expect("text");
    let changed = |edits: &[(&str, String)]| {
        let mut files = good.clone();
        files.extend(edits.iter().map(|(p, t)| ((*p).to_string(), t.clone().into_bytes())));
        super::copies::reseal(&mut files);
        differs(&files)
    };
    let names = |found: &[String], wanted: &[&str]| {
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        assert!(
            wanted.iter().all(|w| found.iter().any(|f| f.starts_with(w) && !f.contains("written by"))),
            "{found:?}"
        );
    };
    names(&changed(&[(&figure, text(&figure) + "<!-- -->")]), &[&figure]);
    names(&changed(&[(&template, text(&template) + "more")]), &[&template]);
    let audiences = text("audiences.txt").replace("customer  data/inputs/assemblies", "all  data/inputs/assemblies");
    names(&changed(&[("audiences.txt", audiences)]), &["audiences.txt"]);
    let info = text("bag-info.txt").replace("Brackenmoor", "Another");
    names(&changed(&[("bag-info.txt", info)]), &["bag-info.txt: Source-Organization is Another"]);
    // The table of people and the keys that agree with it, but not with people/ of the site.
    let swap = |p: &str| text(p).replace("HF-PE", "HF-XX");
    let people =
        [("data/people.json", swap("data/people.json")), ("data/allowed_signers", swap("data/allowed_signers"))];
    names(&changed(&people), &["data/people.json", "data/allowed_signers"]);
    // A PDF is no sum of anything: that it was not compared is said.
    let mut with_pdf = good.clone();
    with_pdf.insert("data/dossier.pdf".into(), b"%PDF".to_vec());
    let info = text("bag-info.txt").replace("Galipot-Pdf: none, not asked for", "Galipot-Pdf: typst 0.15.1");
    with_pdf.insert("bag-info.txt".into(), info.into_bytes());
    let lines = text("audiences.txt").replace("all  data/figures", "internal  data/dossier.pdf\nall  data/figures");
    let mut lines: Vec<String> = lines.lines().map(str::to_string).collect();
    lines.sort_by_key(|l| l.split_once("  ").expect("two").1.to_string());
    lines.dedup();
    with_pdf.insert("audiences.txt".into(), (lines.join("\n") + "\n").into_bytes());
    super::copies::reseal(&mut with_pdf);
    let done = rebuilt(&seal::verify(&with_pdf, &[]), &with_pdf);
    assert_eq!(done.differs, Vec::<String>::new());
    assert!(done.left_out.iter().any(|l| l.starts_with("data/dossier.pdf")), "{:?}", done.left_out);
    // Written by another version: its templates are its own.
    let mut older = good.clone();
    older.insert(template.clone(), b"older words".to_vec());
    let info = text("bag-info.txt").replace(&format!("galipot {}", env!("CARGO_PKG_VERSION")), "galipot 0.0.9");
    older.insert("bag-info.txt".into(), info.into_bytes());
    super::copies::reseal(&mut older);
    let done = rebuilt(&seal::verify(&older, &[]), &older);
    assert_eq!(done.differs, Vec::<String>::new());
    assert!(done.left_out.iter().any(|l| l.starts_with("data/built-in/")), "{:?}", done.left_out);
}
