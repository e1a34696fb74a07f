//! Takes the smallest site; gives the proof that chapters keep their promises, also when a site is hostile.
#![allow(clippy::disallowed_methods, reason = "tests read their site from disk")]

use std::path::Path;

use super::ink::plain;
use super::*;
use crate::model::document::{Behind, Formula, Inline};
use crate::pipeline::{Assessed, Options, assess};

type Files = Vec<(String, Vec<u8>)>;

fn load(dir: &Path, base: &Path, out: &mut Files) {
    for entry in std::fs::read_dir(dir).expect("the folder is there") {
        let path = entry.expect("a readable entry").path();
        if path.is_dir() {
            load(&path, base, out);
        } else {
            let name = path.strip_prefix(base).expect("below").to_str().expect("a plain name").replace('\\', "/");
            out.push((name, std::fs::read(&path).expect("a readable file")));
        }
    }
}

fn folder(path: &str) -> Files {
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let mut out = Vec::new();
    load(&base, &base, &mut out);
    out.sort();
    out
}

fn files() -> Files {
    folder("tests/cases/base")
}

/// The example site, judged once for all tests.
fn example() -> &'static Assessed {
    static SITE: std::sync::OnceLock<Assessed> = std::sync::OnceLock::new();
    SITE.get_or_init(|| judged(folder("qualification-examples/hallow-fen")))
}

fn judged(files: Files) -> Assessed {
    assess(files, &Options::default()).unwrap_or_else(|r| panic!("{:#?}", r.problems))
}

fn with(path: &str, text: &str) -> Assessed {
    let mut f = files();
    f.retain(|x| x.0 != path);
    f.push((path.to_string(), text.as_bytes().to_vec()));
    judged(f)
}

fn made(a: &Assessed, audience: Audience) -> Result<(Document, serde_json::Value), Diagnostic> {
    compose(&a.site, &a.workings, &a.assessment, &a.site.assemblies[0].assembly.id, &Volume::draft(audience))
}

/// Every word of a document, block by block.
fn words(blocks: &[Block], out: &mut Vec<String>) {
    for b in blocks {
        match b {
            Block::Heading { text, .. } | Block::Paragraph(text) | Block::Caution(text) => out.push(plain(text)),
            Block::List { items, .. } => items.iter().for_each(|i| words(i, out)),
            Block::Quote(inner) => words(inner, out),
            Block::Code(c) => out.push(c.clone()),
            Block::Formula(lines) => out.push(Formula::text_of(lines)),
            Block::Table(t) => {
                out.push(t.caption.clone());
                out.extend(t.head.iter().cloned());
                out.extend(t.rows.iter().flatten().map(|c| plain(c)));
            }
            Block::Figure(f) => out.extend([f.caption.clone(), f.alternative.clone()]),
            Block::Verdict { route, state, lines } => {
                out.extend([route.clone(), state.clone()]);
                out.extend(lines.iter().map(|l| plain(l)));
            }
            Block::Sheet(s) => out.extend([
                s.title.clone(),
                Formula::text_of(&s.formula),
                s.substituted.clone(),
                s.weak_because.clone(),
            ]),
            Block::Signature { role, name, meaning } => out.extend([role.clone(), name.clone(), meaning.clone()]),
            Block::Fold { summary, blocks } => {
                out.push(plain(summary));
                words(blocks, out);
            }
            Block::Review(_) | Block::Rule => {}
        }
    }
}

fn all_words(d: &Document) -> Vec<String> {
    let mut out = vec![d.title.clone(), d.running.clone()];
    out.extend(d.identity.iter().map(|(k, v)| format!("{k}: {v}")));
    for c in &d.chapters {
        out.push(c.title.clone());
        words(&c.blocks, &mut out);
    }
    out
}

#[test]
fn every_chapter_is_written_for_every_reader() {
    let a = judged(files());
    for audience in [Audience::All, Audience::Customer, Audience::Internal, Audience::Lab] {
        let (d, _) = made(&a, audience).expect("the built-in chapters expand");
        assert_eq!(d.chapters.len(), chapters::BUILT_IN.len(), "no block is left over");
        assert!(d.chapters.iter().all(|c| !c.blocks.is_empty() && !c.title.is_empty()));
        for w in all_words(&d) {
            let lower = format!(" {} ", w.to_lowercase().replace(|c: char| !c.is_alphanumeric(), " "));
            assert!(!lower.contains(" safe ") && !lower.contains(" nan "), "{w}");
            assert!(!w.chars().any(|c| matches!(c as u32, 0xF0000..=0xFFFFD)), "a token is left: {w}");
        }
    }
}

#[test]
fn a_lab_copy_leaves_out_what_is_not_for_it_and_keeps_the_digest() {
    let a = judged(files());
    let (all, _) = made(&a, Audience::All).unwrap();
    let (lab, _) = made(&a, Audience::Lab).unwrap();
    let of = |d: &Document, name: &str| d.chapters.iter().find(|c| c.name == name).map(|c| c.blocks.clone()).unwrap();
    assert_ne!(of(&all, "places"), of(&lab, "places"));
    assert!(matches!(&of(&lab, "places")[..], [Block::Paragraph(p)] if plain(p).contains("left out of this copy")));
    assert_eq!(of(&all, "electrical"), of(&lab, "electrical"));
    assert_eq!(all.identity, lab.identity, "one identity for every copy");
    let (_, record) = made(&a, Audience::Lab).unwrap();
    let (_, whole) = made(&a, Audience::Customer).unwrap();
    assert!(whole["route"].is_string() && record.get("route").is_none() && record.get("claims").is_none());
    assert_eq!((&record["runs"], &record["criteria"]), (&whole["runs"], &whole["criteria"]));
    let text = String::from_utf8(crate::model::document::record_bytes(&whole)).unwrap();
    let parts = crate::model::parts::parts(&text);
    let left_out: Vec<_> = parts.iter().enumerate().filter(|(_, p)| p.audience == "customer").collect();
    assert!(!left_out.is_empty());
    for (i, p) in left_out {
        let label = crate::model::parts::label(&crate::model::parts::file_name(i, &p.name));
        assert_eq!(record[&label]["sha256"], crate::diag::sha256_hex(p.text.as_bytes()).as_str(), "{label}");
    }
}

#[test]
fn what_a_site_writes_never_becomes_markup() {
    let hostile = "# **b** _i_ `c` <b>x</b> | [l](#verdict) ![i](u) &amp; 1. - \u{F0000}\u{F0010}\u{F0001} {{ 1 }} ~~~";
    let path = "templates/01-verdict.md";
    let template = "title: {{ assembly.product }}\nnumber: 1\naudience: all\n---\n# {{ assembly.product }}\n\n\
                    {{ assembly.product }}\n\n- **{{ assembly.product }}** `{{ assembly.product }}`\n\n| a |\n|---|\n| {{ assembly.product }} |\n";
    let mut f = files();
    f.push((path.into(), template.as_bytes().to_vec()));
    let mut hits = 0;
    for x in f.iter_mut().filter(|x| x.0.starts_with("assemblies/")) {
        let text = String::from_utf8(x.1.clone()).unwrap();
        let line = text.lines().find(|l| l.starts_with("product")).expect("a product").to_string();
        x.1 = text.replacen(&line, &format!("product = '{hostile}'"), 1).into_bytes();
        hits += 1;
    }
    assert!(hits > 0);
    let a = judged(f);
    let (d, _) = made(&a, Audience::All).unwrap();
    let chapter = d.chapters.iter().find(|c| c.name == "verdict").unwrap();
    let literal = template::strip(hostile);
    assert_eq!(chapter.title, literal);
    let [Block::Heading { text, .. }, Block::Paragraph(p), Block::List { items, .. }, Block::Table(t)] =
        &chapter.blocks[..]
    else {
        panic!("{:#?}", chapter.blocks)
    };
    assert_eq!(text[..], [Inline::Text(literal.clone())]);
    assert_eq!(p[..], [Inline::Text(literal.clone())]);
    assert_eq!(t.rows[0][0][..], [Inline::Text(literal.clone())]);
    let [Block::Paragraph(item)] = &items[0][..] else { panic!("{items:#?}") };
    assert_eq!(
        item[..],
        [Inline::Strong(vec![Inline::Text(literal.clone())]), Inline::Text(" ".into()), Inline::Code(literal)]
    );
}

#[test]
fn a_template_that_cannot_be_expanded_is_reported_with_file_and_line() {
    let head = "title: T\nnumber: 1\naudience: all\n---\n";
    for (body, line, words) in [
        ("\n{{ nothing }}\n", 6, "undefined"),
        ("{{ assembly.nothing }}\n", 5, "undefined"),
        ("a\n\n{{ block(\"clams_tree\") }}\n", 7, "did you mean \"claims_tree\""),
        ("{{ value(\"worst\") }}\n", 5, "there is no value"),
        ("{{ state(\"C99\") }}\n", 5, "there is no state"),
        ("text {{ block(\"claims_tree\") }}\n", 5, "must stand alone"),
        ("\n\n| a |\n|--|\n| {{ block(\"runs\") }} |\n", 9, "there is no block"),
        (
            "{% for a in \"xxxxxxxxxxxxxxxxxxxx\" %}{% for b in \"xxxxxxxxxxxxxxxxxxxx\" %}{% for c in \"xxxxxxxxxxxxxxxxxxxx\" %}{% for d in \"xxxxxxxxxxxxxxxxxxxx\" %}{{ a }}{% endfor %}{% endfor %}{% endfor %}{% endfor %}",
            5,
            "too many steps",
        ),
        ("{{ \"a\" ~ block(\"claims_tree\") }}\n", 5, "must stand alone"),
        ("{{ value(\"worst_margin\")[1:] ~ 1 }}\n", 5, "not inside an expression"),
        ("{{ assembly.id | safe }}\n", 5, "safe"),
        ("{% include \"other\" %}\n", 5, "other"),
        ("{% if %}\n", 5, ""),
        ("x {{ \u{F0000}\u{F0010}\u{F0001} }}\n", 5, ""),
    ] {
        let a = with("templates/01-verdict.md", &format!("{head}{body}"));
        let d = made(&a, Audience::All).expect_err(body);
        assert_eq!(d.code, codes::TEMPLATE, "{body}");
        assert!(d.headline.contains(words), "{body}: {}", d.headline);
        assert!(d.headline.contains(&format!("01-verdict.md:{line}:")), "{body}: {}", d.headline);
        assert_eq!(d.labels.first().map(|l| l.at.line), Some(line as u32), "{body}: {}", d.headline);
        assert_eq!(a.site.sources.get(d.labels[0].at.file).path, "templates/01-verdict.md");
    }
    for (text, words) in [
        ("no front matter", "does not end"),
        ("title: a\nnumber: 1\n---\n", "lacks a line"),
        ("title: a\nnumber: 1\naudience: nobody\n---\n", "not an audience"),
        ("title: {{ x }}\nnumber: 1\naudience: all\n---\n", "undefined"),
        ("title: {{ block(\"answer\") }}\nnumber: 1\naudience: all\n---\n", "cannot stand in a title"),
        ("", "does not end"),
    ] {
        let d = made(&with("templates/01-verdict.md", text), Audience::All).expect_err(text);
        assert!(d.headline.contains(words), "{text}: {}", d.headline);
    }
    let d = made(&with("templates/verdict.md", head), Audience::All).expect_err("a name without number");
    assert!(d.headline.contains("not a name for a chapter"));
}

#[test]
fn deep_nesting_is_refused_and_html_is_text() {
    let head = "title: T\nnumber: 1\naudience: all\n---\n";
    for body in
        [">".repeat(5000) + " x", "- ".repeat(3000) + "x", "**a ".repeat(3000) + &"** ".repeat(3000), "[".repeat(20000)]
    {
        // Refused or read: either way nothing breaks.
        let _ = made(&with("templates/01-verdict.md", &format!("{head}{body}\n")), Audience::All);
    }
    let html = format!("{head}<script>alert(1)</script>\n\nline <b>bold</b> [x](http://example.org) <!-- c -->\n");
    let (d, _) = made(&with("templates/01-verdict.md", &html), Audience::All).unwrap();
    let chapter = d.chapters.iter().find(|c| c.name == "verdict").unwrap();
    let mut w = Vec::new();
    words(&chapter.blocks, &mut w);
    assert_eq!(w, ["<script>alert(1)</script>\n", "line <b>bold</b> x (http://example.org) <!-- c -->"]);
}

#[test]
fn a_company_keeps_its_own_order_and_loses_nothing_that_matters() {
    let text = "title: Short\nnumber: 1\naudience: all\n---\nOnly this.\n";
    let a = with("templates/02-unproven.md", text);
    let (d, r) = made(&a, Audience::All).unwrap();
    let chapter = d.chapters.iter().find(|c| c.name == "unproven").unwrap();
    assert_eq!(chapter.title, "Short");
    let last = d.chapters.last().unwrap();
    assert_eq!(last.name, "left-over");
    let mut w = Vec::new();
    words(&last.blocks, &mut w);
    assert!(w.iter().any(|x| x.contains("runs that speak against")), "{w:?}");
    let used = r["templates"].as_array().unwrap().iter().find(|t| t["file"] == "02-unproven.md").unwrap();
    assert_eq!(used["built_in"], false);
    let own = with("templates/55-house-rules.md", "title: House rules\nnumber: H\naudience: internal\n---\nText.\n");
    let (d, _) = made(&own, Audience::Internal).unwrap();
    assert!(d.chapters.iter().any(|c| c.name == "house-rules"));
}

#[test]
fn numbers_lead_to_a_sheet_or_a_place() {
    let a = judged(files());
    let (d, _) = made(&a, Audience::All).unwrap();
    let cited = sheets::cited(&a.workings, d.chapters.iter());
    let mut sheets = Vec::new();
    for c in &d.chapters {
        for b in &c.blocks {
            if let Block::Sheet(s) = b {
                assert_ne!(s.formula, [Formula::words("not described")], "{}", s.calc);
                assert!(!s.substituted.is_empty(), "{}", s.calc);
                sheets.push(s.name.clone());
            }
        }
    }
    assert!(!cited.is_empty());
    assert_eq!(sheets, cited.iter().map(|c| c.name()).collect::<Vec<_>>());
    let mut places = 0;
    for c in &d.chapters {
        for b in &c.blocks {
            if let Block::Table(t) = b {
                for i in t.rows.iter().flatten().flatten() {
                    if let Inline::Value { behind: Behind::Place(p, at), .. } = i {
                        assert_eq!(*p, a.site.sources.cite(*at));
                        places += 1;
                    }
                }
            }
        }
    }
    assert!(places > 20, "{places}");
}

#[test]
fn the_digest_is_that_of_inputs_and_record() {
    let a = judged(files());
    let (d, r) = made(&a, Audience::All).unwrap();
    let digest = &d.identity.iter().find(|i| i.0.starts_with("Digest")).unwrap().1;
    let mut lines = String::new();
    for (path, bytes) in files() {
        lines.push_str(&format!("{}  {path}\n", crate::diag::sha256_hex(&bytes)));
    }
    let record = crate::model::document::record_bytes(&r);
    lines.push_str(&format!("{}  record.json\n", crate::diag::sha256_hex(&record)));
    assert_eq!(*digest, crate::diag::sha256_hex(lines.as_bytes()));
    assert!(d.running.contains(&digest[..16]));
    let text = String::from_utf8(record).unwrap();
    assert!(!text.contains("NaN") && !text.contains(digest.as_str()));
    let again: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(again["schema"], "galipot.record/1");
    assert_eq!(again["manifest"].as_array().unwrap().len(), files().len());
}

#[test]
fn status_holds_the_promised_fields_and_one_screen() {
    let a = judged(files());
    let v = status::json(&a.site, &a.assessment);
    assert_eq!(v["schema"], "galipot.status/1");
    for one in v["assemblies"].as_array().unwrap() {
        for key in ["id", "revision", "route", "state", "conditions", "valid_until", "interim", "claims"] {
            assert!(one.get(key).is_some(), "{key}");
        }
        for c in one["claims"].as_array().unwrap() {
            for key in [
                "id",
                "tree",
                "state",
                "codes",
                "value",
                "limit",
                "margin",
                "guard",
                "unit",
                "place",
                "runs",
                "conditions",
            ] {
                assert!(c.get(key).is_some(), "{key}");
            }
        }
    }
    let text = status::human(&a.site, &a.assessment);
    assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
}

#[test]
fn every_claim_can_be_explained() {
    let a = judged(files());
    let id = a.site.assemblies[0].assembly.id.text.clone();
    for c in &a.assessment.assemblies[0].claims {
        let text = why::human(&a.site, &a.workings, &a.assessment, &id, &c.id).unwrap();
        assert!(text.starts_with(&c.id) && text.contains("Next step"), "{text}");
        for l in text.lines() {
            // Only a word that is itself too long may stick out.
            assert!(l.chars().count() <= 100 || l.trim().split(' ').count() < 4, "{l}");
        }
        let v = why::json(&a.site, &a.workings, &a.assessment, &id, &c.id).unwrap();
        assert_eq!(v["claim"]["id"], c.id.as_str());
        assert!(v["runs"].is_array() && v["inputs"].is_array());
    }
    let e = why::human(&a.site, &a.workings, &a.assessment, &id, "C3.l").unwrap_err();
    assert!(e.contains("did you mean"), "{e}");
    assert!(why::human(&a.site, &a.workings, &a.assessment, "nowhere", "C0").is_err());
}

#[test]
fn every_block_and_value_is_documented() {
    let text = include_str!("../../docs/templates.md");
    for b in registry::BLOCKS {
        assert!(text.contains(&format!("`{}`", b.name)), "docs/templates.md lacks the block {}", b.name);
    }
    let a = judged(files());
    let desk = Desk::new(&a.site, &a.workings, &a.assessment, &a.site.assemblies[0].assembly.id).unwrap();
    let v = vocabulary::vocabulary(&desk, "all");
    for name in v.values.keys() {
        assert!(text.contains(&format!("`{name}`")), "docs/templates.md lacks the value {name}");
    }
    for (name, var) in &v.variables {
        match var {
            template::Var::Map(m) => {
                for k in m.keys() {
                    assert!(text.contains(&format!("`{name}.{k}`")), "docs/templates.md lacks {name}.{k}");
                }
            }
            _ => assert!(text.contains(&format!("`{name}`")), "docs/templates.md lacks {name}"),
        }
    }
    let mut names: Vec<&str> = registry::BLOCKS.iter().map(|b| b.name).collect();
    let sorted = {
        let mut s = names.clone();
        s.sort_unstable();
        s.dedup();
        s
    };
    assert_eq!(std::mem::take(&mut names), sorted, "blocks are in order and named once");
}

fn chapter_words(assembly: &str, name: &str) -> String {
    let a = example();
    let (d, _) =
        compose(&a.site, &a.workings, &a.assessment, assembly, &Volume::draft(Audience::All)).expect("it composes");
    let mut w = Vec::new();
    words(&d.chapters.iter().find(|c| c.name == name).expect("the chapter").blocks, &mut w);
    w.join("\n")
}

#[test]
fn the_verdict_page_says_what_the_example_is() {
    for (assembly, answer) in [
        ("OV-1107", "YES: LEAVE"),
        ("OV-2230", "YES, WITH 5 CONDITIONS"),
        ("OV-3415", "NO: WASH WITH SAPONIFIER"),
        ("OV-4502", "NOT YET; NO SUPPORTED INTERIM"),
    ] {
        let page = chapter_words(assembly, "verdict");
        assert!(page.starts_with(answer), "{assembly}: {page}");
        assert!(page.contains("Formulation revision 5 replaces revision 4") || assembly == "OV-3415", "{page}");
    }
    let page = chapter_words("OV-2230", "verdict");
    for said in [
        "ions bound at every critical place",
        "NOT on dryness",
        "RUN-108",
        "RUN-109",
        "CO-1",
        "8.10 log10 ohm",
        "+0.10 dec",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let page = chapter_words("OV-4502", "verdict");
    for said in ["RUN-126", "gap 26.7 um", "PF-02", "-367 V/mm", "CO-41"] {
        assert!(page.contains(said), "{said}: {page}");
    }
    // The run that no laboratory in scope made ranks no place, and says beside its number why.
    let place = chapter_words("OV-4502", "worst-place");
    assert_eq!(place.matches("-0.13 dec").count(), place.matches("-0.13 dec (does not count: G3)").count());
}

#[test]
fn what_speaks_against_is_what_this_assembly_heard() {
    let a = example();
    let (_, r) = compose(&a.site, &a.workings, &a.assessment, "OV-2230", &Volume::draft(Audience::All)).unwrap();
    let verdict = |id: &str| {
        let runs = r["runs"].as_array().unwrap();
        runs.iter().find(|x| x["id"] == id).map(|x| x["verdict"].as_str().unwrap().to_string()).unwrap()
    };
    for (id, word) in [
        ("RUN-101", "pass"),
        ("RUN-103", "pass"),
        ("RUN-104", "inadmissible"),
        ("RUN-107", "marginal"),
        ("RUN-108", "fail"),
        ("RUN-109", "fail"),
        ("RUN-128", "inadmissible"),
        ("RUN-132", "pass"),
    ] {
        assert_eq!(verdict(id), word, "{id}");
    }
    let v = why::json(&a.site, &a.workings, &a.assessment, "OV-4502", "C3.7").unwrap();
    let planned = v["runs"].as_array().unwrap().iter().filter(|x| x["verdict"] == "planned").count();
    assert_eq!(planned, 2, "{}", v["runs"]);
    assert!(!v["inputs"].as_array().unwrap().is_empty());
}

#[test]
fn status_of_the_example_is_one_screen_and_names_the_worst_place() {
    let a = example();
    let text = status::human(&a.site, &a.assessment);
    assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
    assert!(text.lines().count() <= 24, "{text}");
    let line = |id: &str| text.lines().find(|l| l.starts_with(id)).unwrap_or_default().to_string();
    assert!(line("OV-1107").contains("+0.13 dec"), "{text}");
    assert!(line("OV-2230").contains("0 at Z1, C5.1"), "{text}");
    assert!(line("OV-3415").contains("X C N"), "{text}");
    assert!(text.contains("STOP SHIPMENT of unwashed lots"), "{text}");
}

#[test]
fn every_dossier_of_the_example_speaks_plainly() {
    let a = example();
    for r in &a.assessment.assemblies {
        let (d, _) = compose(&a.site, &a.workings, &a.assessment, &r.id, &Volume::draft(Audience::All)).unwrap();
        for w in all_words(&d) {
            let lower = format!(" {} ", w.to_lowercase().replace(|c: char| !c.is_alphanumeric(), " "));
            assert!(!lower.contains(" safe ") && !lower.contains(" nan ") && !lower.contains(" inf "), "{w}");
        }
        let figures = d.chapters.iter().flat_map(|c| &c.blocks).filter(|b| matches!(b, Block::Figure(_))).count();
        assert!(figures > 5, "every run of insulation has its picture: {figures}");
        for b in d.chapters.iter().flat_map(|c| &c.blocks) {
            if let Block::Figure(f) = b
                && let crate::model::document::Plot::Combs { low, high, .. } = &f.plot
            {
                assert_eq!((*low, *high), (5.0, 13.0), "one axis for all");
            }
        }
    }
}

#[test]
fn margins_of_different_kinds_are_ranked_by_their_factor() {
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
    close(crate::quantity::distance(8.13, 8.0, 0.13, "log10 ohm"), 0.13);
    close(crate::quantity::distance(100.0, 10.0, 90.0, "V/mm"), 1.0);
    close(crate::quantity::distance(10.0, 100.0, 90.0, "ug/cm2"), 1.0);
    close(crate::quantity::distance(100.0, 10.0, -90.0, "pA"), -1.0);
    assert!(crate::quantity::distance(0.0, 0.0, 0.0, "1").is_nan(), "a count that must be zero has no margin");
    assert!(crate::quantity::distance(f64::NAN, 8.0, f64::NAN, "log10 ohm").is_nan());
}
