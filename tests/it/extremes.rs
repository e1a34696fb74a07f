//! Statistics at the ends of their ranges, as batch cases: values of general-purpose libraries, and refusals in words.

use galipot::batch;
use serde_json::{Value, json};

fn results(cases: &[(&str, Value)]) -> Value {
    let cases: Vec<Value> = cases
        .iter()
        .enumerate()
        .map(|(i, (kind, inputs))| json!({"id": i.to_string(), "kind": kind, "inputs": inputs}))
        .collect();
    let text = json!({ "cases": cases }).to_string();
    let none = |name: &str| Err(format!("no file {name}"));
    batch::run(text.as_bytes(), &none).expect("cases").0["results"].clone()
}

/// (kind, inputs, field, value, relative tolerance). Reference libraries: scipy 1.17 (nct.ppf, betaincinv,
/// betainccinv, fisher_exact) and mpmath 1.4 with 60 digits (binomial tails of the decimals).
const ENDS: &[(&str, &str, &str, f64, f64)] = &[
    ("factor", "{\"n\": 2, \"coverage\": 0.5, \"confidence\": 0.5}", "k", 0.0, 1e-8),
    ("factor", "{\"n\": 2, \"coverage\": 0.9999, \"confidence\": 0.9999}", "k", 29673.45833774631, 1e-8),
    ("factor", "{\"n\": 2, \"coverage\": 0.99, \"confidence\": 0.95}", "k", 37.09358145617062, 1e-8),
    ("factor", "{\"n\": 3, \"coverage\": 0.9999, \"confidence\": 0.5}", "k", 4.447053349324689, 1e-8),
    ("factor", "{\"n\": 1000, \"coverage\": 0.9999, \"confidence\": 0.9999}", "k", 4.074873288531248, 1e-8),
    ("factor", "{\"n\": 100000, \"coverage\": 0.99, \"confidence\": 0.95}", "k", 2.3363962025267266, 1e-8),
    ("factor", "{\"n\": 10000000, \"coverage\": 0.5, \"confidence\": 0.9999}", "k", 0.0011760567110303626, 1e-8),
    ("factor", "{\"n\": 10000000, \"coverage\": 0.9999, \"confidence\": 0.9999}", "k", 3.7223275953924757, 1e-8),
    ("clopper_pearson", "{\"k\": 0, \"n\": 10000000, \"confidence\": 0.9999}", "high", 9.903482648584461e-07, 1e-10),
    ("clopper_pearson", "{\"k\": 0, \"n\": 10000000, \"confidence\": 0.9999}", "low", 0.0, 1e-9),
    ("clopper_pearson", "{\"k\": 1, \"n\": 10000000, \"confidence\": 0.9999}", "high", 1.2506664089439785e-06, 1e-10),
    ("clopper_pearson", "{\"k\": 1, \"n\": 10000000, \"confidence\": 0.9999}", "low", 5.000125004154322e-12, 1e-9),
    ("clopper_pearson", "{\"k\": 123, \"n\": 1000000, \"confidence\": 0.95}", "high", 0.00014675467657128183, 1e-10),
    ("clopper_pearson", "{\"k\": 123, \"n\": 1000000, \"confidence\": 0.95}", "low", 0.00010222603627790202, 1e-9),
    ("clopper_pearson", "{\"k\": 9999999, \"n\": 10000000, \"confidence\": 0.95}", "high", 0.9999999974682192, 1e-10),
    ("clopper_pearson", "{\"k\": 9999999, \"n\": 10000000, \"confidence\": 0.95}", "low", 0.9999994428357883, 1e-9),
    ("clopper_pearson", "{\"k\": 10000000, \"n\": 10000000, \"confidence\": 0.9}", "high", 1.0, 1e-10),
    ("clopper_pearson", "{\"k\": 10000000, \"n\": 10000000, \"confidence\": 0.9}", "low", 0.9999997004268175, 1e-9),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.75, \"confidence\": 0.9375, \"allowed_failures\": 0}",
        "n",
        10.0,
        0.0,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.75, \"confidence\": 0.9375, \"allowed_failures\": 0}",
        "tail_at_n",
        0.056313514709472656,
        1e-9,
    ),
    ("success_run_sample_size", "{\"reliability\": 0.9, \"confidence\": 0.19, \"allowed_failures\": 0}", "n", 2.0, 0.0),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.9, \"confidence\": 0.19, \"allowed_failures\": 0}",
        "tail_at_n",
        0.81,
        1e-9,
    ),
    ("success_run_sample_size", "{\"reliability\": 0.5, \"confidence\": 0.5, \"allowed_failures\": 1}", "n", 3.0, 0.0),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.5, \"confidence\": 0.5, \"allowed_failures\": 1}",
        "tail_at_n",
        0.5,
        1e-9,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.8, \"confidence\": 0.104, \"allowed_failures\": 1}",
        "n",
        3.0,
        0.0,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.8, \"confidence\": 0.104, \"allowed_failures\": 1}",
        "tail_at_n",
        0.896,
        1e-9,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.5, \"confidence\": 0.9999, \"allowed_failures\": 0}",
        "n",
        14.0,
        0.0,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.5, \"confidence\": 0.9999, \"allowed_failures\": 0}",
        "tail_at_n",
        6.103515625e-05,
        1e-9,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.9999999, \"confidence\": 0.9, \"allowed_failures\": 0}",
        "n",
        23025850.0,
        0.0,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.9999999, \"confidence\": 0.9, \"allowed_failures\": 0}",
        "tail_at_n",
        0.09999999778647882,
        1e-9,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.9999, \"confidence\": 0.95, \"allowed_failures\": 50}",
        "n",
        632865.0,
        0.0,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.9999, \"confidence\": 0.95, \"allowed_failures\": 50}",
        "tail_at_n",
        0.04999887014369368,
        1e-9,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.5, \"confidence\": 0.95, \"allowed_failures\": 3000}",
        "n",
        6130.0,
        0.0,
    ),
    (
        "success_run_sample_size",
        "{\"reliability\": 0.5, \"confidence\": 0.95, \"allowed_failures\": 3000}",
        "tail_at_n",
        0.049710451986797986,
        1e-9,
    ),
    ("fisher_exact", "{\"table\": [[100000, 200000], [100500, 199500]]}", "p_two_sided", 0.17202785270757887, 1e-8),
    ("fisher_exact", "{\"table\": [[1, 999999], [5, 999995]]}", "p_two_sided", 0.21874929690764908, 1e-8),
    ("fisher_exact", "{\"table\": [[12, 5], [5, 12]]}", "p_two_sided", 0.038084343124522524, 1e-8),
    ("fisher_exact", "{\"table\": [[500, 1], [1, 500]]}", "p_two_sided", 4.647866854471696e-295, 1e-8),
];

#[test]
fn values_at_the_ends_of_the_ranges() {
    let cases: Vec<(&str, Value)> =
        ENDS.iter().map(|(kind, inputs, ..)| (*kind, serde_json::from_str(inputs).expect("JSON"))).collect();
    let got = results(&cases);
    for (i, (kind, inputs, field, wanted, relative)) in ENDS.iter().enumerate() {
        let result = &got[i.to_string()];
        let value = result[field].as_f64().unwrap_or_else(|| panic!("{kind} {inputs}: {result}"));
        assert!(
            (value - wanted).abs() <= relative * wanted.abs() + 1e-15,
            "{kind} {inputs} {field}: {value}, {wanted}"
        );
    }
}

/// Each is refused in words, and says no number.
#[test]
fn what_has_no_answer_is_refused_in_words() {
    let refused = [
        ("clopper_pearson", json!({"k": 5, "n": 4, "confidence": 0.9}), "k = 5 is more than n = 4"),
        ("wilson", json!({"k": 0, "n": 0, "confidence": 0.9}), "n = 0 is outside 1 to 1000000000"),
        ("clopper_pearson", json!({"k": 1, "n": 4, "confidence": 1.0}), "confidence = 1 is not between 0 and 1"),
        ("fisher_exact", json!({"table": [[1, 2]]}), "table is not two rows of two counts"),
        ("fisher_exact", json!({"table": [[1, 2], [3, 0.5]]}), "0.5 in the table is not a whole number"),
        ("success_run_sample_size", json!({"reliability": 1.0, "confidence": 0.9}), "reliability = 1 is not between"),
        ("theil_sen", json!({"x": [], "y": [], "confidence": 0.9}), "x has 0 values"),
        ("theil_sen", json!({"x": [1, 1], "y": [1, 2], "confidence": 0.9}), "needs two points at different x"),
        ("theil_sen", json!({"x": [1, 2], "y": [1, 2, 3], "confidence": 0.9}), "each needs the other"),
        ("mann_kendall", json!({"y": [1]}), "y has 1 values, at least 2 are needed"),
        ("robust_location", json!({"x": []}), "x has 0 values"),
        ("robust_location", json!({"x": [1, "nan"]}), "is not a finite number"),
        ("mann_whitney", json!({"a": [], "b": [1]}), "a has 0 values"),
        ("welch_t", json!({"a": [1, 1], "b": [2, 2], "confidence": 0.9}), "neither group has any spread"),
        ("i_mr", json!({"x": [1]}), "x has 1 values"),
        ("capability", json!({"x": [1, 1, 1], "lsl": 0, "usl": 2}), "the readings have no spread"),
        ("capability", json!({"x": [1, 2, 1], "lsl": null}), "neither lsl nor usl is given"),
        ("capability", json!({"x": [1, 2, 1], "lsl": 3, "usl": 2}), "lsl = 3 is not below usl = 2"),
        ("ewma", json!({"x": [1], "lambda": 0.0, "L": 3, "target": 1, "sigma": 1}), "lambda = 0 is outside"),
        ("lognormal_mle", json!({"exact_ohm": []}), "no readings at all"),
        ("lognormal_mle", json!({"exact_ohm": [1e9, 0]}), "a resistance of 0 ohm has no logarithm"),
        ("lognormal_mle", json!({"interval_ohm": [[1e9, 1e9]]}), "is not a pair of resistances, the lower first"),
        ("weibull_2p", json!({"failures": [], "right_censored": [1], "confidence_two_sided": 0.9}), "no failure"),
        ("weibull_2p", json!({"failures": [3, 3], "confidence_two_sided": 0.9}), "all failures are at one time"),
        ("weibull_2p", json!({"failures": [0, 3], "confidence_two_sided": 0.9}), "a time of 0 is not positive"),
        ("mass_per_area", json!({"quantities": {}}), "no quantity c"),
    ];
    let got = results(&refused.iter().map(|r| (r.0, r.1.clone())).collect::<Vec<_>>());
    for (i, (kind, inputs, words)) in refused.iter().enumerate() {
        let result = &got[i.to_string()];
        assert!(result["error"].as_str().is_some_and(|e| e.contains(words)), "{kind} {inputs}: {result}");
    }
}

/// What cannot be told apart has a status and no estimate; what can be has one.
#[test]
fn censored_readings_say_whether_they_tell_a_population() {
    let all = [
        (json!({"right_censored_at_ohm": [1e12, 1e12]}), "no_finite_mle"),
        (json!({"left_censored_at_ohm": [1e6]}), "no_finite_mle"),
        (json!({"exact_ohm": [1e9, 1e9, 1e9]}), "no_finite_mle"),
        (json!({"exact_ohm": [1e9], "right_censored_at_ohm": [1e8]}), "no_finite_mle"),
        (json!({"interval_ohm": [[1e9, 1e10], [1e10, 1e11], [1e9, 1e10]]}), "no_finite_mle"),
        (json!({"right_censored_at_ohm": [1e11], "left_censored_at_ohm": [1e10]}), "no_finite_mle"),
        (json!({"exact_ohm": [1e9], "right_censored_at_ohm": [1e10]}), "ok"),
        (json!({"exact_ohm": [1e9, 2e9], "right_censored_at_ohm": vec![1e12; 200]}), "ok"),
        (json!({"interval_ohm": [[1e9, 1e10], [1e10, 1e11], [1e8, 1e9]]}), "ok"),
        (json!({"interval_ohm": [[0, 1e9], [1e8, 1e10]], "exact_ohm": [1e9, 3e9]}), "ok"),
    ];
    let got = results(&all.iter().map(|r| ("lognormal_mle", r.0.clone())).collect::<Vec<_>>());
    for (i, (inputs, status)) in all.iter().enumerate() {
        let result = &got[i.to_string()];
        assert_eq!(result["status"], *status, "{inputs}");
        let told =
            result.get("mean_log10").is_some_and(Value::is_number) && result["q05_log10_lower95_wald"].is_number();
        assert_eq!(told, *status == "ok", "{inputs}: {result}");
    }
}

/// Equal readings, single readings, values without a logarithm: the limit where there is one, else "nan" in words.
#[test]
fn degenerate_lists_give_their_limits() {
    let got = results(&[
        ("robust_location", json!({"x": [3.0]})),
        ("robust_location", json!({"x": [0.0, 2.0]})),
        ("robust_location", json!({"x": [-3.0, 2.0]})),
        ("mann_whitney", json!({"a": [1, 1], "b": [1]})),
        ("i_mr", json!({"x": [0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1]})),
        ("mann_kendall", json!({"y": [7.5, 7.5]})),
        ("ewma", json!({"x": [1.0, 2.0], "lambda": 1.0, "L": 3.0, "target": 1.0, "sigma": 0.0})),
    ]);
    assert_eq!((&got["0"]["mad_raw"], &got["0"]["sd"]), (&json!(0.0), &json!("nan")));
    assert_eq!((&got["1"]["geometric_mean"], &got["2"]["geometric_mean"]), (&json!(0.0), &json!("nan")));
    assert_eq!((&got["3"]["p_asymptotic_cc"], &got["3"]["p_asymptotic_no_cc"]), (&json!(1.0), &json!(1.0)));
    assert_eq!((&got["4"]["run8_one_side"], &got["4"]["beyond_limits"]), (&json!([]), &json!([])));
    assert_eq!((&got["5"]["p_two_sided"], &got["5"]["tau_b"]), (&json!(1.0), &json!("nan")));
    assert_eq!((&got["6"]["z"], &got["6"]["signals"]), (&json!([1.0, 2.0]), &json!([1])));
}
