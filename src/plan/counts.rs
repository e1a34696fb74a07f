//! Takes many values in blocks; gives exact quantiles and a histogram by counting, so that nothing needs to be sorted.

use rayon::prelude::*;

/// Bins of a histogram, at most two more when its ends are rounded.
const BINS: f64 = 40.0;
/// Counting bins in each of them.
const FINE: usize = 1024;
/// Parts that are counted side by side; their number is fixed, so that sums have a fixed order.
const PARTS: usize = 4;

/// Equal bins between two round numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bins {
    /// Low end over the width, a whole number.
    first: f64,
    width: f64,
    number: usize,
}

/// What counting gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Counts {
    fine: Vec<usize>,
    /// Sum of squared distances from the mean.
    pub squares: f64,
    /// Values below nothing.
    pub below: usize,
}

impl Bins {
    /// Bins that hold everything from `low` to `high`.
    pub fn new(low: f64, high: f64) -> Self {
        let least = (low.abs().max(high.abs()) * 1e-6).max(1e-9);
        let wanted = ((high - low) / BINS).max(least);
        let ten = libm::pow(10.0, libm::log10(wanted).floor());
        let width = [1.0, 2.0, 2.5, 5.0, 10.0].map(|f| f * ten).into_iter().find(|w| *w >= wanted).unwrap_or(wanted);
        let first = (low / width).floor();
        let mut out = Self { first, width, number: ((high / width).floor() - first) as usize + 1 };
        // A quotient may round across an end.
        if out.end(0) > low {
            out.first -= 1.0;
            out.number += 1;
        }
        if out.end(out.number) <= high {
            out.number += 1;
        }
        out
    }

    fn end(&self, i: usize) -> f64 {
        (self.first + i as f64) * self.width
    }

    /// Counting bin of a value; it never falls where the value rises.
    fn place(&self) -> impl Fn(f64) -> usize + Copy {
        let (low, scale, last) = (self.end(0), FINE as f64 / self.width, self.number * FINE - 1);
        move |x| (((x - low) * scale) as usize).min(last)
    }

    /// Counts all values.
    pub fn count(&self, blocks: &[&[f64]], mean: f64) -> Counts {
        let place = self.place();
        let part = |blocks: &[&[f64]]| {
            let mut c = Counts { fine: vec![0; self.number * FINE], squares: 0.0, below: 0 };
            for block in blocks {
                let mut squares = 0.0;
                for x in *block {
                    squares += (x - mean) * (x - mean);
                    c.below += usize::from(*x < 0.0);
                    c.fine[place(*x)] += 1;
                }
                c.squares += squares;
            }
            c
        };
        let parts: Vec<Counts> = split(blocks).into_par_iter().map(part).collect();
        let mut all = Counts { fine: vec![0; self.number * FINE], squares: 0.0, below: 0 };
        for p in parts {
            all.fine.iter_mut().zip(p.fine).for_each(|(a, n)| *a += n);
            all.squares += p.squares;
            all.below += p.below;
        }
        all
    }

    /// Low end, high end and number of each bin.
    pub fn histogram(&self, counts: &Counts) -> Vec<(f64, f64, usize)> {
        let sums = counts.fine.chunks(FINE).map(|c| c.iter().sum());
        sums.enumerate().map(|(i, n)| (self.end(i), self.end(i + 1), n)).collect()
    }

    /// Quantiles as if all values were sorted (see `sample_quantile`): only the bins that hold them are.
    pub fn quantiles(&self, blocks: &[&[f64]], counts: &Counts, shares: &[f64]) -> Vec<f64> {
        let n: usize = counts.fine.iter().sum();
        let ranks: Vec<usize> = shares
            .iter()
            .flat_map(|p| {
                let low = ((n - 1) as f64 * p).floor() as usize;
                [low, (low + 1).min(n - 1)]
            })
            .collect();
        // Bin of each rank, with the number of values before it.
        let (mut bins, mut before, mut bin) = (Vec::new(), 0, 0);
        for rank in sorted(&ranks) {
            while before + counts.fine[bin] <= rank {
                before += counts.fine[bin];
                bin += 1;
            }
            if bins.last() != Some(&(bin, before)) {
                bins.push((bin, before));
            }
        }
        let place = self.place();
        let part = |blocks: &[&[f64]]| {
            let mut held = vec![Vec::new(); bins.len()];
            for x in blocks.iter().flat_map(|b| b.iter()) {
                let at = place(*x);
                for (list, (bin, _)) in held.iter_mut().zip(&bins) {
                    if *bin == at {
                        list.push(*x);
                    }
                }
            }
            held
        };
        let parts: Vec<Vec<Vec<f64>>> = split(blocks).into_par_iter().map(part).collect();
        let held: Vec<(usize, Vec<f64>)> = bins
            .iter()
            .enumerate()
            .map(|(i, (_, before))| {
                let mut all: Vec<f64> = parts.iter().flat_map(|p| p[i].iter().copied()).collect();
                all.sort_unstable_by(f64::total_cmp);
                (*before, all)
            })
            .collect();
        let value = |rank: usize| {
            let (before, list) = &held[held.partition_point(|h| h.0 <= rank) - 1];
            list[rank - before]
        };
        let quantile = |(p, r): (&f64, &[usize])| {
            let (low, high) = (value(r[0]), value(r[1]));
            low + (high - low) * ((n - 1) as f64 * p - r[0] as f64)
        };
        shares.iter().zip(ranks.chunks(2)).map(quantile).collect()
    }
}

fn sorted(ranks: &[usize]) -> Vec<usize> {
    let mut out = ranks.to_vec();
    out.sort_unstable();
    out
}

/// Blocks in `PARTS` runs, or fewer.
fn split<'a, 'b>(blocks: &'b [&'a [f64]]) -> Vec<&'b [&'a [f64]]> {
    blocks.chunks(blocks.len().div_ceil(PARTS).max(1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compute::maths::random::Random;
    use crate::compute::maths::{mean, sample_quantile, sd};

    #[test]
    fn counting_is_sorting() {
        let mut units = vec![0.0; 5000];
        Random::new(9).fill(&mut units);
        // A heap of equal values, a wide tail, both signs.
        let mut values: Vec<f64> = units.iter().map(|u| 1e3 * u * u * u - 40.0).collect();
        values.extend([12.5; 700]);
        let (low, high) = values.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
        let bins = Bins::new(low, high);
        let blocks: Vec<&[f64]> = values.chunks(300).collect();
        let m = mean(&values);
        let counts = bins.count(&blocks, m);
        let shares = [0.0, 0.05, 0.3, 0.31, 0.5, 0.95, 1.0];
        let quantiles = bins.quantiles(&blocks, &counts, &shares);
        let mut rising = values.clone();
        rising.sort_by(f64::total_cmp);
        let expected: Vec<f64> = shares.iter().map(|p| sample_quantile(&rising, *p)).collect();
        assert_eq!(quantiles, expected);
        assert_eq!(counts.below, values.iter().filter(|x| **x < 0.0).count());
        let s = (counts.squares / (values.len() - 1) as f64).sqrt();
        assert!((s / sd(&values) - 1.0).abs() < 1e-12);
        let histogram = bins.histogram(&counts);
        assert_eq!(histogram.iter().map(|b| b.2).sum::<usize>(), values.len());
        for (from, to, n) in &histogram {
            assert_eq!(*n, values.iter().filter(|x| *from <= **x && **x < *to).count(), "{from} {to}");
        }
    }

    #[test]
    fn ends_are_round_and_hold_everything() {
        for (low, high) in [(-247.3, 3.1), (0.0, 1.0), (-1e-3, 7e8), (478.0, 478.0), (2.0, 2.0), (0.0, 0.0), (0.3, 0.9)]
        {
            let b = Bins::new(low, high);
            assert!(b.end(0) <= low && high < b.end(b.number) && (1..=42).contains(&b.number), "{b:?}");
            let digits = b.width / libm::pow(10.0, libm::log10(b.width).floor());
            assert!([1.0, 2.0, 2.5, 5.0, 10.0].iter().any(|d| (digits - d).abs() < 1e-9), "{b:?}");
        }
        assert_eq!(Bins::new(-247.3, 3.1), Bins { first: -25.0, width: 10.0, number: 26 });
    }
}
