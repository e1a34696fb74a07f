//! Properties of the statistics that hold for all readings: order, units, duality of tests and intervals, coverage.

use galipot::compute::calc::{
    censored_fit, equivalence_means, fisher_exact, lower_tolerance_bound, mann_kendall, mann_whitney, mass_per_area,
    newcombe_difference, proportion_bounds, proportion_upper, success_run, theil_sen, tolerance_factor, weibull_fit,
    welch, wilson_interval,
};
use galipot::compute::maths::{
    Readings, beta_tails, mean, normal_fit, normal_quantile, sd, t_cdf, t_quantile, tolerance_k,
};
use proptest::collection::vec;
use proptest::prelude::*;

/// Lower tolerance bound of readings.
fn ltb(x: &[f64], p: f64, conf: f64) -> f64 {
    lower_tolerance_bound::ltb(mean(x), tolerance_factor::k(x.len() as f64, p, conf), sd(x))
}

fn close(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * (1.0 + a.abs().max(b.abs()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn more_readings_at_the_same_spread_never_lower_the_bound(
        n in 2u32..2000, more in 1u32..500, p in 0.5f64..0.9999, conf in 0.5f64..0.9999,
    ) {
        let k = |n: u32| tolerance_k(f64::from(n), p, conf);
        prop_assert!(k(n + more) <= k(n) + 1e-12);
    }

    #[test]
    fn a_lower_lowest_reading_never_raises_the_bound(
        x in vec(7.0f64..12.0, 2..30), by in 0.0f64..4.0, p in 0.9f64..0.999, conf in 0.9f64..0.99,
    ) {
        // A reading at or below the mean, made lower, lowers the mean and widens the spread.
        let mut lower = x.clone();
        let lowest = (0..x.len()).min_by(|i, j| x[*i].total_cmp(&x[*j])).expect("readings");
        lower[lowest] -= by;
        prop_assert!(ltb(&lower, p, conf) <= ltb(&x, p, conf) + 1e-9);
    }

    #[test]
    fn bounds_move_with_the_unit(
        x in vec(7.0f64..12.0, 2..30), scale in 0.01f64..100.0, shift in -20.0f64..20.0, p in 0.5f64..0.999,
    ) {
        // Decades or nepers, ohm or megohm: a change of unit is a straight line on the log axis.
        let moved: Vec<f64> = x.iter().map(|v| scale * v + shift).collect();
        prop_assert!(close(ltb(&moved, p, 0.95), scale * ltb(&x, p, 0.95) + shift, 1e-9));
    }

    #[test]
    fn censored_fits_move_with_the_unit(
        x in vec(8.0f64..11.0, 3..20), above in vec(9.0f64..12.0, 0..10), between in vec((8.0f64..10.0, 0.1f64..2.0), 0..5),
        scale in 0.1f64..10.0, shift in -5.0f64..5.0,
    ) {
        let r = |f: &dyn Fn(f64) -> f64| Readings {
            exact: x.iter().map(|v| f(*v)).collect(),
            above: above.iter().map(|v| f(*v)).collect(),
            below: Vec::new(),
            between: between.iter().map(|(a, w)| (f(*a), f(a + w))).collect(),
        };
        let (one, two) = (normal_fit(&r(&|v| v)), normal_fit(&r(&|v| scale * v + shift)));
        let (one, two) = (one.expect("two different readings"), two.expect("two different readings"));
        prop_assert!(close(two.mean, scale * one.mean + shift, 1e-7), "{one:?} {two:?}");
        prop_assert!(close(two.s, scale * one.s, 1e-7) && close(two.var_mean, scale * scale * one.var_mean, 1e-6));
    }

    #[test]
    fn a_reading_cut_off_at_its_ceiling_raises_the_mean(x in vec(8.0f64..11.0, 4..20)) {
        // What was read as 11 and may be anything above it can only be more.
        let known = censored_fit::fit(&[&x[..], &[11.0]].concat(), &[]);
        let cut = censored_fit::fit(&x, &[11.0]);
        if let (Ok(known), Ok(cut)) = (known, cut) {
            prop_assert!(cut.0 >= known.0 - 1e-9 && cut.1 >= known.1 - 1e-9, "{known:?} {cut:?}");
        }
    }

    #[test]
    fn censoring_never_narrows_the_interval_of_the_mean(x in vec(8.0f64..11.0, 6..25), cut in 1usize..4) {
        // The information lost is never below none: the upper readings are known only to lie above the cut.
        let mut v = x.clone();
        v.sort_by(f64::total_cmp);
        let ceiling = v[v.len() - cut];
        let full = normal_fit(&Readings { exact: v.clone(), ..Readings::default() }).expect("a fit");
        let cut = normal_fit(&Readings { exact: v[..v.len() - cut].to_vec(), above: vec![ceiling; cut], ..Readings::default() });
        let cut = cut.expect("a fit");
        // At the same spread.
        prop_assert!(cut.var_mean / (cut.s * cut.s) >= full.var_mean / (full.s * full.s) - 1e-9);
        prop_assert!(cut.var_s / (cut.s * cut.s) >= full.var_s / (full.s * full.s) - 1e-9);
    }

    #[test]
    fn clopper_pearson_ends_where_the_exact_test_does(k in 0u32..400, extra in 0u32..400, conf in 0.5f64..0.9999) {
        let (k, n) = (f64::from(k), f64::from((k + extra).max(1)));
        let (low, high) = proportion_bounds::bounds(k, n, conf);
        let tail = 0.5 * (1.0 - conf);
        // P(X >= k; low) and P(X <= k; high) are the tail.
        if k > 0.0 {
            prop_assert!((beta_tails(k, n - k + 1.0, low, 1.0 - low).0 - tail).abs() < 1e-9);
        } else {
            prop_assert_eq!(low, 0.0);
        }
        if k < n {
            prop_assert!((beta_tails(k + 1.0, n - k, high, 1.0 - high).1 - tail).abs() < 1e-9);
        } else {
            prop_assert_eq!(high, 1.0);
        }
        prop_assert!(low <= k / n && k / n <= high);
        let (w_low, w_high) = wilson_interval::interval(k, n, conf);
        prop_assert!(0.0 <= w_low && w_low <= k / n && k / n <= w_high && w_high <= 1.0);
        // Failures and successes change places.
        let (other_low, other_high) = proportion_bounds::bounds(n - k, n, conf);
        prop_assert!(close(1.0 - other_high, low, 1e-12) && close(1.0 - other_low, high, 1e-12));
    }

    #[test]
    fn a_success_run_is_the_first_that_shows_it(r in 500u32..9999, c in 100u32..9999, k in 0u32..6) {
        let (r, c, k) = (f64::from(r) / 1e4, f64::from(c) / 1e4, f64::from(k));
        let n = success_run::n(r, c, k);
        prop_assert!(success_run::tail(n, r, k) <= (1.0 - c) * (1.0 + 1e-12));
        prop_assert!(n == k + 1.0 || success_run::tail(n - 1.0, r, k) > (1.0 - c) * (1.0 - 1e-12));
        // The upper bound of k failures in n says the same.
        prop_assert!(1.0 - proportion_upper::upper(k, n, c) >= r - 1e-9);
    }

    #[test]
    fn newcombe_turns_round_with_the_groups(k1 in 0u32..60, m1 in 0u32..60, k2 in 0u32..60, m2 in 0u32..60, conf in 0.5f64..0.999) {
        let (k1, k2) = (f64::from(k1), f64::from(k2));
        let (n1, n2) = ((k1 + f64::from(m1)).max(1.0), (k2 + f64::from(m2)).max(1.0));
        let (d, low, high) = newcombe_difference::difference(k1.min(n1), n1, k2.min(n2), n2, conf);
        let (e, other_low, other_high) = newcombe_difference::difference(k2.min(n2), n2, k1.min(n1), n1, conf);
        prop_assert!(close(d, -e, 1e-14) && close(low, -other_high, 1e-14) && close(high, -other_low, 1e-14));
        prop_assert!((-1.0 - 1e-12..=d).contains(&low) && (d..=1.0 + 1e-12).contains(&high));
    }

    #[test]
    fn fisher_does_not_mind_the_order_of_rows_and_columns(a in 0u32..40, b in 0u32..40, c in 0u32..40, d in 0u32..40) {
        let [a, b, c, d] = [a, b, c, d].map(f64::from);
        let p = fisher_exact::test(a, b, c, d);
        for q in [fisher_exact::test(d, c, b, a), fisher_exact::test(a, c, b, d)] {
            prop_assert!(close(p.two, q.two, 1e-12) && close(p.less, q.less, 1e-12), "{p:?} {q:?}");
        }
        let turned = fisher_exact::test(b, a, d, c);
        prop_assert!(close(p.two, turned.two, 1e-12) && close(p.less, turned.greater, 1e-12));
        prop_assert!(p.less + p.greater >= 1.0 - 1e-12 && p.two <= 1.0);
    }

    #[test]
    fn welch_holds_nothing_where_its_chance_is_small(
        a in vec(8.0f64..9.0, 2..12), b in vec(8.0f64..9.5, 2..12), conf in 0.5f64..0.999,
    ) {
        let Ok(d) = welch::difference(&a, &b, conf) else { return Ok(()) };
        prop_assume!((d.p - (1.0 - conf)).abs() > 1e-9);
        prop_assert_eq!(d.p < 1.0 - conf, d.low > 0.0 || d.high < 0.0);
        prop_assert!(d.nu >= (a.len().min(b.len()) - 1) as f64 - 1e-9 && d.nu <= (a.len() + b.len() - 2) as f64 + 1e-9);
        // Two one-sided tests and their interval agree as well.
        let delta = 0.3;
        let e = equivalence_means::shown(d.diff, d.error, d.nu, delta, conf);
        prop_assume!((e.p - (1.0 - conf)).abs() > 1e-9);
        prop_assert_eq!(e.shown, e.p < 1.0 - conf);
    }

    #[test]
    fn student_quantile_undoes_its_share(p in 1e-6f64..0.999999, nu in 1.0f64..1e5) {
        prop_assert!((t_cdf(t_quantile(p, nu), nu) - p).abs() < 1e-10);
    }

    #[test]
    fn trends_turn_with_the_series(y in vec(-3i32..3, 2..25)) {
        let y: Vec<f64> = y.into_iter().map(f64::from).collect();
        let turned: Vec<f64> = y.iter().rev().copied().collect();
        let (t, r) = (mann_kendall::test(&y).expect("two"), mann_kendall::test(&turned).expect("two"));
        prop_assert_eq!((t.s, t.z), (-r.s, -r.z));
        // Pair by pair.
        let slow: i64 = (0..y.len()).flat_map(|i| (0..i).map(move |j| (i, j))).map(|(i, j)| (y[i] > y[j]) as i64 - (y[i] < y[j]) as i64).sum();
        prop_assert_eq!(t.s, slow);
        let x: Vec<f64> = (0..y.len()).map(|i| i as f64).collect();
        let l = theil_sen::line(&x, &y, 0.95).expect("a line");
        let (low, high) = l.interpolated.expect("no ties in x");
        prop_assert!(low <= l.slope && l.slope <= high);
        // A tilt of the series tilts the slope.
        let tilted: Vec<f64> = y.iter().zip(&x).map(|(y, x)| y + 2.0 * x).collect();
        prop_assert!(close(theil_sen::line(&x, &tilted, 0.95).expect("a line").slope, l.slope + 2.0, 1e-12));
    }

    #[test]
    fn mann_whitney_counts_pairs_and_its_forms_agree(a in vec(0u32..1000, 1..12), b in vec(0u32..1000, 1..12)) {
        let [a, b] = [a, b].map(|v| v.into_iter().map(f64::from).collect::<Vec<f64>>());
        let t = mann_whitney::test(&a, &b);
        let pairs: f64 = a.iter().flat_map(|x| b.iter().map(move |y| if x > y { 1.0 } else if x < y { 0.0 } else { 0.5 })).sum();
        prop_assert_eq!((t.u1, t.u1 + t.u2), (pairs, (a.len() * b.len()) as f64));
        let turned = mann_whitney::test(&b, &a);
        prop_assert!(close(t.corrected, turned.corrected, 1e-13));
        if let (Some(p), Some(q)) = (t.exact, turned.exact) {
            prop_assert!(close(p, q, 1e-12) && p > 0.0 && p <= 1.0);
        }
    }

    #[test]
    fn weibull_bounds_hold_the_estimate_and_move_with_the_unit(
        t in vec(1.0f64..1000.0, 2..15), cut in vec(1.0f64..1500.0, 0..10), scale in 0.001f64..1000.0,
    ) {
        let Ok(l) = weibull_fit::fit(&t, &cut) else { return Ok(()) };
        let q = l.quantile(0.1, 0.9);
        prop_assert!(q.ratio.0 < q.time && q.time < q.ratio.1 && q.wald.0 < q.time && q.time < q.wald.1, "{q:?}");
        let by = |v: &[f64]| v.iter().map(|x| x * scale).collect::<Vec<f64>>();
        let other = weibull_fit::fit(&by(&t), &by(&cut)).expect("as before");
        prop_assert!((other.beta / l.beta - 1.0).abs() < 1e-9 && (other.eta / (l.eta * scale) - 1.0).abs() < 1e-9);
        prop_assert!((other.quantile(0.1, 0.9).ratio.0 / (q.ratio.0 * scale) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn uncertainty_grows_with_every_part(c in 0.1f64..5.0, u in vec(0.0f64..0.1, 5), which in 0usize..5) {
        let value = [c, 0.05, 50.0, 1.0, 100.0];
        let parts = |u: &[f64]| [0, 1, 2, 3, 4].map(|i| (value[i], u[i] * value[i]));
        let more: Vec<f64> = (0..5).map(|i| if i == which { u[i] + 0.01 } else { u[i] }).collect();
        let (one, two) = (mass_per_area::combine(parts(&u), 0.0), mass_per_area::combine(parts(&more), 0.0));
        prop_assert!(two.u >= one.u && one.y == two.y);
        prop_assert!(one.u == 0.0 || close(one.share.iter().sum::<f64>(), 1.0, 1e-12));
    }
}

/// SplitMix64 of Steele, Lea and Flood (2014), seeded; each number in turn gives a share strictly between 0 and 1.
struct Draws(u64);

impl Draws {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64 + 0.5 / (1u64 << 53) as f64
    }

    /// Standard normal values, through the quantile.
    fn normal(&mut self) -> f64 {
        normal_quantile(self.unit())
    }
}

#[test]
fn tolerance_bounds_hold_as_often_as_they_say() {
    // The bound of a standard normal sample is right when at least the share p lies above it.
    const SAMPLES: u32 = 10_000;
    let mut draws = Draws(20_260_101);
    for (n, p, conf) in [(3, 0.9, 0.9), (8, 0.99, 0.95), (13, 0.99, 0.95), (24, 0.95, 0.5)] {
        let k = tolerance_k(f64::from(n), p, conf);
        let quantile = normal_quantile(1.0 - p);
        let mut right = 0u32;
        for _ in 0..SAMPLES {
            let x: Vec<f64> = (0..n).map(|_| draws.normal()).collect();
            right += u32::from(mean(&x) - k * sd(&x) <= quantile);
        }
        // Four standard errors of the count.
        let error = 4.0 * (conf * (1.0 - conf) / f64::from(SAMPLES)).sqrt();
        let share = f64::from(right) / f64::from(SAMPLES);
        assert!((share - conf).abs() <= error, "n {n} p {p} conf {conf}: {share}, error {error}");
    }
}

#[test]
fn exact_proportion_bounds_hold_at_least_as_often_as_they_say() {
    // Summed over all outcomes, no draws needed.
    for (n, p) in [(12u32, 0.05f64), (24, 0.3), (60, 0.5), (150, 0.01)] {
        let mut held = 0.0;
        let mut chance = libm::pow(1.0 - p, f64::from(n));
        for k in 0..=n {
            let (low, high) = proportion_bounds::bounds(f64::from(k), f64::from(n), 0.9);
            if low <= p && p <= high {
                held += chance;
            }
            chance *= f64::from(n - k) / f64::from(k + 1) * p / (1.0 - p);
        }
        assert!(held >= 0.9 - 1e-12, "{n} {p}: {held}");
    }
}
