//! Takes distributions and a model of them; gives many draws of the model, the same for any number of threads.

use super::distribution::Distribution;
use super::random::Random;
use super::sampler::Sampler;
use rayon::prelude::*;

/// Draws of one block; every block has its own stream of numbers.
pub const BLOCK: usize = 4096;

/// Computes the model for a block: one column of values per quantity, in order; one result per row.
pub type Model<'a> = dyn Fn(&[Vec<f64>]) -> Vec<f64> + Sync + 'a;

/// Draws of all quantities of one block, one column each.
fn columns(samplers: &[Sampler], random: &mut Random, rows: usize) -> Vec<Vec<f64>> {
    let column = |s: &Sampler| {
        let mut out = vec![0.0; rows];
        s.fill(random, &mut out);
        out
    };
    samplers.iter().map(column).collect()
}

/// Number of rows of block `b` of `draws`.
fn rows(b: usize, draws: usize) -> usize {
    BLOCK.min(draws - b * BLOCK)
}

/// `draws` results of the model, in order of their blocks.
pub fn draws(of: &[Distribution], model: &Model, seed: u64, draws: usize) -> Vec<f64> {
    let samplers: Vec<Sampler> = of.iter().map(Distribution::sampler).collect();
    let blocks: Vec<Vec<f64>> = Random::blocks(seed, draws.div_ceil(BLOCK))
        .into_par_iter()
        .enumerate()
        .map(|(b, mut random)| model(&columns(&samplers, &mut random, rows(b, draws))))
        .collect();
    blocks.concat()
}

/// Share of the variance of the model that each quantity explains alone (first-order indices of Sobol), estimated from
/// pairs of independent draws by the form of Saltelli (2010); `mean` and `variance` of the model are given.
pub fn variance_shares(
    of: &[Distribution],
    model: &Model,
    seed: u64,
    draws: usize,
    (mean, variance): (f64, f64),
) -> Vec<f64> {
    let samplers: Vec<Sampler> = of.iter().map(Distribution::sampler).collect();
    let sums: Vec<Vec<f64>> = Random::blocks(seed, draws.div_ceil(BLOCK))
        .into_par_iter()
        .enumerate()
        .map(|(b, mut random)| {
            let n = rows(b, draws);
            let mut first = columns(&samplers, &mut random, n);
            let mut second = columns(&samplers, &mut random, n);
            let (fa, fb) = (model(&first), model(&second));
            let mut out = Vec::with_capacity(of.len());
            for i in 0..of.len() {
                std::mem::swap(&mut first[i], &mut second[i]);
                let mixed = model(&first);
                std::mem::swap(&mut first[i], &mut second[i]);
                out.push((0..n).map(|k| (fb[k] - mean) * (mixed[k] - fa[k])).sum());
            }
            out
        })
        .collect();
    let total = |i: usize| sums.iter().map(|s| s[i]).sum::<f64>();
    (0..of.len()).map(|i| if variance > 0.0 { total(i) / draws as f64 / variance } else { 0.0 }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_number_of_threads_changes_no_bit() {
        let of = [
            Distribution::Normal { mean: 1.0, sd: 0.2 },
            Distribution::Pert { low: 0.0, mode: 0.3, high: 1.0, lambda: 4.0 },
        ];
        let model = |c: &[Vec<f64>]| c[0].iter().zip(&c[1]).map(|(a, b)| a * b).collect();
        let run = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            pool.install(|| (draws(&of, &model, 5, 20_000), variance_shares(&of, &model, 6, 20_000, (0.38, 0.04))))
        };
        let bits = |(x, s): (Vec<f64>, Vec<f64>)| x.into_iter().chain(s).map(f64::to_bits).collect::<Vec<_>>();
        let (one, three) = (run(1), run(3));
        assert_eq!(one.0.len(), 20_000);
        assert_eq!(bits(one), bits(three));
    }

    #[test]
    fn shares_of_a_sum_are_those_of_its_variances() {
        let of = [Distribution::Uniform { low: 0.0, high: 1.0 }, Distribution::Uniform { low: 0.0, high: 2.0 }];
        let model = |c: &[Vec<f64>]| c[0].iter().zip(&c[1]).map(|(a, b)| a + b).collect();
        let s = variance_shares(&of, &model, 1, 100_000, (1.5, 5.0 / 12.0));
        assert!((s[0] - 0.2).abs() < 0.01 && (s[1] - 0.8).abs() < 0.02, "{s:?}");
    }
}
