//! What is no record, wherever it is wrong: refused by name, never a crash.

use super::{Walk, leaves, records};
use galipot::compare::compare;
use galipot::compose;
use galipot::pipeline::{self, Before};
use serde_json::{Value, json};

#[test]
fn what_is_no_record_is_refused_by_name() {
    let good = &records()[0].0;
    let with = |path: &str, v: Value| {
        let mut r = good.clone();
        *r.pointer_mut(path).expect("a part") = v;
        r
    };
    let without = |name: &str| {
        let mut r = good.clone();
        r.as_object_mut().expect("an object").remove(name);
        r
    };
    for (bad, word) in [
        (json!(null), "no JSON object"),
        (json!([]), "no JSON object"),
        (json!({}), "no schema"),
        (json!({"schema": "galipot.record/2"}), "galipot.record/2"),
        (json!({"schema": 7}), "no schema"),
        (json!({"schema": "galipot.record/1", "withheld 001-assembly": {}}), "leaves parts out"),
        (json!({"schema": "galipot.record/1"}), "claims is missing"),
        (without("runs"), "runs is missing"),
        (without("route"), "route is missing"),
        (with("/claims", json!({})), "claims is missing or no list"),
        (with("/claims/3", json!("C1")), "claims[3] is no object"),
        (with("/claims/3/id", json!(3)), "claims[3]: id"),
        (with("/claims/3/state", json!("green")), "green"),
        (with("/claims/3/value", json!("8.1")), "value is missing, and neither"),
        (with("/claims/3/runs", json!([1])), "no list of texts"),
        (with("/claims/3/reasons", json!([[]])), "reasons[0] is no object"),
        (with("/document/number", json!(null)), "document: number"),
        (with("/assembly", json!("OV-1107")), "assembly is missing"),
    ] {
        for (a, b, which) in [(&bad, good, "the old record"), (good, &bad, "the new record")] {
            let e = compare(a, b).expect_err("it is no record").join("\n");
            assert!(e.contains(word) && e.contains(which), "{word}: {e}");
        }
    }
    // Whatever stands anywhere: an answer, never a crash.
    let mut walk = Walk(11);
    let mut all = Vec::new();
    leaves(good, "", &mut all);
    let junk =
        [json!(null), json!(1e308), json!([[[]]]), json!({"id": {"id": []}}), json!("\u{0}"), json!(true), json!(-1)];
    for n in 0..150 {
        let path = &all[walk.below(all.len())];
        let cut = path.match_indices('/').map(|m| m.0).nth(1 + walk.below(3)).unwrap_or(path.len());
        let bad = with(&path[..cut], junk[n % junk.len()].clone());
        if let Ok(c) = compare(good, &bad) {
            compose::since::human(&c);
            pipeline::changes(&c);
            assert!(compare(&bad, &bad).is_ok_and(|c| c.is_empty()), "{path}");
        }
    }
    let before = |bytes: &[u8]| Before { record: bytes.to_vec(), digest: None, stood: None };
    assert!(pipeline::compare(&before(b"{"), &before(&[0xff])).is_err());
    let deep = "[".repeat(100_000);
    assert!(pipeline::compare(&before(deep.as_bytes()), &before(b"{}")).is_err());
}
