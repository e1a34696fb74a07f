//! Takes the open reference sets; each case agrees with its library within the tolerance that the set states.

use galipot::batch;
use serde_json::Value;

/// One entry of `tolerance` for a field: the deepest exact name, then the deepest pattern, then "*".
fn entry<'a>(tolerance: &'a Value, path: &[String]) -> Option<&'a Value> {
    let t = tolerance.as_object()?;
    let exact = path.iter().rev().find_map(|p| t.get(p).filter(|_| p != "note"));
    let pattern = || {
        path.iter()
            .rev()
            .find_map(|p| t.iter().find(|(k, _)| k.len() > 1 && k.contains('*') && matches(k, p)).map(|(_, v)| v))
    };
    exact.or_else(pattern).or_else(|| t.get("*"))
}

/// Whether a pattern with stars matches a name.
fn matches(pattern: &str, name: &str) -> bool {
    let parts: Vec<&str> = pattern.split('*').collect();
    let (first, last) = (parts[0], parts[parts.len() - 1]);
    if !name.starts_with(first) || name.len() < first.len() + last.len() || !name.ends_with(last) {
        return false;
    }
    let mut rest = &name[first.len()..name.len() - last.len()];
    parts[1..parts.len() - 1].iter().all(|p| rest.find(p).map(|i| rest = &rest[i + p.len()..]).is_some())
}

/// Where a result differs from what is expected.
fn differences(wanted: &Value, got: &Value, tolerance: &Value, path: &mut Vec<String>, out: &mut Vec<String>) {
    match wanted {
        Value::Object(map) => {
            for (k, v) in map {
                path.push(k.clone());
                match got.get(k) {
                    Some(g) => differences(v, g, tolerance, path, out),
                    None => out.push(format!("{}: missing", path.join("."))),
                }
                path.pop();
            }
        }
        Value::Array(list) => match got.as_array() {
            Some(g) if g.len() == list.len() => {
                list.iter().zip(g).for_each(|(a, b)| differences(a, b, tolerance, path, out));
            }
            _ => out.push(format!("{}: {got} where {wanted} is expected", path.join("."))),
        },
        Value::Number(n) => {
            let e = n.as_f64().expect("a number");
            let t = entry(tolerance, path).unwrap_or_else(|| panic!("no tolerance for {}", path.join(".")));
            let allowed = if t["exact"] == true {
                0.0
            } else {
                t["abs"].as_f64().unwrap_or(0.0).max(t["rel"].as_f64().unwrap_or(0.0) * e.abs())
            };
            if !got.as_f64().is_some_and(|x| (x - e).abs() <= allowed) {
                out.push(format!("{}: {got} where {e} is expected within {allowed:e}", path.join(".")));
            }
        }
        _ if wanted == got => {}
        _ => out.push(format!("{}: {got} where {wanted} is expected", path.join("."))),
    }
}

/// Runs a set; gives every difference, less the fields that only the library of the set defines.
fn run(file: &str, library_only: &[&str], without: &[&str]) -> Vec<String> {
    let folder = crate::builder::tests("reference");
    let bytes = std::fs::read(folder.join(file)).expect("a reference set");
    let set: Value = serde_json::from_slice(&bytes).expect("JSON");
    let read = |name: &str| std::fs::read(folder.join(name)).map_err(|e| e.to_string());
    let (results, _) = batch::run(&bytes, &read).expect("cases");
    let mut out = Vec::new();
    let mut compared = 0;
    for case in set["cases"].as_array().expect("cases") {
        let id = case["id"].as_str().expect("an id");
        if without.contains(&id) {
            continue;
        }
        let mut expected = case["expected"].clone();
        if let Some(map) = expected.as_object_mut() {
            map.retain(|k, _| !library_only.iter().any(|l| matches(l, k)));
        }
        let mut found = Vec::new();
        differences(&expected, &results["results"][id], &case["tolerance"], &mut Vec::new(), &mut found);
        if let Some(e) = results["results"][id].get("error") {
            found = vec![format!("error {e}")];
        }
        out.extend(found.into_iter().map(|f| format!("{file} {id} {f}")));
        compared += 1;
    }
    assert!(compared > 0, "{file}: nothing was compared");
    out
}

#[test]
fn t01_tolerance_factors_by_quadrature() {
    assert_eq!(run("t01_tolerance_factor.json", &[], &[]), Vec::<String>::new());
}

/// Full equations of state are the other library's own. The weather file may not be copied here: its case was compared
/// by hand, and an invented log of two days is compared with numbers of an independent script.
#[test]
fn t05_humidity() {
    assert_eq!(run("t05_humidity.json", &["coolprop_*", "iapws95_*"], &["year_greensboro_tmy3"]), Vec::<String>::new());
}

#[test]
fn a_short_log_of_weather() {
    assert_eq!(run("own_weather.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t07_money() {
    assert_eq!(run("t07_finance_mc.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t08_ions() {
    assert_eq!(run("t08_ions.json", &[], &[]), Vec::<String>::new());
}

/// Approximations of elliptic integrals are the other library's own.
#[test]
fn t06_lines() {
    assert_eq!(run("t06_microstrip.json", &["*_skrf*"], &[]), Vec::<String>::new());
}

#[test]
fn t12_resistance_logs() {
    assert_eq!(run("t12_sir_series.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t13_reflow_profiles() {
    assert_eq!(run("t13_reflow.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn a_difference_is_found() {
    let wanted = serde_json::json!({"a": 1.0, "b": {"c_low": 2.0}, "d": [1, 2], "e": "x"});
    let tolerance =
        serde_json::json!({"a": {"abs": 0.1, "rel": 0.0}, "c_*": {"abs": 0, "rel": 0.1}, "*": {"exact": true}});
    let found = |got: Value| {
        let mut out = Vec::new();
        differences(&wanted, &got, &tolerance, &mut Vec::new(), &mut out);
        out.len()
    };
    assert_eq!(found(wanted.clone()), 0);
    assert_eq!(found(serde_json::json!({"a": 1.05, "b": {"c_low": 2.1}, "d": [1, 2], "e": "x"})), 0);
    assert_eq!(found(serde_json::json!({"a": 1.2, "b": {"c_low": 2.3}, "d": [1, 3], "e": "y"})), 4);
    assert_eq!(found(serde_json::json!({"b": {}, "d": [1]})), 4);
}

#[test]
fn a_case_that_cannot_be_computed_says_why_and_the_others_go_on() {
    let text = serde_json::json!({"cases": [
        {"id": "one", "kind": "factor", "inputs": {"n": 8, "coverage": 0.99, "confidence": 0.95}},
        {"id": "two", "kind": "factro", "inputs": {}},
        {"id": "three", "kind": "factor", "inputs": {"n": 1, "coverage": 0.99, "confidence": 0.95}},
        {"id": "four", "kind": "factor"},
        {"id": "five", "kind": "i_mr", "inputs": {"x": [1e308, -1e308]}}]});
    let none = |name: &str| Err(format!("no file {name}"));
    let (results, failed) = batch::run(text.to_string().as_bytes(), &none).expect("cases");
    let r = &results["results"];
    assert_eq!(failed, 4);
    assert!(r["five"]["error"].as_str().expect("words").contains("goes beyond"), "{}", r["five"]);
    assert!((r["one"]["k"].as_f64().expect("a number") - 4.353_86).abs() < 5e-6);
    assert_eq!(r["two"]["error"], "no kind \"factro\"; did you mean factor?");
    assert_eq!(r["three"]["error"], "n = 1 is outside 2 to 10000000");
    assert_eq!(r["four"]["error"], "no input n");
    assert!(batch::run(b"{}", &none).is_err() && batch::run(b"[", &none).is_err());
    assert!(batch::run(br#"{"cases": [{"id": "a"}, {"id": "a"}]}"#, &none).unwrap_err().contains("two cases"));
}

#[test]
fn t02_proportions() {
    assert_eq!(run("t02_proportions.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t03_trend_and_location() {
    assert_eq!(run("t03_trend_location.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t04_control_charts_and_capability() {
    assert_eq!(run("t04_control.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t09_censored_lognormal() {
    // The estimates of that library are there to be looked at, as its semantics say.
    assert_eq!(run("t09_lognormal.json", &["lifelines_*"], &[]), Vec::<String>::new());
}

#[test]
fn t10_weibull_with_bounds() {
    assert_eq!(run("t10_weibull.json", &[], &[]), Vec::<String>::new());
}

#[test]
fn t11_combined_uncertainty() {
    // A simulated uncertainty depends on the draws of that library.
    assert_eq!(run("t11_gum.json", &["mc_u_*"], &[]), Vec::<String>::new());
}
