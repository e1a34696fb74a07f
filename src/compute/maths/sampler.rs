//! Takes a distribution; gives a fast way to draw from it, made ready for many draws.

use super::beta_cdf;
use super::distribution::{Distribution, pert_shape};
use super::random::Random;

/// Draws by the inverse of the share below, and faster where there is a way.
#[derive(Debug, Clone)]
pub struct Sampler {
    of: Form,
}

/// What is computed once for all draws.
#[derive(Debug, Clone)]
enum Form {
    Fixed(f64),
    Normal {
        mean: f64,
        sd: f64,
    },
    /// Logarithm: mean and standard deviation.
    Lognormal {
        mean: f64,
        sd: f64,
    },
    Uniform {
        low: f64,
        range: f64,
    },
    /// Ends, and the ways up to the mode and down from it.
    Triangular {
        low: f64,
        high: f64,
        up: f64,
        down: f64,
    },
    Pert {
        low: f64,
        range: f64,
        table: Table,
    },
}

impl Sampler {
    pub fn new(of: &Distribution) -> Self {
        let of = match *of {
            Distribution::Fixed { value } => Form::Fixed(value),
            Distribution::Normal { mean, sd } => Form::Normal { mean, sd },
            Distribution::Lognormal { mean, sd } => {
                let (mean, sd) = super::distribution::of_logarithm(mean, sd);
                Form::Lognormal { mean, sd }
            }
            Distribution::Uniform { low, high } => Form::Uniform { low, range: high - low },
            Distribution::Triangular { low, mode, high } => {
                Form::Triangular { low, high, up: mode - low, down: high - mode }
            }
            Distribution::Pert { low, mode, high, lambda } => {
                let (a, b) = pert_shape(low, mode, high, lambda);
                Form::Pert { low, range: high - low, table: Table::new(a, b) }
            }
        };
        Self { of }
    }

    /// The value of a number `u` between 0 and 1.
    pub fn value(&self, u: f64) -> f64 {
        match &self.of {
            Form::Fixed(value) => *value,
            Form::Normal { mean, sd } => mean + sd * fast_normal_quantile(u),
            Form::Lognormal { mean, sd } => libm::exp(mean + sd * fast_normal_quantile(u)),
            Form::Uniform { low, range } => low + range * u,
            Form::Triangular { low, high, up, down } => {
                let range = high - low;
                if u * range <= *up { low + (u * range * up).sqrt() } else { high - ((1.0 - u) * range * down).sqrt() }
            }
            Form::Pert { low, range, table } => low + range * table.quantile(u),
        }
    }

    /// Fills a column with draws.
    pub fn fill(&self, random: &mut Random, column: &mut [f64]) {
        match &self.of {
            // Stein and Keblis (2009): the lesser and the greater of two numbers, weighted by both sides of the mode. No
            // root, and no side that the processor has to guess.
            Form::Triangular { low, up, down, .. } => {
                let (low, up, down) = (*low, *up, *down);
                random.fill_of_two(column, |u, v| {
                    let (less, more) = if v < u { (v, u) } else { (u, v) };
                    low + down * less + up * more
                });
            }
            Form::Uniform { low, range } => {
                random.fill(column);
                column.iter_mut().for_each(|x| *x = low + range * *x);
            }
            _ => {
                random.fill(column);
                column.iter_mut().for_each(|x| *x = self.value(*x));
            }
        }
    }
}

/// Steps of the table of a beta distribution.
const STEPS: usize = 2048;

/// Share below and density of a beta distribution at equal steps; cubic between them, so exact to about 1e-11.
#[derive(Debug, Clone)]
struct Table {
    /// Share below, and density per step.
    at: Vec<(f64, f64)>,
    /// First step whose share is at least i/STEPS.
    guide: Vec<usize>,
}

impl Table {
    fn new(a: f64, b: f64) -> Self {
        let step = 1.0 / STEPS as f64;
        let ln_beta = libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b);
        let density = |x: f64| {
            // At the ends the density is 0, or that of a uniform side.
            let part = |base: f64, power: f64| if power == 0.0 { 0.0 } else { power * libm::log(base) };
            libm::exp(part(x, a - 1.0) + part(1.0 - x, b - 1.0) - ln_beta) * step
        };
        let at: Vec<(f64, f64)> = (0..=STEPS)
            .map(|i| {
                let x = i as f64 * step;
                (beta_cdf(a, b, x), density(x))
            })
            .collect();
        let mut guide = Vec::with_capacity(STEPS + 1);
        let mut i = 0;
        for k in 0..=STEPS {
            while i < STEPS && at[i].0 < k as f64 * step {
                i += 1;
            }
            guide.push(i);
        }
        Self { at, guide }
    }

    fn quantile(&self, u: f64) -> f64 {
        let cell = ((u * STEPS as f64) as usize).min(STEPS - 1);
        let mut i = self.guide[cell].max(1);
        while i < STEPS && self.at[i].0 < u {
            i += 1;
        }
        let ((f0, d0), (f1, d1)) = (self.at[i - 1], self.at[i]);
        // Cubic through both shares with both densities, solved by Newton within the step.
        let rise = f1 - f0;
        let mut s = if rise > 0.0 { ((u - f0) / rise).clamp(0.0, 1.0) } else { 0.5 };
        let (c2, c3) = (3.0 * rise - 2.0 * d0 - d1, d0 + d1 - 2.0 * rise);
        for _ in 0..4 {
            let value = f0 + s * (d0 + s * (c2 + s * c3)) - u;
            let slope = d0 + s * (2.0 * c2 + 3.0 * s * c3);
            if slope <= 0.0 {
                break;
            }
            s = (s - value / slope).clamp(0.0, 1.0);
        }
        (i as f64 - 1.0 + s) / STEPS as f64
    }
}

/// The standard normal quantile by the rational approximation of Wichura (algorithm AS 241, 1988, PPND16): relative
/// error about 1e-16.
fn fast_normal_quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * ratio(&A, &B, r);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    let r = (-libm::log(tail)).sqrt();
    let z = if r <= 5.0 { ratio(&C, &D, r - 1.6) } else { ratio(&E, &F, r - 5.0) };
    if q < 0.0 { -z } else { z }
}

/// Ratio of two polynomials; coefficients from the highest power down, the denominator ends with 1.
fn ratio(top: &[f64; 8], bottom: &[f64; 7], r: f64) -> f64 {
    let t = top.iter().fold(0.0, |s, c| s * r + c);
    t / (bottom.iter().fold(0.0, |s, c| s * r + c) * r + 1.0)
}

const A: [f64; 8] = [
    2509.0809287301227,
    33430.57558358813,
    67265.7709270087,
    45921.95393154987,
    13731.69376550946,
    1971.5909503065513,
    133.14166789178438,
    3.3871328727963665,
];
const B: [f64; 7] = [
    5226.495278852854,
    28729.085735721943,
    39307.89580009271,
    21213.794301586597,
    5394.196021424751,
    687.1870074920579,
    42.31333070160091,
];
const C: [f64; 8] = [
    0.0007745450142783414,
    0.022723844989269184,
    0.2417807251774506,
    1.2704582524523684,
    3.6478483247632045,
    5.769497221460691,
    4.630337846156546,
    1.4234371107496835,
];
const D: [f64; 7] = [
    1.0507500716444169e-09,
    0.0005475938084995345,
    0.015198666563616457,
    0.14810397642748008,
    0.6897673349851,
    1.6763848301838038,
    2.053191626637759,
];
const E: [f64; 8] = [
    2.0103343992922881e-07,
    2.7115555687434876e-05,
    0.0012426609473880784,
    0.026532189526576124,
    0.29656057182850487,
    1.7848265399172913,
    5.463784911164114,
    6.657904643501103,
];
const F: [f64; 7] = [
    2.0442631033899397e-15,
    1.421511758316446e-07,
    1.8463183175100548e-05,
    0.0007868691311456133,
    0.014875361290850615,
    0.1369298809227358,
    0.599832206555888,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compute::maths::normal_quantile;

    #[test]
    fn the_fast_quantile_is_the_slow_one() {
        for i in 1..2000 {
            let p = f64::from(i) / 2000.0;
            let (fast, slow) = (fast_normal_quantile(p), normal_quantile(p));
            assert!((fast - slow).abs() <= 3e-15 * (1.0 + slow.abs()), "{p}: {fast} {slow}");
        }
        for p in [1e-16, 1e-12, 1e-6, 1e-3] {
            assert!((fast_normal_quantile(p) / normal_quantile(p) - 1.0).abs() < 1e-14, "{p}");
        }
    }

    #[test]
    fn a_column_holds_the_values_of_the_next_numbers() {
        let of = [
            Distribution::Fixed { value: 3.0 },
            Distribution::Normal { mean: 1.0, sd: 2.0 },
            Distribution::Lognormal { mean: 1.0, sd: 2.0 },
            Distribution::Uniform { low: -1.0, high: 2.0 },
            Distribution::Pert { low: 0.0, mode: 0.4, high: 2.0, lambda: 4.0 },
        ];
        let (mut random, mut same) = (Random::new(4), Random::new(4));
        for d in of {
            let (mut column, mut units) = ([0.0; 500], [0.0; 500]);
            d.sampler().fill(&mut random, &mut column);
            same.fill(&mut units);
            for (x, u) in column.into_iter().zip(units) {
                let q = d.quantile(u);
                assert!((x - q).abs() < 1e-9 * (1.0 + q.abs()), "{d:?}: {x} {q}");
            }
        }
    }

    /// The share of draws below any value is the share of the distribution: Kolmogorov's distance stays below its bound
    /// at 1 in 1000, 1.95 / sqrt(n).
    #[test]
    fn triangular_draws_have_their_shape() {
        const DRAWS: usize = 100_000;
        for (low, mode, high) in [(0.0, 0.4, 2.0), (-3.0, -3.0, 1.0), (5.0, 9.0, 9.0), (-1.0, 0.0, 1.0)] {
            let d = Distribution::Triangular { low, mode, high };
            let mut x = vec![0.0; DRAWS];
            d.sampler().fill(&mut Random::new(11), &mut x);
            x.sort_by(f64::total_cmp);
            assert!(x[0] > low && x[DRAWS - 1] < high);
            let range = high - low;
            let below = |x: f64| {
                let (a, b) = (x - low, high - x);
                if x < mode { a * a / (range * (mode - low)) } else { 1.0 - b * b / (range * (high - mode)) }
            };
            let apart = (0..DRAWS).map(|i| (below(x[i]) - (i as f64 + 0.5) / DRAWS as f64).abs()).fold(0.0, f64::max);
            assert!(apart < 1.95 / (DRAWS as f64).sqrt(), "{d:?}: {apart}");
        }
    }

    #[test]
    fn a_table_is_the_quantile() {
        for (low, mode, high, lambda) in [(0.3, 0.38, 0.65, 4.0), (0.0, 0.0, 1.0, 4.0), (0.0, 0.9, 1.0, 40.0)] {
            let d = Distribution::Pert { low, mode, high, lambda };
            let s = d.sampler();
            for i in 1..200 {
                let p = f64::from(i) / 200.0;
                assert!((s.value(p) - d.quantile(p)).abs() < 1e-9 * (high - low), "{d:?} {p}");
            }
            assert!(s.value(1e-16) >= low && s.value(1.0 - 1e-16) <= high);
        }
    }
}
