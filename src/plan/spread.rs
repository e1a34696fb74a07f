//! Takes what plans cost as sums of products of uncertain numbers; gives the spread of what each saves, simulated and exact.

use super::counts::Bins;
use super::moments::mean_of_product;
use super::poly::Poly;
use super::products::{Column, Products, ROWS, Sum};
use crate::compute::maths::distribution::Distribution;
use crate::compute::maths::random::Random;
use crate::compute::maths::sampler::Sampler;
use crate::compute::maths::simulate::BLOCK;
use crate::model::planning::Spread;
use rayon::prelude::*;

/// A plan: packages with their outcomes on each path, and what the path costs. Exactly one path comes up, however the
/// packages come out.
#[derive(Debug, Clone)]
pub struct Case {
    pub paths: Vec<(Vec<(usize, bool)>, Poly)>,
}

/// What every plan saves against `keep`. One draw draws every number of `of` once, then the outcome of every package by
/// its chance in that draw; all plans see the same numbers and outcomes.
pub fn spreads(
    of: &[Distribution],
    chances: &[Poly],
    keep: &Poly,
    cases: &[Case],
    seed: u64,
    draws: usize,
) -> Vec<Spread> {
    if cases.is_empty() || draws == 0 {
        return Vec::new();
    }
    let model = Model::new(of, chances, keep, cases);
    // One block after the other, in each the values of one plan after the other.
    let mut values = vec![0.0; draws * cases.len()];
    let size = BLOCK * cases.len();
    let sums: Vec<Vec<Total>> = values
        .par_chunks_mut(size)
        .zip(Random::blocks(seed, draws.div_ceil(BLOCK)))
        .map_init(|| model.room(), |room, (out, mut random)| model.block(room, &mut random, out))
        .collect();
    let one = |(i, case): (usize, &Case)| {
        let blocks: Vec<&[f64]> = values.chunks(size).map(|b| plan(b, cases.len(), i)).collect();
        let total = sums.iter().map(|s| s[i]).fold(Total::default(), Total::plus);
        let (exact_mean, exact_variance) = exact(of, chances, keep, case);
        let n = draws as f64;
        let mean = total.sum / n;
        let bins = Bins::new(total.least, total.most);
        let counts = bins.count(&blocks, mean);
        let sd = (counts.squares / (n - 1.0).max(1.0)).sqrt();
        let quantiles = bins.quantiles(&blocks, &counts, &[0.05, 0.5, 0.95]);
        Spread {
            mean,
            sd,
            error: sd / n.sqrt(),
            exact_mean,
            exact_sd: exact_variance.max(0.0).sqrt(),
            p5: quantiles[0],
            p50: quantiles[1],
            p95: quantiles[2],
            loss: counts.below as f64 / n,
            histogram: bins.histogram(&counts),
        }
    };
    cases.par_iter().enumerate().map(|(i, case)| one((i, case))).collect()
}

/// Exact mean and variance of what a plan saves: sums over its paths of chance times saving, and chance times squared
/// distance of the saving from its mean.
fn exact(of: &[Distribution], chances: &[Poly], keep: &Poly, case: &Case) -> (f64, f64) {
    let sum = |power: usize, from: f64| {
        let path = |(outcomes, cost): &(Vec<(usize, bool)>, Poly)| {
            let mut factors = vec![keep.sub(cost).sub(&Poly::constant(from)); power];
            factors.extend(outcomes.iter().map(|(package, success)| {
                if *success { chances[*package].clone() } else { Poly::constant(1.0).sub(&chances[*package]) }
            }));
            mean_of_product(of, factors)
        };
        case.paths.iter().map(path).sum::<f64>()
    };
    let mean = sum(1, 0.0);
    (mean, sum(2, mean))
}

/// The values of plan `i` in a block of `n` plans.
fn plan(block: &[f64], n: usize, i: usize) -> &[f64] {
    let rows = block.len() / n;
    &block[i * rows..(i + 1) * rows]
}

/// Sum and ends of values.
#[derive(Debug, Clone, Copy)]
struct Total {
    sum: f64,
    least: f64,
    most: f64,
}

impl Default for Total {
    fn default() -> Self {
        Self { sum: 0.0, least: f64::INFINITY, most: f64::NEG_INFINITY }
    }
}

impl Total {
    fn plus(self, other: Self) -> Self {
        Self { sum: self.sum + other.sum, least: self.least.min(other.least), most: self.most.max(other.most) }
    }

    fn with(mut self, values: &[f64]) -> Self {
        let lesser = |a: f64, b: f64| if b < a { b } else { a };
        let greater = |a: f64, b: f64| if b > a { b } else { a };
        // Four running sums, as the processor adds them side by side.
        let (mut sums, mut least, mut most) = ([0.0; 4], [self.least; 4], [self.most; 4]);
        let mut fours = values.chunks_exact(4);
        for four in &mut fours {
            for k in 0..4 {
                sums[k] += four[k];
                least[k] = lesser(least[k], four[k]);
                most[k] = greater(most[k], four[k]);
            }
        }
        self.sum += (sums[0] + sums[1]) + (sums[2] + sums[3]);
        self.least = least.into_iter().fold(self.least, lesser);
        self.most = most.into_iter().fold(self.most, greater);
        for x in fours.remainder() {
            self = self.plus(Self { sum: *x, least: *x, most: *x });
        }
        self
    }
}

/// Everything that is computed for every draw.
struct Model {
    samplers: Vec<Sampler>,
    products: Products,
    chances: Vec<Sum>,
    /// For every plan, its paths: outcomes, saving.
    cases: Vec<Vec<(Vec<(usize, bool)>, Sum)>>,
}

/// Columns that are used for one block after the other.
struct Room {
    columns: Vec<Column>,
    /// Outcome of every package: 1 or 0.
    outcomes: Vec<Column>,
    /// Whether a path comes up, and what it saves.
    path: (Column, Column),
    saving: Column,
}

impl Model {
    fn new(of: &[Distribution], chances: &[Poly], keep: &Poly, cases: &[Case]) -> Self {
        let savings = cases.iter().flat_map(|c| &c.paths).map(|(_, cost)| keep.sub(cost));
        let polys: Vec<Poly> = chances.iter().cloned().chain(savings).collect();
        let (products, mut sums) = Products::new(of.len(), &polys);
        let mut savings = sums.split_off(chances.len()).into_iter();
        let paths = |c: &Case| c.paths.iter().map(|p| p.0.clone()).zip(savings.by_ref()).collect();
        let cases = cases.iter().map(paths).collect();
        Self { samplers: of.iter().map(Distribution::sampler).collect(), products, chances: sums, cases }
    }

    fn room(&self) -> Room {
        let none = [0.0; ROWS];
        let outcomes = vec![none; self.chances.len()];
        Room { columns: self.products.room(), outcomes, path: (none, none), saving: none }
    }

    /// Fills the values of all plans of one block, and gives their totals.
    fn block(&self, room: &mut Room, random: &mut Random, out: &mut [f64]) -> Vec<Total> {
        let plans = self.cases.len();
        let rows = out.len() / plans;
        let mut totals = vec![Total::default(); plans];
        for from in (0..rows).step_by(ROWS) {
            // The last part of the last block is drawn whole, and what is too much left away.
            let n = ROWS.min(rows - from);
            self.draw(room, random);
            for (i, (paths, total)) in self.cases.iter().zip(&mut totals).enumerate() {
                saving(paths, room);
                *total = total.with(&room.saving[..n]);
                out[i * rows + from..][..n].copy_from_slice(&room.saving[..n]);
            }
        }
        totals
    }

    /// Draws all numbers and outcomes.
    fn draw(&self, room: &mut Room, random: &mut Random) {
        for (s, column) in self.samplers.iter().zip(&mut room.columns) {
            s.fill(random, column);
        }
        self.products.compute(&mut room.columns);
        for (chance, outcome) in self.chances.iter().zip(&mut room.outcomes) {
            chance.compute(&room.columns, outcome);
            random.fill(&mut room.saving);
            outcome.iter_mut().zip(&room.saving).for_each(|(x, u)| *x = f64::from(u8::from(u < x)));
        }
    }
}

/// The saving of the path that comes up, for every draw.
fn saving(paths: &[(Vec<(usize, bool)>, Sum)], room: &mut Room) {
    let (comes, saves) = &mut room.path;
    room.saving.fill(0.0);
    for (outcomes, sum) in paths {
        comes.fill(1.0);
        for (package, success) in outcomes {
            let outcome = comes.iter_mut().zip(&room.outcomes[*package]);
            if *success { outcome.for_each(|(c, x)| *c *= x) } else { outcome.for_each(|(c, x)| *c *= 1.0 - x) }
        }
        if comes.iter().all(|c| *c == 0.0) {
            continue;
        }
        sum.compute(&room.columns, saves);
        for ((s, c), x) in room.saving.iter_mut().zip(&*comes).zip(&*saves) {
            *s += c * x;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn x(i: u16) -> Poly {
        Poly::variable(i)
    }

    fn c(value: f64) -> Poly {
        Poly::constant(value)
    }

    /// A test with a drawn chance: success saves one thing, failure another, a second test follows success.
    fn tree() -> (Vec<Distribution>, Vec<Poly>, Poly, Vec<Case>) {
        let of = vec![
            Distribution::Triangular { low: 0.45, mode: 0.65, high: 0.8 },
            Distribution::Triangular { low: 80.0, mode: 96.0, high: 130.0 },
            Distribution::Lognormal { mean: 2.0, sd: 0.5 },
            Distribution::Pert { low: 10.0, mode: 12.0, high: 30.0, lambda: 4.0 },
            Distribution::Normal { mean: 5.0, sd: 1.5 },
            Distribution::Uniform { low: 0.5, high: 1.0 },
            Distribution::Fixed { value: 40.0 },
        ];
        let chances = vec![x(0), c(0.3), x(5)];
        let keep = x(1).mul(&x(2)).add(&x(3).mul(&x(4)).mul(&x(2)).scale(0.5)).add(&x(6));
        let (good, better) = (x(1).add(&x(3).mul(&x(3)).scale(0.1)), x(3).add(&c(20.0)));
        let bad = x(1).mul(&x(2)).add(&x(1)).add(&x(5).scale(30.0));
        let split = vec![
            (vec![(0, true), (2, true)], better.clone()),
            (vec![(0, true), (2, false)], good.clone()),
            (vec![(0, false)], bad.clone()),
        ];
        let other = vec![(vec![(1, true)], good), (vec![(1, false)], bad)];
        let cases = vec![Case { paths: split }, Case { paths: other }, Case { paths: vec![(vec![], better)] }];
        (of, chances, keep, cases)
    }

    #[test]
    fn draws_agree_with_exact_moments() {
        let (of, chances, keep, cases) = tree();
        const DRAWS: usize = 200_000;
        for seed in [1, 2, 3, 20_261] {
            for (i, s) in spreads(&of, &chances, &keep, &cases, seed, DRAWS).iter().enumerate() {
                let off = (s.mean - s.exact_mean) / s.error;
                assert!(off.abs() < 4.0, "seed {seed}, plan {i}: mean off by {off} errors: {s:?}");
                // Standard error of a variance: sqrt((kurtosis - 1) / n); a kurtosis of 9 covers these shapes.
                let apart = s.sd * s.sd / (s.exact_sd * s.exact_sd) - 1.0;
                assert!(apart.abs() < 4.0 * (8.0 / DRAWS as f64).sqrt(), "seed {seed}, plan {i}: {apart}, {s:?}");
                assert!(s.p5 < s.p50 && s.p50 < s.p95);
                assert_eq!(s.histogram.iter().map(|b| b.2).sum::<usize>(), DRAWS);
            }
        }
    }

    /// Keep costs 100. With chance p uniform on 0.2..0.6 the plan costs y uniform on 20..40, else 130.
    /// E = 0.4 (100 - 30) + 0.6 (-30) = 10. E of squares = 0.4 (70^2 + 400/12) + 0.6 30^2 = 2 513.33, less 10^2 =
    /// 2 413.33. Loss 0.6. The median is a loss of 30; success lies on 60..80, so P95 is where 1/8 of it is left: 77.5.
    #[test]
    fn a_mixture_worked_by_hand() {
        let of = [Distribution::Uniform { low: 0.2, high: 0.6 }, Distribution::Uniform { low: 20.0, high: 40.0 }];
        let paths = vec![(vec![(0, true)], x(1)), (vec![(0, false)], c(130.0))];
        let s = &spreads(&of, &[x(0)], &c(100.0), &[Case { paths }], 7, 400_000)[0];
        assert!((s.exact_mean - 10.0).abs() < 1e-9 && (s.exact_sd * s.exact_sd - 7240.0 / 3.0).abs() < 1e-8, "{s:?}");
        assert!((s.mean - 10.0).abs() < 4.0 * s.error && (s.loss - 0.6).abs() < 0.004, "{s:?}");
        assert_eq!([s.p5, s.p50], [-30.0, -30.0]);
        assert!((s.p95 - 77.5).abs() < 0.15, "{s:?}");
    }

    #[test]
    fn the_number_of_threads_changes_no_bit() {
        let (of, chances, keep, cases) = tree();
        let run = |threads, draws| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            format!("{:?}", pool.install(|| spreads(&of, &chances, &keep, &cases, 5, draws)))
        };
        for draws in [1, 2, 300, 50_001] {
            assert_eq!(run(1, draws), run(3, draws), "{draws}");
        }
    }

    #[test]
    fn all_plans_see_the_same_draws() {
        let (of, chances, keep, cases) = tree();
        let all = spreads(&of, &chances, &keep, &cases, 5, 20_000);
        let alone = spreads(&of, &chances, &keep, &cases[1..2], 5, 20_000);
        assert_eq!(format!("{:?}", all[1]), format!("{:?}", alone[0]));
        // Two plans whose costs always differ by 3 differ by 3 in every draw.
        let dearer = cases[0].paths.iter().map(|(o, cost)| (o.clone(), cost.add(&c(3.0)))).collect();
        let two = spreads(&of, &chances, &keep, &[cases[0].clone(), Case { paths: dearer }], 5, 20_000);
        for (a, b) in [(two[0].p5, two[1].p5), (two[0].mean, two[1].mean), (two[0].p95, two[1].p95)] {
            assert!((a - b - 3.0).abs() < 1e-9, "{a} {b}");
        }
    }

    #[test]
    fn nothing_uncertain_is_one_value() {
        let keep = c(5.0);
        let paths = vec![(vec![], c(3.0))];
        let s = &spreads(&[], &[], &keep, &[Case { paths }], 1, 10_000)[0];
        assert_eq!(
            [s.mean, s.sd, s.error, s.exact_mean, s.exact_sd, s.p5, s.p95, s.loss],
            [2., 0., 0., 2., 0., 2., 2., 0.]
        );
        assert!(s.histogram.iter().any(|(from, to, n)| *from <= 2.0 && 2.0 < *to && *n == 10_000), "{s:?}");
        assert!(spreads(&[], &[], &keep, &[], 1, 10).is_empty());
    }
}
