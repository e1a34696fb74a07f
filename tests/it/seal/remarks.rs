//! The comment round: remarks on a dossier come back as comments, bound to its digest; an open comment blocks an issue.

use crate::builder;
use crate::commands::galipot;
use galipot::pipeline::{self, Issue, Options};

#[test]
fn remarks_come_back_once_and_only_to_their_own_dossier() {
    let dir = tempfile::tempdir().expect("a folder");
    let site = dir.path().join("site");
    assert_eq!(galipot(dir.path(), &["new", "site"]).status, 0);
    assert_eq!(galipot(&site, &["draft", "--out", "drafts"]).status, 0);
    let page = std::fs::read_to_string(site.join("drafts/LP-40/dossier.html")).expect("the page");
    let digest = page.split("data-digest=\"").nth(1).and_then(|p| p.split('"').next()).expect("a digest").to_string();
    let remarks = serde_json::json!({"schema": "galipot.remarks/1", "assembly": "LP-40", "document": "QD-LP-40",
        "revision": "1", "digest": digest, "by": "RE", "remarks": [
            {"section": "coverage", "decision": "object", "text": "Why \"K7\"?\n\\ [[comment]] \u{7}"},
            {"section": "verdict", "decision": "agree", "text": ""}]});
    let put = |name: &str, v: &serde_json::Value| std::fs::write(site.join(name), v.to_string()).expect("written");
    put("documents/remarks.json", &remarks);
    // The file itself lies in the site now, and would be another input: it is taken from outside.
    std::fs::rename(site.join("documents/remarks.json"), dir.path().join("remarks.json")).expect("moved");
    let call = galipot(&site, &["intake", "../remarks.json", "--kind", "remarks"]);
    assert_eq!(call.status, 0, "{}", call.err);
    assert!(call.out.contains("2 entered") && call.out.contains("1 of them open"), "{}", call.out);
    let files = builder::load(&site);
    let a = pipeline::assess(files.into_iter().filter(|f| !f.0.starts_with("drafts/")).collect(), &Options::default())
        .unwrap_or_else(|r| panic!("{:#?}", r.problems));
    let texts: Vec<&str> = a.site.comments.iter().filter_map(|c| c.text.as_ref()).map(|t| t.text.as_str()).collect();
    assert!(texts.contains(&"Why \"K7\"?\n\\ [[comment]] \u{7}"), "{texts:?}");
    let against = pipeline::issue(&a, "LP-40", &Issue { revision: "1".into(), ..Issue::default() }).expect_err("open");
    assert_eq!(against.iter().filter(|r| r.starts_with("comment ")).count(), 1, "{against:?}");
    let again = galipot(&site, &["intake", "../remarks.json", "--kind", "remarks"]);
    assert!(again.status == 0 && again.out.contains("2 on file already"), "{}{}", again.out, again.err);
    // Another word on the same section is no copy of the first one.
    let mut second = remarks.clone();
    second["remarks"] = serde_json::json!([{"section": "verdict", "decision": "object", "text": ""}]);
    std::fs::write(dir.path().join("second.json"), second.to_string()).expect("written");
    let call = galipot(&site, &["intake", "../second.json", "--kind", "remarks"]);
    assert!(call.status == 0 && call.out.contains("1 entered"), "{}{}", call.out, call.err);
    for (field, value, why) in [
        ("digest", "0".repeat(64), "another dossier"),
        ("assembly", "LP-41".into(), "did you mean LP-40"),
        ("by", "RF".into(), "did you mean RE"),
        ("schema", "galipot.remarks/9".into(), "schema"),
    ] {
        let mut other = remarks.clone();
        other[field] = value.into();
        std::fs::write(dir.path().join("other.json"), other.to_string()).expect("written");
        let call = galipot(&site, &["intake", "../other.json", "--kind", "remarks"]);
        assert!(call.status == 2 && call.err.contains(why), "{field}: {}", call.err);
    }
    let before = std::fs::read(site.join("comments/LP-40.toml")).expect("it");
    std::fs::write(dir.path().join("bad.json"), "[").expect("written");
    assert_eq!(galipot(&site, &["intake", "../bad.json", "--kind", "remarks"]).status, 2);
    assert_eq!(std::fs::read(site.join("comments/LP-40.toml")).expect("it"), before, "nothing was written");
}
