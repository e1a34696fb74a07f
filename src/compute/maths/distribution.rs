//! Takes the parameters of a distribution; gives mean, variance, quantiles, and a fast way to draw from it.

use super::{beta_cdf, beta_quantile, normal_quantile};

/// A distribution of one quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Distribution {
    Normal {
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
    (1.0 + lambda * (mode - low) / range, 1.0 + lambda * (high - mode) / range)
}

impl Distribution {
    /// Mean.
    pub fn mean(&self) -> f64 {
        match *self {
            Self::Normal { mean, .. } => mean,
            Self::Uniform { low, high } => 0.5 * (low + high),
            Self::Triangular { low, mode, high } => (low + mode + high) / 3.0,
            Self::Pert { low, mode, high, lambda } => (low + lambda * mode + high) / (lambda + 2.0),
        }
    }

    /// Variance.
    pub fn variance(&self) -> f64 {
        match *self {
            Self::Normal { sd, .. } => sd * sd,
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
            Self::Normal { mean, sd } => mean + sd * normal_quantile(p),
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

    /// The distribution made ready for many draws.
    pub fn sampler(&self) -> Sampler {
        let table = match *self {
            Self::Pert { low, mode, high, lambda } => {
                let (a, b) = pert_shape(low, mode, high, lambda);
                Some(Table::new(a, b))
            }
            _ => None,
        };
        Sampler { of: *self, table }
    }
}

/// Draws by the inverse of the share below.
#[derive(Debug, Clone)]
pub struct Sampler {
    of: Distribution,
    table: Option<Table>,
}

impl Sampler {
    /// The value of a number `u` between 0 and 1.
    pub fn value(&self, u: f64) -> f64 {
        match (self.of, &self.table) {
            (Distribution::Normal { mean, sd }, _) => mean + sd * fast_normal_quantile(u),
            (Distribution::Pert { low, high, .. }, Some(table)) => low + (high - low) * table.quantile(u),
            (d, _) => d.quantile(u),
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
