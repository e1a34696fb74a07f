//! Published statistics, one test each, named by document and table; values from memory say so.

use galipot::compute::calc;

/// Results of a calculation from (symbol, value) pairs.
fn run(id: &str, inputs: &[(&str, f64)]) -> Vec<(&'static str, f64)> {
    let c = calc::find(id).unwrap_or_else(|| panic!("no calculation {id}"));
    c.evaluate(inputs).unwrap_or_else(|e| panic!("{id}: {e}"))
}

fn value(id: &str, inputs: &[(&str, f64)], symbol: &str) -> f64 {
    run(id, inputs).iter().find(|o| o.0 == symbol).unwrap_or_else(|| panic!("{id} gives no {symbol}")).1
}

/// Agrees to the last printed digit.
fn near(got: f64, printed: f64, half_a_digit: f64) {
    assert!((got - printed).abs() <= half_a_digit, "{got}, printed {printed}");
}

fn list(symbol: &'static str, values: &[f64]) -> Vec<(&'static str, f64)> {
    values.iter().map(|v| (symbol, *v)).collect()
}

/// Table D of that standard prints four decimals (from memory); the fifth is computed.
#[test]
fn iso_16269_6_one_sided_factors() {
    let k = |n: f64, p: f64, conf: f64| value("tolerance_factor", &[("n", n), ("p", p), ("conf", conf)], "k");
    for (n, printed) in [
        (3.0, 7.65590),
        (5.0, 4.20268),
        (8.0, 3.18729),
        (10.0, 2.91096),
        (20.0, 2.39600),
        (30.0, 2.21984),
        (50.0, 2.06499),
        (100.0, 1.92654),
    ] {
        near(k(n, 0.95, 0.95), printed, 5e-6);
    }
    for (n, printed) in [(8.0, 4.35386), (12.0, 3.74708), (20.0, 3.29516)] {
        near(k(n, 0.99, 0.95), printed, 5e-6);
    }
    // Those of three decimals that the trade carries, p = 0.99, confidence 0.95.
    for (n, printed) in [(13.0, 3.659), (24.0, 3.181), (32.0, 3.034), (48.0, 2.876), (60.0, 2.807)] {
        near(k(n, 0.99, 0.95), printed, 5e-4);
    }
}

/// Seen: mean 97.07, s 0.0268, n 43, coverage 0.90, confidence 0.99. The handbook prints the approximate factor
/// 1.8751896; the exact one is 1.8739536.
#[test]
fn nist_7_2_6_3_one_sided_tolerance_limit() {
    let k = value("tolerance_factor", &[("n", 43.0), ("p", 0.9), ("conf", 0.99)], "k");
    near(k, 1.8739536, 5e-8);
    let z = galipot::compute::maths::normal_quantile;
    let a = 1.0 - z(0.99) * z(0.99) / (2.0 * 42.0);
    let b = z(0.9) * z(0.9) - z(0.99) * z(0.99) / 43.0;
    near((z(0.9) + (z(0.9) * z(0.9) - a * b).sqrt()) / a, 1.8751896, 5e-7);
    near(k - 1.8751896, -0.0012, 5e-5);
    let ltb = value("lower_tolerance_bound", &[("mean", 97.07), ("k", k), ("s", 0.0268)], "LTB");
    near(ltb, 97.0198, 5e-5);
}

/// Data from memory, outputs recomputed with d2 = 1.128: 55.8041 and 45.8159.
#[test]
fn nist_6_3_2_2_individuals_chart() {
    let x = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    let (mean, range) = (galipot::compute::maths::mean(&x), galipot::compute::maths::moving_range(&x));
    near(mean, 50.81, 5e-13);
    near(range, 1.8778, 5e-5);
    near(mean + 3.0 * range / 1.128, 55.8041, 5e-5);
    near(mean - 3.0 * range / 1.128, 45.8159, 5e-5);
    // The limits here use the 2.66 of the tables.
    let limits = run("individuals_limits", &[("mean", mean), ("MR", range)]);
    near(limits[0].1, 55.8041, 1e-3);
    near(limits[1].1, 45.8159, 1e-3);
    assert!(run("individuals_rules", &list("x", &x)).iter().all(|o| o.1 == 0.0));
}

/// Seen: 4 defectives of 20 at 90 %.
#[test]
fn nist_7_2_4_2_clopper_pearson() {
    let b = run("proportion_bounds", &[("k", 4.0), ("n", 20.0), ("conf", 0.9)]);
    near(b[0].1, 0.071354, 5e-7);
    near(b[1].1, 0.401028, 5e-7);
}

/// The formula of that page, the digits worked by hand: (0.29604 -+ 0.19989) / 1.19207.
#[test]
fn nist_7_2_4_1_wilson() {
    let b = run("wilson_interval", &[("k", 4.0), ("n", 20.0), ("conf", 0.95)]);
    near(b[0].1, 0.080658, 5e-7);
    near(b[1].1, 0.416017, 5e-7);
}

/// 1 - 0.05^(1/12), by hand.
#[test]
fn zero_of_twelve_by_clopper_and_pearson_1934() {
    near(value("proportion_upper", &[("k", 0.0), ("n", 12.0), ("C", 0.95)], "upper"), 0.220922, 5e-7);
}

/// Common practice: confidence/reliability in percent. The last two lie on exact boundaries.
#[test]
fn success_run_theorem_sample_sizes() {
    for (c, r, n) in [
        (0.9, 0.9, 22.0),
        (0.95, 0.9, 29.0),
        (0.9, 0.95, 45.0),
        (0.95, 0.95, 59.0),
        (0.95, 0.99, 299.0),
        (0.36, 0.8, 2.0),
        (0.271, 0.9, 3.0),
    ] {
        assert_eq!(value("success_run", &[("R", r), ("C", c), ("k", 0.0)], "n"), n, "{c} {r}");
    }
}

/// Seen: ten failures, ten survivors at 500 h.
#[test]
fn nist_8_4_1_3_weibull_maximum_likelihood() {
    let mut inputs = list("t", &[54.0, 187.0, 216.0, 240.0, 244.0, 335.0, 361.0, 373.0, 375.0, 386.0]);
    inputs.extend(list("t", &[500.0; 10]));
    inputs.extend(list("failed", &[1.0; 10]));
    inputs.extend(list("failed", &[0.0; 10]));
    inputs.extend([("p", 0.1), ("conf", 0.95)]);
    near(value("weibull_fit", &inputs, "eta"), 606.528, 5e-4);
    near(value("weibull_fit", &inputs, "beta"), 1.7208, 5e-5);
    near(value("weibull_fit", &inputs, "loglik"), -75.135, 5e-4);
}

/// Exact distribution of S for seven values, worked by hand: 7 of 5040 orders are as steady.
#[test]
fn kendall_exact_distribution_of_seven() {
    let y = [1.0, 2.0, 3.0, 4.0, 5.0, 16.0, 7.0];
    let t = run("mann_kendall", &list("y", &y));
    assert_eq!(t[0], ("S", 19.0));
    near(t.iter().find(|o| o.0 == "p_one").expect("p_one").1, 7.0 / 5040.0, 1e-16);
    let mut inputs = list("x", &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
    inputs.extend(list("y", &y));
    inputs.push(("conf", 0.95));
    assert_eq!(value("theil_sen", &inputs, "slope"), 1.0);
}

/// Seen: limit 8.000, U = 0.200, value 8.100.
#[test]
fn ilac_g8_guard_band_case() {
    let g = value("guard_band", &[("f", 2.0), ("u", 0.1)], "g");
    near(g, 0.2, 1e-15);
    let risks = |g: f64| run("guard_risks", &[("d", 8.1 - 8.0), ("u", 0.1), ("g", g)]);
    assert_eq!((risks(0.0)[0], risks(g)[0]), (("accepted", 1.0), ("accepted", 0.0)));
    near(risks(g)[1].1, 0.158655, 5e-7);
}

/// The dossier's own rule for readings of one board, an approximation: 24 combs in threes at 0.40 count as 13.
#[test]
fn readings_of_one_board_are_not_independent() {
    near((24.0f64 / (1.0 + 2.0 * 0.4)).floor(), 13.0, 0.0);
    let n = value("cluster_size", &[("n", 24.0), ("m", 3.0), ("r", 0.4)], "n_eff");
    assert_eq!(n, 13.0);
}

/// Sample sizes that the trade carries: two groups, pairs, non-inferiority.
#[test]
fn sample_sizes_of_practice() {
    let common = |delta: f64, s: f64, power: f64| [("delta", delta), ("s", s), ("alpha", 0.05), ("power", power)];
    for (delta, n) in [(0.3, 22.0), (0.5, 8.0), (1.0, 2.0)] {
        assert_eq!(value("group_size", &common(delta, 0.35, 0.8), "n"), n);
    }
    for (delta, s, n) in [(0.5, 0.35, 6.0), (0.25, 0.35, 21.0), (0.5, 0.8, 27.0)] {
        assert_eq!(value("paired_size", &common(delta, s, 0.9), "n"), n);
    }
    let arm = [("p", 0.006), ("margin", 0.4), ("conf", 0.95), ("power", 0.8)];
    assert_eq!(value("non_inferiority_size", &arm, "n"), 4610.0);
}
