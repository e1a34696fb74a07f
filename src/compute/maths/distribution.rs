//! Takes the parameters of a distribution; gives mean, variance, moments and quantiles.

use super::sampler::Sampler;
use super::{beta_quantile, normal_quantile};

/// A distribution of one quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Distribution {
    Fixed {
        value: f64,
    },
    Normal {
        mean: f64,
        sd: f64,
    },
    /// Mean and standard deviation of the quantity itself, not of its logarithm.
    Lognormal {
        mean: f64,
        sd: f64,
    },
    Uniform {
        low: f64,
        high: f64,
    },
    Triangular {
        low: f64,
        mode: f64,
        high: f64,
    },
    /// Beta between `low` and `high` with alpha = 1 + lambda (mode - low)/(high - low), beta = 1 + lambda (high -
    /// mode)/(high - low).
    Pert {
        low: f64,
        mode: f64,
        high: f64,
        lambda: f64,
    },
}

/// (alpha, beta) of a PERT distribution.
pub fn pert_shape(low: f64, mode: f64, high: f64, lambda: f64) -> (f64, f64) {
    let range = high - low;
    // Without any width every place of the mode says the same.
    let share = |part: f64| if range > 0.0 { part / range } else { 0.5 };
    (1.0 + lambda * share(mode - low), 1.0 + lambda * share(high - mode))
}

/// (mean, standard deviation) of the logarithm of a lognormal quantity with these of its own.
pub fn of_logarithm(mean: f64, sd: f64) -> (f64, f64) {
    let variance = libm::log1p(sd * sd / (mean * mean));
    (libm::log(mean) - 0.5 * variance, variance.sqrt())
}

/// Mean of all products of `power` knots, repetition allowed: the moment of the B-spline density over these knots, of
/// which fixed, uniform and triangular are the first three.
fn mean_product(knots: &[f64], power: usize) -> f64 {
    // sums[j]: sum of all products of j of the knots so far; divided by their number at the end.
    let mut sums = vec![0.0; power + 1];
    sums[0] = 1.0;
    for knot in knots {
        for j in 1..=power {
            sums[j] += knot * sums[j - 1];
        }
    }
    let number = (1..knots.len()).fold(1.0, |n, i| n * (power + i) as f64 / i as f64);
    sums[power] / number
}

impl Distribution {
    /// Mean.
    pub fn mean(&self) -> f64 {
        match *self {
            Self::Fixed { value } => value,
            Self::Normal { mean, .. } | Self::Lognormal { mean, .. } => mean,
            Self::Uniform { low, high } => 0.5 * (low + high),
            Self::Triangular { low, mode, high } => (low + mode + high) / 3.0,
            Self::Pert { low, mode, high, lambda } => (low + lambda * mode + high) / (lambda + 2.0),
        }
    }

    /// Variance.
    pub fn variance(&self) -> f64 {
        match *self {
            Self::Fixed { .. } => 0.0,
            Self::Normal { sd, .. } | Self::Lognormal { sd, .. } => sd * sd,
            Self::Uniform { low, high } => (high - low) * (high - low) / 12.0,
            Self::Triangular { low, mode, high } => {
                let (a, b) = (mode - low, high - mode);
                (a * a + a * b + b * b) / 18.0
            }
            Self::Pert { low, mode, high, lambda } => {
                let (a, b) = pert_shape(low, mode, high, lambda);
                let (range, n) = (high - low, a + b);
                range * range * a * b / (n * n * (n + 1.0))
            }
        }
    }

    /// The value below which the share `p` lies.
    pub fn quantile(&self, p: f64) -> f64 {
        match *self {
            Self::Fixed { value } => value,
            Self::Normal { mean, sd } => mean + sd * normal_quantile(p),
            Self::Lognormal { mean, sd } => {
                let (mean, sd) = of_logarithm(mean, sd);
                libm::exp(mean + sd * normal_quantile(p))
            }
            Self::Uniform { low, high } => low + (high - low) * p,
            Self::Triangular { low, mode, high } => {
                let range = high - low;
                if p * range <= mode - low {
                    low + (p * range * (mode - low)).sqrt()
                } else {
                    high - ((1.0 - p) * range * (high - mode)).sqrt()
                }
            }
            Self::Pert { low, mode, high, lambda } => {
                let (a, b) = pert_shape(low, mode, high, lambda);
                low + (high - low) * beta_quantile(a, b, p)
            }
        }
    }

    /// Mean of the quantity to the power `power`.
    pub fn moment(&self, power: usize) -> f64 {
        match *self {
            Self::Fixed { value } => mean_product(&[value], power),
            Self::Uniform { low, high } => mean_product(&[low, high], power),
            Self::Triangular { low, mode, high } => mean_product(&[low, mode, high], power),
            // m(k) = mean m(k - 1) + (k - 1) sd^2 m(k - 2)
            Self::Normal { mean, sd } => {
                let next = |(last, this), k| (this, mean * this + k as f64 * sd * sd * last);
                (0..power).fold((0.0, 1.0), next).1
            }
            // mean^k (1 + (sd/mean)^2)^(k (k - 1) / 2)
            Self::Lognormal { mean, sd } => {
                let wide = 1.0 + sd * sd / (mean * mean);
                (0..power).fold((1.0, 1.0), |(m, grown), _| (m * mean * grown, grown * wide)).0
            }
            // Binomial sum over the moments of the beta distribution between 0 and 1.
            Self::Pert { low, mode, high, lambda } => {
                let ((a, b), range) = (pert_shape(low, mode, high, lambda), high - low);
                let mut powers = vec![1.0; power + 1];
                for j in 1..=power {
                    powers[j] = powers[j - 1] * low;
                }
                let (mut sum, mut part) = (0.0, 1.0);
                for j in 0..=power {
                    sum += part * powers[power - j];
                    let r = j as f64;
                    part *= (power - j) as f64 / (r + 1.0) * range * (a + r) / (a + b + r);
                }
                sum
            }
        }
    }

    /// The distribution made ready for many draws.
    pub fn sampler(&self) -> Sampler {
        Sampler::new(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Moments 1 to 8 (or as many as are given) and quantiles at 5, 50 and 95 %; reference library scipy 1.17.1,
    /// computed.
    const KNOWN: &[(Distribution, &[f64], [f64; 3])] = &[
        (
            Distribution::Uniform { low: -1.0, high: 3.0 },
            &[
                1.0,
                2.333333333333333,
                5.0,
                12.200000000000003,
                30.333333333333343,
                78.14285714285722,
                205.0,
                546.7777777777783,
            ],
            [-0.8, 1.0, 2.8],
        ),
        (
            Distribution::Triangular { low: -0.5, mode: 0.75, high: 1.5 },
            &[
                0.5833333333333333,
                0.5104166666666665,
                0.47968750000000027,
                0.49401041666666634,
                0.5354817708590871,
                0.606454031907222,
                0.709667629598508,
                0.8529707169396712,
            ],
            [-0.1464466094067262, 0.6180339887498949, 1.2261387212474169],
        ),
        (
            Distribution::Triangular { low: 2.0, mode: 2.0, high: 5.0 },
            &[3.0, 9.5, 31.7, 111.0, 405.57142857142907, 1536.8928571428714, 6005.250000000248, 24072.20000000331],
            [2.075961696557311, 2.878679656440357, 4.329179606750063],
        ),
        (
            Distribution::Pert { low: 0.3, mode: 0.38, high: 0.65, lambda: 4.0 },
            &[
                0.4116666666666667,
                0.17327142857142855,
                0.07458076785714285,
                0.032822877698412696,
                0.01476264442350228,
                0.0067803624529519674,
                0.0031769389387641157,
                0.0015168067979477097,
            ],
            [0.32405518268106875, 0.40426024754913403, 0.5247623076381468],
        ),
        (
            Distribution::Pert { low: -2.0, mode: 1.0, high: 2.0, lambda: 4.0 },
            &[
                0.6666666666666665,
                0.9523809523809526,
                1.142857142857146,
                1.7777777777777857,
                2.5396825695783605,
                4.155844123643419,
                6.464646046993948,
                10.940174549734365,
            ],
            [-0.6296332720045548, 0.7447593181772101, 1.6942384343506842],
        ),
        (
            Distribution::Normal { mean: 1.3, sd: 0.4 },
            &[
                1.3,
                1.8500000000000003,
                2.821,
                4.555300000000001,
                7.727330000000003,
                13.689769000000004,
                25.21493650000001,
                48.111958730000026,
            ],
            [0.6420585492194109, 1.3, 1.957941450780589],
        ),
        (
            Distribution::Normal { mean: -0.2, sd: 2.0 },
            &[
                -0.2,
                4.040000000000001,
                -2.4080000000000004,
                48.96160000000001,
                -48.320320000000024,
                988.8960640000006,
                -1357.4668928000008,
                27960.583170560018,
            ],
            [-3.489707253902946, -0.2, 3.089707253902944],
        ),
        (
            Distribution::Lognormal { mean: 2.0, sd: 0.5 },
            &[
                2.0,
                4.25,
                9.595703125,
                23.019379615783688,
                58.673144682965756,
                158.89639928177547,
                457.21206565652886,
                1397.8167693134124,
            ],
            [1.2941290180570457, 1.9402850002906638, 2.909065348063303],
        ),
        (
            Distribution::Lognormal { mean: 0.7, sd: 1.4 },
            &[0.6999999999999998, 2.449999999999998, 42.874999999999915, 3751.562499999988],
            [0.03884737302953843, 0.3130495168499705, 2.522693102709506],
        ),
        (Distribution::Fixed { value: -1.5 }, &[-1.5, 2.25, -3.375, 5.0625], [-1.5; 3]),
    ];

    #[test]
    fn moments_and_quantiles_are_those_of_the_reference_library() {
        for (d, moments, quantiles) in KNOWN {
            assert_eq!(d.moment(0), 1.0, "{d:?}");
            for (i, known) in moments.iter().enumerate() {
                // The library integrates some of these numerically, to six digits.
                let m = d.moment(i + 1);
                assert!((m / known - 1.0).abs() < 1e-6, "{d:?}: moment {} is {m}, not {known}", i + 1);
            }
            for (p, known) in [0.05, 0.5, 0.95].into_iter().zip(quantiles) {
                let (q, drawn) = (d.quantile(p), d.sampler().value(p));
                assert!((q - known).abs() < 1e-9 && (drawn - known).abs() < 1e-9, "{d:?} {p}: {q} {drawn} {known}");
            }
            let variance = d.moment(2) - d.mean() * d.mean();
            assert!(
                (variance - d.variance()).abs() < 1e-12 * d.moment(2) && (d.moment(1) - d.mean()).abs() < 1e-15,
                "{d:?}"
            );
        }
    }

    /// The mean of the k-th power of the quantile over all shares, by the midpoint rule after
    /// p = s^3 (10 - 15s + 6s^2), which tames both ends.
    #[test]
    fn moments_are_those_of_the_quantiles() {
        for (d, moments, _) in KNOWN.iter().filter(|k| k.1.len() == 8 || matches!(k.0, Distribution::Fixed { .. })) {
            const STEPS: usize = 20_000;
            let sampler = d.sampler();
            let mut sums = [0.0; 9];
            for i in 0..STEPS {
                let s = (i as f64 + 0.5) / STEPS as f64;
                let x = sampler.value(s * s * s * (10.0 - 15.0 * s + 6.0 * s * s));
                let mut power = 30.0 * s * s * (1.0 - s) * (1.0 - s) / STEPS as f64;
                for sum in &mut sums {
                    *sum += power;
                    power *= x;
                }
            }
            for (k, sum) in sums.iter().enumerate().take(moments.len() + 1) {
                assert!((sum / d.moment(k) - 1.0).abs() < 1e-5, "{d:?} {k}: {sum} {}", d.moment(k));
            }
        }
    }

    #[test]
    fn a_range_of_no_width_is_its_value() {
        let flat = [
            Distribution::Triangular { low: 2.0, mode: 2.0, high: 2.0 },
            Distribution::Uniform { low: 2.0, high: 2.0 },
            Distribution::Pert { low: 2.0, mode: 2.0, high: 2.0, lambda: 4.0 },
        ];
        for d in flat {
            assert_eq!([d.mean(), d.quantile(0.3), d.sampler().value(0.3), d.moment(3)], [2.0, 2.0, 2.0, 8.0], "{d:?}");
            assert_eq!(d.variance(), 0.0);
        }
    }
}
