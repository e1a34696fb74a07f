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
    let remarks = serde_json::json!({"schema": "galipot.remarks/2", "assembly": "LP-40", "document": "QD-LP-40",
        "revision": "1", "digest": digest, "by": "RE", "date": "2026-03-25", "remarks": [
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
    // As the reviewer dated and wrote them: nobody's word is put into a file.
    let agreed = a.site.comments.iter().find(|c| c.section.text == "verdict").expect("it");
    assert!(agreed.disposition.is_none() && agreed.closed_by.is_none() && agreed.raised_on.to_string() == "2026-03-25");
    let against = pipeline::issue(&a, "LP-40", &Issue { revision: "1".into(), ..Issue::default() }).expect_err("open");
    assert_eq!(against.iter().filter(|r| r.starts_with("comment ")).count(), 1, "{against:?}");
    let again = galipot(&site, &["intake", "../remarks.json", "--kind", "remarks"]);
    assert!(again.status == 0 && again.out.contains("2 on file already"), "{}{}", again.out, again.err);
    // Another word on the same section is no copy of the first one.
    let mut second = remarks.clone();
    second["remarks"] = serde_json::json!([{"section": "verdict", "decision": "object", "text": "No."}]);
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
    let mut earlier = remarks.clone();
    earlier["schema"] = "galipot.remarks/1".into();
    earlier.as_object_mut().expect("an object").remove("date");
    std::fs::write(dir.path().join("earlier.json"), earlier.to_string()).expect("written");
    let call = galipot(&site, &["intake", "../earlier.json", "--kind", "remarks"]);
    assert!(call.status == 2 && call.err.contains("say --as-of DATE"), "{}", call.err);
    let mut marked = b"\xef\xbb\xbf".to_vec();
    marked.extend(remarks.to_string().bytes());
    std::fs::write(dir.path().join("marked.json"), marked).expect("written");
    let call = galipot(&site, &["intake", "../marked.json", "--kind", "remarks"]);
    assert!(call.status == 0 && call.out.contains("2 on file already"), "{}{}", call.out, call.err);
    let before = std::fs::read(site.join("comments/LP-40.toml")).expect("it");
    std::fs::write(dir.path().join("bad.json"), "[").expect("written");
    assert_eq!(galipot(&site, &["intake", "../bad.json", "--kind", "remarks"]).status, 2);
    assert_eq!(std::fs::read(site.join("comments/LP-40.toml")).expect("it"), before, "nothing was written");
}

#[test]
fn every_mistake_of_a_file_of_remarks_is_told_at_once() {
    let dir = tempfile::tempdir().expect("a folder");
    let site = dir.path().join("site");
    assert_eq!(galipot(dir.path(), &["new", "site"]).status, 0);
    assert_eq!(galipot(&site, &["draft", "--out", "drafts"]).status, 0);
    let page = std::fs::read_to_string(site.join("drafts/LP-40/dossier.html")).expect("the page");
    assert!(page.contains("<option value=\"RE\">RE: Pella Ostrow"), "the customer's people are offered");
    assert!(page.contains("data-section=\"dossier\"") && !page.contains("data-section=\"remarks\""));
    let digest = page.split("data-digest=\"").nth(1).and_then(|p| p.split('"').next()).expect("a digest").to_string();
    let before = builder::load(site.join("comments"));
    let wrong = serde_json::json!({"schema": "galipot.remarks/2", "assembly": "LP-40", "document": "QD-LP-41",
        "revision": "7", "digest": digest, "by": "RE", "date": "2019-03-25", "remarks": [
            {"section": "covrage", "decision": "object", "text": "Why?"},
            {"section": "verdict", "decision": "object", "text": " "},
            {"section": "verdict", "decision": "maybe", "text": "x"}]});
    std::fs::write(dir.path().join("wrong.json"), wrong.to_string()).expect("written");
    let call = galipot(&site, &["intake", "../wrong.json", "--kind", "remarks"]);
    assert_eq!(call.status, 2);
    for why in [
        "names document \"QD-LP-41\"",
        "names revision \"7\"",
        "RE is on file from",
        "remark 1: there is no section covrage; did you mean coverage?",
        "remark 2: to object without a word",
        "remark 3: \"maybe\" is no decision",
    ] {
        assert!(call.err.contains(why), "{why}: {}", call.err);
    }
    assert!(builder::load(site.join("comments")) == before, "nothing was entered");
}

/// A comment is closed by who raised it or may review or approve, between its day and the day of judgement.
#[test]
fn a_comment_is_closed_only_by_who_may_and_on_a_day_that_can_be() {
    let dir = tempfile::tempdir().expect("a folder");
    assert_eq!(galipot(dir.path(), &["new", "site"]).status, 0);
    let files: builder::Files = builder::load(dir.path().join("site"));
    let open = |by: &str, on: &str| {
        let mut files = files.clone();
        let text = format!(
            "[[comment]]\nid = \"CM-1\"\nassembly = \"LP-40\"\nby = \"RE\"\nraised_on = 2026-03-20\nsection = \
             \"coverage\"\ndecision = \"object\"\ntext = \"x\"\ndisposition = \"done\"\nclosed_by = \"{by}\"\nclosed_on = {on}\n"
        );
        builder::put(&mut files, "comments/LP-40.toml", text);
        let a = builder::assess(files).unwrap_or_else(|r| panic!("{:#?}", r.problems));
        let against =
            pipeline::issue(&a, "LP-40", &Issue { revision: "1".into(), ..Issue::default() }).expect_err("poor");
        let listed = galipot::compose::status::human(&a.site, &a.assessment).contains("1 open comment: CM-1");
        let said = against.into_iter().find(|r| r.starts_with("comment "));
        assert_eq!(listed, said.is_some(), "status names it when it is open");
        said.unwrap_or_default()
    };
    assert_eq!(open("QE", "2026-03-24"), "");
    assert_eq!(open("RE", "2026-03-24"), "", "who raised it may");
    for (by, on, why) in [
        ("PE", "2026-03-24", "PE may not close it: RE may"),
        ("QE", "2026-03-19", "closed_on 2026-03-19 lies before raised_on 2026-03-20"),
        ("QE", "2027-03-19", "closed_on 2027-03-19 lies after the day of judgement"),
    ] {
        let said = open(by, on);
        assert!(said.contains(why) && said.contains("(comments/LP-40.toml:1)"), "{by} {on}: {said}");
    }
}
