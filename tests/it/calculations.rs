//! Calculations: the printed formula is the computed one; published and reference values; extremes.

use galipot::compute::calc::{self, Calc, expr};

/// Numbers that look random and are the same every time.
pub struct Lot(pub u64);

impl Lot {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A sample of the declared ranges, unequal for all symbols; wide positive ranges are sampled by their logarithm.
pub fn sample(calc: &Calc, lot: &mut Lot) -> Vec<(&'static str, f64)> {
    let mut out = Vec::new();
    for s in calc.symbols {
        for _ in 0..if s.many { 5 } else { 1 } {
            let u = lot.unit();
            let x = if s.low > 0.0 && s.high / s.low > 1e3 {
                s.low * libm::pow(s.high / s.low, u)
            } else if s.high - s.low >= 1e9 {
                let half = libm::pow(10.0, lot.unit() * libm::log10(s.high));
                if s.low < 0.0 && u < 0.5 { -half } else { half }
            } else {
                s.low + (s.high - s.low) * u
            };
            let x = if s.whole { x.round() } else { x };
            out.push((s.symbol, x.clamp(s.low, s.high)));
        }
    }
    out
}

#[test]
fn the_printed_formula_is_the_computed_one() {
    for calc in calc::registry().iter().filter(|c| c.closed) {
        let mut lot = Lot(7);
        let mut compared = 0;
        for _ in 0..400 {
            let inputs = sample(calc, &mut lot);
            let Ok(outputs) = calc.evaluate(&inputs) else { continue };
            let mut values: Vec<(String, f64)> = inputs.iter().map(|(s, v)| (s.to_string(), *v)).collect();
            assert_eq!(calc.formula.len(), outputs.len(), "{}: a line for every output", calc.id);
            for (line, (symbol, value)) in calc.formula.iter().zip(&outputs) {
                let (left, e) = expr::parse(line).unwrap_or_else(|| panic!("{}: {line}", calc.id));
                assert_eq!(left, *symbol, "{}", calc.id);
                let again = e.value(&values);
                assert!(
                    (again - value).abs() <= 1e-9 * (value.abs() + again.abs()) + 1e-12,
                    "{}: {line} gives {again}, the function {value}, at {inputs:?}",
                    calc.id
                );
                values.push((left, *value));
            }
            compared += 1;
        }
        assert!(compared > 20, "{}: only {compared} samples could be compared", calc.id);
    }
}

#[test]
fn every_calculation_is_described() {
    let mut ids: Vec<&str> = calc::registry().iter().map(|c| c.id).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), calc::registry().len());
    for c in calc::registry() {
        assert!(!c.checks.is_empty(), "{} has no check", c.id);
        assert!(!c.weak_because.is_empty() && !c.holds_when.is_empty() && !c.sources.is_empty(), "{}", c.id);
        for key in c.sources.iter().chain(c.checks.iter().map(|k| &k.source)) {
            assert!(calc::sources::find(key).is_some(), "{}: no source {key}", c.id);
        }
        if c.closed {
            let mut used = Vec::new();
            for line in c.formula {
                expr::parse(line).unwrap_or_else(|| panic!("{}: {line}", c.id)).1.symbols(&mut used);
            }
            for s in c.symbols {
                assert!(used.iter().any(|u| u == s.symbol), "{} does not use {}", c.id, s.symbol);
            }
            for u in used {
                let known = c.symbols.iter().any(|s| s.symbol == u) || c.outputs.iter().any(|o| o.symbol == u);
                assert!(known, "{} uses the unknown {u}", c.id);
            }
        }
    }
}

#[test]
fn no_input_in_range_makes_a_calculation_hang_or_give_no_number() {
    for calc in calc::registry() {
        let mut lot = Lot(11);
        for round in 0..60 {
            let mut inputs = sample(calc, &mut lot);
            for (i, input) in inputs.iter_mut().enumerate() {
                let s = calc.symbols.iter().find(|s| s.symbol == input.0).expect("a symbol");
                match (round + i) % 3 {
                    0 => input.1 = s.low,
                    1 => input.1 = s.high,
                    _ => {}
                }
            }
            if let Ok(out) = calc.evaluate(&inputs) {
                assert!(out.iter().all(|o| o.1.is_finite()), "{} {inputs:?}", calc.id);
            }
        }
    }
}

/// Cases of a reference set of one kind: id, inputs, expected, tolerance.
fn cases(file: &str, kind: &str) -> Vec<serde_json::Value> {
    let bytes = std::fs::read(crate::builder::tests("reference").join(file)).expect("a reference set");
    let set: serde_json::Value = serde_json::from_slice(&bytes).expect("JSON");
    let all = set["cases"].as_array().expect("cases").clone();
    let out: Vec<_> = all.into_iter().filter(|c| c["kind"] == kind).collect();
    assert!(!out.is_empty(), "no case {kind} in {file}");
    out
}

fn number(case: &serde_json::Value, name: &str) -> f64 {
    case["inputs"][name].as_f64().unwrap_or_else(|| panic!("{}: no {name}", case["id"]))
}

fn list(value: &serde_json::Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|v| v.as_f64().expect("a number")).collect()
}

/// Compares a field within the tolerance that its case states for it, else for all fields.
fn agree(case: &serde_json::Value, field: &str, value: f64) {
    let wanted = case["expected"][field].as_f64().unwrap_or_else(|| panic!("{}: no {field}", case["id"]));
    let t = &case["tolerance"];
    let starred = t
        .as_object()
        .expect("tolerances")
        .iter()
        .find(|(k, _)| k.len() > 1 && k.ends_with('*') && field.starts_with(k.trim_end_matches('*')));
    let t = t.get(field).or(starred.map(|s| s.1)).or(t.get("*")).expect("a tolerance");
    let allowed = if t["exact"] == true {
        0.0
    } else {
        t["abs"].as_f64().unwrap_or(0.0).max(t["rel"].as_f64().unwrap_or(0.0) * wanted.abs())
    };
    assert!((value - wanted).abs() <= allowed, "{} {field}: {value}, wanted {wanted} within {allowed}", case["id"]);
}

#[test]
fn reference_t01_tolerance_factors() {
    use galipot::compute::calc::{lower_tolerance_bound::ltb, tolerance_factor::k};
    use galipot::compute::maths::{mean, sd};
    for c in cases("t01_tolerance_factor.json", "factor") {
        agree(&c, "k", k(number(&c, "n"), number(&c, "coverage"), number(&c, "confidence")));
    }
    for c in cases("t01_tolerance_factor.json", "lower_bound_log10") {
        let x: Vec<f64> = list(&c["inputs"]["resistance_ohm"]).into_iter().map(libm::log10).collect();
        let k = k(x.len() as f64, number(&c, "coverage"), number(&c, "confidence"));
        agree(&c, "mean_log10", mean(&x));
        agree(&c, "sd_log10", sd(&x));
        agree(&c, "lower_log10", ltb(mean(&x), k, sd(&x)));
    }
}

#[test]
fn reference_t02_proportions() {
    use galipot::compute::calc::{non_inferiority, order_statistic, proportion_bounds, success_run};
    use galipot::compute::maths::normal_quantile;
    let file = "t02_proportions.json";
    for c in cases(file, "clopper_pearson") {
        let (low, high) = proportion_bounds::bounds(number(&c, "k"), number(&c, "n"), number(&c, "confidence"));
        agree(&c, "low", low);
        agree(&c, "high", high);
    }
    for c in cases(file, "wilson") {
        let z = normal_quantile(0.5 + 0.5 * number(&c, "confidence"));
        let (n, p) = (number(&c, "n"), number(&c, "k") / number(&c, "n"));
        agree(&c, "low", non_inferiority::wilson(p, n, -z));
        agree(&c, "high", non_inferiority::wilson(p, n, z));
    }
    for c in cases(file, "newcombe_difference") {
        // Two-sided there: the upper end of one less two is our one-sided bound of old less new, in percent.
        let conf = 0.5 + 0.5 * number(&c, "confidence");
        let (x1, n1, x2, n2) = (number(&c, "k1"), number(&c, "n1"), number(&c, "k2"), number(&c, "n2"));
        agree(&c, "high", non_inferiority::newcombe(x2, n2, x1, n1, conf)[5] / 100.0);
        agree(&c, "low", -non_inferiority::newcombe(x1, n1, x2, n2, conf)[5] / 100.0);
    }
    for c in cases(file, "success_run_sample_size") {
        let (r, k) = (number(&c, "reliability"), number(&c, "allowed_failures"));
        let n = success_run::n(r, number(&c, "confidence"), k);
        agree(&c, "n", n);
        agree(&c, "tail_at_n", success_run::tail(n, r, k));
    }
    for c in cases(file, "upper_bound_zero_failures") {
        agree(&c, "lower_reliability", order_statistic::share(number(&c, "n"), number(&c, "confidence")));
    }
    for c in cases(file, "upper_bound_k_failures") {
        let two_sided = 2.0 * number(&c, "confidence") - 1.0;
        agree(&c, "upper", proportion_bounds::bounds(number(&c, "k"), number(&c, "n"), two_sided).1);
    }
}

#[test]
fn reference_t04_charts_and_capability() {
    use galipot::compute::calc::{capability, individuals_limits};
    use galipot::compute::maths::{mean, moving_range, sd};
    for c in cases("t04_control.json", "i_mr") {
        let x = list(&c["inputs"]["x"]);
        let (upper, lower) = individuals_limits::limits(mean(&x), moving_range(&x));
        agree(&c, "mr_bar", moving_range(&x));
        agree(&c, "ucl_x_table", upper);
        agree(&c, "lcl_x_table", lower);
    }
    for c in cases("t04_control.json", "capability") {
        let x = list(&c["inputs"]["x"]);
        let n = x.len() as f64;
        // A specification with one end only is far away on the other side.
        let end = |name: &str, open: f64| c["inputs"][name].as_f64().unwrap_or(open);
        let (ppk, lower) = capability::cpk(mean(&x), sd(&x), n, end("lsl", -1e15), end("usl", 1e15), 0.95);
        agree(&c, "ppk", ppk);
        agree(&c, "ppk_lower95_bissell", lower);
    }
}

#[test]
fn reference_t05_dew_point_by_magnus_and_against_full_psychrometry() {
    use galipot::compute::calc::dew_point::dew;
    for c in cases("t05_humidity.json", "point") {
        let (t, rh) = (number(&c, "t_C"), number(&c, "rh_percent"));
        let (es, _, td) = dew(t, rh);
        agree(&c, "magnus_es_Pa", 100.0 * es);
        agree(&c, "magnus_dew_C", td);
        // WMO-No. 8 annex 4.B against a psychrometric library: 0.09 K to 60 degC, 0.31 K to 85 degC, above frost.
        let full = c["expected"]["psychrolib_dew_C"].as_f64().expect("a dew point");
        if td >= 0.0 {
            let within = if t <= 60.0 { 0.09 } else { 0.31 };
            assert!((td - full).abs() <= within, "{}: {td} against {full}", c["id"]);
        }
    }
}

#[test]
fn reference_t08_ions() {
    use galipot::compute::calc::{charge_balance, ions, nacl_equivalent};
    for c in cases("t08_ions.json", "ion") {
        let ion = ions::find(c["inputs"]["ion"].as_str().expect("a name")).expect("a known ion");
        agree(&c, "molar_mass", ion.molar_mass);
        agree(&c, "charge", ion.charge);
    }
    for c in cases("t08_ions.json", "charge_balance") {
        let (mut plus, mut minus) = (Vec::new(), Vec::new());
        for (name, mass) in c["inputs"]["mass_ug"].as_object().expect("masses") {
            let ion = ions::find(name).unwrap_or_else(|| panic!("{name}"));
            let charge = mass.as_f64().expect("a mass") / ion.molar_mass * ion.charge;
            if charge > 0.0 { plus.push(charge) } else { minus.push(-charge) }
        }
        agree(&c, "charge_balance_error_percent", charge_balance::cbe(&plus, &minus));
    }
    for c in cases("t08_ions.json", "nacl_conductivity") {
        let w = nacl_equivalent::w(number(&c, "kappa_uS_per_cm"), number(&c, "lambda0_S_cm2_per_mol"));
        agree(&c, "nacl_ug_per_mL_limiting", w);
    }
}

#[test]
fn reference_t09_readings_at_the_ceiling() {
    let mut compared = 0;
    for c in cases("t09_lognormal.json", "lognormal_mle") {
        let i = &c["inputs"];
        let logs = |name: &str| list(&i[name]).into_iter().map(libm::log10).collect::<Vec<_>>();
        let other =
            i["interval_ohm"].as_array().is_none_or(|a| a.is_empty()) && logs("left_censored_at_ohm").is_empty();
        if !other || c["expected"]["status"] != "ok" {
            continue;
        }
        let fit = galipot::compute::calc::censored_fit::fit(&logs("exact_ohm"), &logs("right_censored_at_ohm"));
        let (m, s) = fit.unwrap_or_else(|e| panic!("{}: {e}", c["id"]));
        agree(&c, "mean_log10", m);
        agree(&c, "sd_log10_mle", s);
        compared += 1;
    }
    assert!(compared >= 3, "{compared}");
}

#[test]
fn reference_t11_mass_per_area() {
    for c in cases("t11_gum.json", "mass_per_area") {
        let q = |name: &str| c["inputs"]["quantities"][name]["value"].as_f64().expect("a value");
        let y = galipot::compute::calc::ionic_content::c(q("c"), q("blank"), 0.0, q("V"), q("dilution"), q("A"));
        agree(&c, "y", y);
    }
}

/// Columns of a comma-separated file of numbers; cells that are none are NaN.
fn columns(file: &str) -> Vec<Vec<f64>> {
    let text = std::fs::read_to_string(crate::builder::tests("reference").join(file)).expect("a log");
    let width = text.lines().next().expect("a header").split(',').count();
    let mut out = vec![Vec::new(); width];
    for line in text.lines().skip(1) {
        for (column, cell) in out.iter_mut().zip(line.split(',')) {
            column.push(cell.trim().parse().unwrap_or(f64::NAN));
        }
    }
    out
}

#[test]
fn reference_t12_minima_and_drops_of_a_synthetic_log() {
    use galipot::compute::calc::{drop_events, window_minimum};
    let log = columns("t12_sir_24.csv");
    let mut with_drops = Vec::new();
    for c in cases("t12_sir_series.json", "sir_channel") {
        if c["inputs"]["csv"] != "t12_sir_24.csv" {
            continue;
        }
        let ceiling = number(&c, "ceiling_ohm");
        let channel = &log[3 + number(&c, "channel") as usize];
        let (t, x): (Vec<f64>, Vec<f64>) = log[1]
            .iter()
            .zip(channel)
            .filter(|(_, r)| !r.is_nan())
            .map(|(t, r)| (*t, libm::log10(r.min(ceiling))))
            .unzip();
        agree(&c, "n_valid", x.len() as f64);
        let raw = t.iter().zip(&x).filter(|(t, _)| **t >= 24.0).map(|p| *p.1).fold(f64::INFINITY, f64::min);
        agree(&c, "min_after_24h_ohm", libm::pow(10.0, raw));
        // The median of three never lies below the lowest reading; only a drop moves it by more than noise does.
        let (smooth, _) = window_minimum::minimum(&t, &x, 24.0, 168.0).expect("readings");
        let late = drop_events::drops(&x).into_iter().filter(|d| t[d.first] >= 24.0).collect::<Vec<_>>();
        let most = if late.is_empty() { 0.25 } else { 1.0 };
        assert!((0.0..most).contains(&(smooth - raw)), "{}: {smooth} {raw}", c["id"]);
        for d in c["expected"]["drops"].as_array().expect("drops") {
            let start = d["start_h"].as_f64().expect("a time");
            assert!(late.iter().any(|d| (t[d.first] - start).abs() < 0.4), "{}: drop at {start} h", c["id"]);
        }
        if !late.is_empty() {
            with_drops.push(c["inputs"]["kind_generated"].as_str().expect("a kind").to_string());
        }
    }
    // Half a decade is half of what the reference calls a drop, so the channel that stays near a decade counts too.
    assert_eq!(with_drops, ["dendrite2", "near_decade"]);
}

#[test]
fn reference_t13_reflow_profiles() {
    use galipot::compute::calc::profile_facts::facts;
    for c in cases("t13_reflow.json", "reflow_channel") {
        let table = columns(c["inputs"]["csv"].as_str().expect("a file"));
        let f = facts(&table[0], &table[number(&c, "channel") as usize], number(&c, "liquidus_C")).expect("a profile");
        agree(&c, "peak_C", f.peak);
        agree(&c, "tal_s", f.tal);
        agree(&c, "soak_s", f.soak);
        agree(&c, "ramp_up_max_C_per_s", f.ramp);
    }
}

/// A known slope that every sampled input must keep: raising the symbol must not lower (1) or raise (-1) the output.
const SLOPES: &[(&str, &str, &str, f64)] = &[
    ("tolerance_factor", "n", "k", -1.0),
    ("tolerance_factor", "p", "k", 1.0),
    ("tolerance_factor", "conf", "k", 1.0),
    ("cluster_size", "n", "n_eff", 1.0),
    ("cluster_size", "r", "n_eff", -1.0),
    ("lower_tolerance_bound", "mean", "LTB", 1.0),
    ("upper_tolerance_bound_log", "s_lg", "UTB", 1.0),
    ("order_statistic", "n", "share", 1.0),
    ("margin_lower", "g", "margin", -1.0),
    ("margin_upper", "g", "margin", -1.0),
    ("margin_range", "g", "margin", -1.0),
    ("paired_shift", "s", "shift", 1.0),
    ("paired_shift", "n", "shift", -1.0),
    ("capability", "s", "Cpk", -1.0),
    ("capability", "n", "lower", 1.0),
    ("detection_probability", "d", "P", -1.0),
    ("ionic_content", "LOD", "c", 1.0),
    ("ionic_content", "A", "c", -1.0),
    ("pair_leakage", "R_comb", "I", -1.0),
    ("pair_leakage", "facing", "I", 1.0),
    ("field_strength", "spacing", "E", -1.0),
    ("residue_fill", "h", "fill", -1.0),
    ("dew_point", "RH", "Td", 1.0),
    ("surface_humidity", "Ts", "RHs", -1.0),
    ("non_inferiority", "x2", "upper", 1.0),
    ("proportion_bounds", "k", "high", 1.0),
    ("proportion_bounds", "conf", "low", -1.0),
    ("success_run", "C", "n", 1.0),
];

#[test]
fn results_move_the_way_they_must() {
    for (id, symbol, output, sign) in SLOPES {
        let calc = calc::find(id).unwrap_or_else(|| panic!("no {id}"));
        let s = calc.symbols.iter().find(|s| s.symbol == *symbol).unwrap_or_else(|| panic!("{id} has no {symbol}"));
        let mut lot = Lot(3);
        let mut compared = 0;
        for _ in 0..300 {
            let low = sample(calc, &mut lot);
            let mut high = low.clone();
            let at = high.iter().position(|i| i.0 == *symbol).expect("the symbol");
            let raised = high[at].1 + (s.high - high[at].1) * lot.unit() * lot.unit();
            high[at].1 = if s.whole { raised.round() } else { raised }.min(s.high);
            let result = |inputs: &[(&str, f64)]| {
                calc.evaluate(inputs).ok().and_then(|o| o.iter().find(|o| o.0 == *output).map(|o| o.1))
            };
            let (Some(a), Some(b)) = (result(&low), result(&high)) else { continue };
            // A capability that is negative already does not fall by more spread.
            if *id == "capability" && (a <= 0.0 || b <= 0.0) {
                continue;
            }
            assert!(
                sign * (b - a) >= -1e-9 * (a.abs() + b.abs()),
                "{id}: {symbol} moves {output} from {a} to {b}: {low:?}"
            );
            compared += 1;
        }
        assert!(compared > 10, "{id} {symbol}: {compared}");
    }
}

proptest::proptest! {
    #[test]
    fn no_series_makes_minima_drops_or_slopes_panic(x in proptest::collection::vec(-5.0f64..16.0, 0..60)) {
        use galipot::compute::calc::{drift_slope, drop_events, window_minimum};
        let t: Vec<f64> = (0..x.len()).map(|i| i as f64).collect();
        let lowest = x.iter().copied().fold(f64::INFINITY, f64::min);
        if let Some((m, i)) = window_minimum::minimum(&t, &x, 5.0, 50.0) {
            proptest::prop_assert!(m >= lowest && (5.0..=50.0).contains(&t[i]));
        }
        let drops = drop_events::drops(&x);
        for d in &drops {
            proptest::prop_assert!(d.first <= d.last && d.last < x.len() && d.depth >= drop_events::DEPTH);
        }
        // A shift of the whole series changes no drop.
        let moved: Vec<f64> = x.iter().map(|v| v + 1.0).collect();
        proptest::prop_assert_eq!(drops.len(), drop_events::drops(&moved).len());
        let _ = drift_slope::slope(&t, &x);
    }

    #[test]
    fn no_number_makes_a_calculation_panic(values in proptest::collection::vec(proptest::num::f64::ANY, 8), which in 0usize..100) {
        let all = calc::registry();
        let calc = all[which % all.len()];
        let inputs: Vec<(&str, f64)> = calc.symbols.iter().zip(&values).map(|(s, v)| (s.symbol, *v)).collect();
        if let Ok(out) = calc.evaluate(&inputs) {
            proptest::prop_assert!(out.iter().all(|o| o.1.is_finite()));
            proptest::prop_assert!(!calc.substitute(&inputs, &out).is_empty());
        }
    }

    #[test]
    fn exact_bounds_hold_the_share_between_them(n in 1u32..100_000, part in 0.0f64..=1.0, conf in 0.5f64..0.9999) {
        let k = (f64::from(n) * part).round();
        let (low, high) = calc::proportion_bounds::bounds(k, f64::from(n), conf);
        proptest::prop_assert!(low <= k / f64::from(n) && k / f64::from(n) <= high && low >= 0.0 && high <= 1.0);
    }

    #[test]
    fn any_text_is_a_formula_or_none(text in "[a-z0-9 =+*/()^.,-]{0,40}") {
        if let Some((_, e)) = expr::parse(&text) {
            let printed = e.print();
            let again = expr::parse(&format!("y = {printed}"));
            proptest::prop_assert_eq!(again.map(|a| a.1.print()), Some(printed));
        }
    }
}

/// One calculation with its outputs.
fn result(id: &str, inputs: &[(&str, f64)], output: &str) -> f64 {
    let out =
        calc::find(id).unwrap_or_else(|| panic!("no {id}")).evaluate(inputs).unwrap_or_else(|e| panic!("{id}: {e}"));
    out.iter().find(|o| o.0 == output).unwrap_or_else(|| panic!("{id} gives no {output}")).1
}

/// Within half of the last printed digit.
fn near(value: f64, printed: f64, half: f64) {
    assert!((value - printed).abs() <= half, "{value}, printed {printed}");
}

#[test]
fn nist_7_2_6_3_tolerance_interval_of_silicon_wafers() {
    // n 43, 90 % coverage, 99 % confidence: the handbook's approximate k1 is 1.8751896, the exact one 1.8739536.
    let k = result("tolerance_factor", &[("n", 43.0), ("p", 0.9), ("conf", 0.99)], "k");
    near(k, 1.8739536, 5e-8);
    near(k, 1.8751896, 2e-3);
    near(result("lower_tolerance_bound", &[("mean", 97.07), ("k", k), ("s", 0.0268)], "LTB"), 97.0198, 5e-5);
}

#[test]
fn nist_6_3_2_2_individuals_chart_of_flow_rates() {
    // The ten flow rates are from memory of the handbook; mean 50.81, moving range 1.8778, limits 55.8041 and 45.8159
    // recomputed with d2 = 1.128. The rounded 2.66 is within 0.001 of it.
    use galipot::compute::maths::{mean, moving_range};
    let x = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    near(mean(&x), 50.81, 1e-9);
    near(moving_range(&x), 1.8778, 5e-5);
    near(result("individuals_limits", &[("mean", mean(&x)), ("MR", moving_range(&x))], "UCL"), 55.8041, 1e-3);
    near(result("individuals_limits", &[("mean", mean(&x)), ("MR", moving_range(&x))], "LCL"), 45.8159, 1e-3);
}

#[test]
fn nist_7_2_4_2_confidence_interval_of_a_proportion() {
    let inputs = [("k", 4.0), ("n", 20.0), ("conf", 0.9)];
    near(result("proportion_bounds", &inputs, "low"), 0.071354, 5e-7);
    near(result("proportion_bounds", &inputs, "high"), 0.401028, 5e-7);
    near(result("proportion_bounds", &[("k", 0.0), ("n", 12.0), ("conf", 0.9)], "high"), 0.220922, 5e-7);
}

#[test]
fn ilac_g8_guarded_acceptance_of_a_value_above_its_limit() {
    // Limit 8.000, expanded uncertainty 0.200: 8.100 passes simply and fails guarded; false accept 0.158655.
    let g = result("guard_band", &[("f", 2.0), ("u", 0.1)], "g");
    assert!(result("margin_lower", &[("x", 8.1), ("g", 0.0), ("LIM", 8.0)], "margin") > 0.0);
    assert!(result("margin_lower", &[("x", 8.1), ("g", g), ("LIM", 8.0)], "margin") < 0.0);
    near(galipot::compute::maths::normal_cdf(-0.1 / 0.1), 0.158655, 5e-7);
}

#[test]
fn iec_61189_5_501_squares_of_the_b_24_comb() {
    near(result("comb_squares", &[("gaps", 34.0), ("overlap", 15.0), ("space", 0.5)], "N"), 1020.0, 0.5);
}

#[test]
fn ipc_tm_650_2_6_3_5_average_insulation_resistance() {
    // IR_avg = 10^[(1/N) sum log10 IR]; means of six combs before and after the bias.
    use galipot::compute::maths::mean;
    let start = mean(&[10.12, 9.88, 10.31, 9.95, 10.02, 10.20]);
    let end = mean(&[9.75, 9.41, 9.98, 9.62, 9.70, 9.83]);
    near(result("ecm_ratio", &[("lg_end", end), ("lg_start", start)], "r"), 0.43, 0.005);
    near(result("log_mean", &[("sum_lg", 6.0 * start), ("n", 6.0)], "GM") / 1.2e10, 1.0, 0.005);
}

#[test]
fn ipc_7525_area_ratio_of_small_apertures() {
    let fine = result("area_ratio_circle", &[("D", 0.22), ("T", 0.10)], "AR");
    assert!(fine < 0.66 && result("area_ratio_circle", &[("D", 0.22), ("T", 0.08)], "AR") >= 0.66);
    near(result("area_ratio_rectangle", &[("L", 0.55), ("W", 0.23), ("T", 0.10)], "AR"), 0.81, 0.005);
}

#[test]
fn wmo_8_annex_4_b_dew_point_margins_of_two_test_climates() {
    // 1.96 K at 40 degC and 90 %RH, 4.03 K at 85 degC and 85 %RH (computed from the annex).
    for (t, rh, margin) in [(40.0, 90.0, 1.96), (85.0, 85.0, 4.03)] {
        let td = result("dew_point", &[("T", t), ("RH", rh)], "Td");
        near(result("dew_margin", &[("Ts", t), ("Td", td)], "margin"), margin, 0.005);
    }
}

#[test]
fn success_runs_of_common_practice() {
    for (c, r, n) in [(0.9, 0.9, 22.0), (0.95, 0.9, 29.0), (0.9, 0.95, 45.0), (0.95, 0.95, 59.0), (0.95, 0.99, 299.0)] {
        near(result("success_run", &[("R", r), ("C", c), ("k", 0.0)], "n"), n, 0.0);
    }
}

#[test]
fn a_sheet_shows_the_formula_with_its_numbers() {
    let c = calc::find("lower_tolerance_bound").expect("it is registered");
    let inputs = [("mean", 9.62), ("k", 3.659), ("s", 0.33)];
    let out = c.evaluate(&inputs).expect("a bound");
    assert_eq!(c.printed(), "LTB = mean - k * s");
    assert_eq!(c.substitute(&inputs, &out), "LTB = 9.62000 - 3.65900 * 0.330000 = 8.41253");
}
