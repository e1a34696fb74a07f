//! Money stays apart: no file of a dossier, a status or a record holds an amount or a name of `plan/`.

use crate::builder::{self, Files};
use galipot::compose::{Audience, status};
use galipot::pipeline::{Assessed, draft, plan, plan_record};
use serde_json::Value;
use std::collections::BTreeSet;

fn files() -> Files {
    builder::load(builder::tests("../qualification-examples/hallow-fen"))
}

fn assessed(files: Files) -> Assessed {
    builder::assess(files).unwrap_or_else(|r| panic!("{:?}", r.problems))
}

/// Every file of every dossier, as text.
fn dossiers(a: &Assessed) -> Vec<(String, String)> {
    let mut out = Vec::new();
    for r in &a.assessment.assemblies {
        let bundle = draft(a, &r.id, Audience::All).unwrap_or_else(|d| panic!("{}", d.headline));
        for (path, bytes) in bundle.files {
            out.push((format!("{}/{path}", r.id), String::from_utf8(bytes).expect("UTF-8")));
        }
    }
    out.push(("status".into(), status::json(&a.site, &a.assessment).to_string()));
    out
}

/// Words of a text: letters, digits and points.
fn words(text: &str) -> BTreeSet<&str> {
    text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '.' || c == '_' || c == '-')).collect()
}

/// Numbers of a planning that no other number of the site would hit by chance.
fn amounts(v: &Value, out: &mut BTreeSet<String>) {
    match v {
        Value::Object(map) => map.values().for_each(|v| amounts(v, out)),
        Value::Array(list) => list.iter().for_each(|v| amounts(v, out)),
        Value::Number(n) => {
            let x = n.as_f64().unwrap_or(0.0);
            if x.abs() >= 10_000.0 && x.fract() != 0.0 {
                out.insert(n.to_string());
                out.insert(format!("{x:.2}"));
            }
        }
        _ => {}
    }
}

#[test]
fn no_file_of_a_dossier_holds_a_number_or_a_name_of_the_plan() {
    let a = assessed(files());
    // Amounts as the site writes them, from 10 000 on: no reading of the site is that large and that round.
    let mut secret: BTreeSet<String> = BTreeSet::new();
    for (_, bytes) in files().iter().filter(|f| f.0.starts_with("plan/")) {
        let text = std::str::from_utf8(bytes).expect("UTF-8");
        let large = |w: &&str| w.len() >= 5 && w.chars().all(|c| c.is_ascii_digit());
        secret.extend(words(text).into_iter().filter(large).map(str::to_string));
    }
    assert!(["310000", "96000", "58000", "13900", "151640"].iter().all(|s| secret.contains(*s)), "{secret:?}");
    let planning = plan(&a, &|| false).unwrap_or_else(|p| panic!("{p:?}"));
    let record = plan_record(&a, &planning);
    for key in ["plans", "lines", "evidence"] {
        amounts(&record[key], &mut secret);
    }
    let s = &a.site.plan;
    let ids =
        s.lines.iter().map(|x| &x.id).chain(s.programmes.iter().map(|x| &x.id)).chain(s.plans.iter().map(|x| &x.id));
    // Short ids such as R2 are names of parts too.
    secret.extend(ids.map(|t| t.text.clone()).filter(|t| t.len() > 3));
    secret.extend(["EUR", "kEUR", "galipot.plan"].map(str::to_string));
    assert!(secret.len() > 80, "{}", secret.len());
    let all = dossiers(&a);
    assert!(all.len() > 12);
    for (path, text) in &all {
        let held = words(text);
        let found: Vec<&String> = secret.iter().filter(|s| held.contains(s.as_str())).collect();
        assert!(found.is_empty(), "{path} holds {found:?} of plan/");
    }
}

#[test]
fn another_price_moves_no_state_and_of_a_dossier_only_the_digest_of_the_plan() {
    let mut dear = files();
    builder::patch(&mut dear, "plan/lines.toml", "machine_price = 96000", "machine_price = 9600000");
    let (was, is) = (assessed(files()), assessed(dear));
    assert_eq!(status::json(&was.site, &was.assessment), status::json(&is.site, &is.assessment));
    let digests = [&was, &is].map(|a| a.site.plan_digest().expect("a plan").to_string());
    assert_ne!(digests[0], digests[1], "a dossier knows that the plan is another");
}
