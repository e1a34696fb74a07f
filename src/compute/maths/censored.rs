//! Takes readings, some known only to lie above, below or between bounds; gives the normal population most likely to give them.

use super::normal::normal_log_cdf;
use std::f64::consts::PI;

/// Readings on the scale on which they are normal.
#[derive(Debug, Clone, Default)]
pub struct Readings {
    pub exact: Vec<f64>,
    /// The reading lies above.
    pub above: Vec<f64>,
    /// The reading lies below.
    pub below: Vec<f64>,
    /// The reading lies between, the lower bound first.
    pub between: Vec<(f64, f64)>,
}

/// The fitted population, with the inverse of the observed information in mean and s.
#[derive(Debug, Clone, Copy)]
pub struct Fit {
    pub mean: f64,
    /// Standard deviation, n in the denominator when nothing is censored.
    pub s: f64,
    pub loglik: f64,
    pub var_mean: f64,
    pub var_s: f64,
    pub cov: f64,
}

impl Readings {
    pub fn count(&self) -> usize {
        self.exact.len() + self.above.len() + self.below.len() + self.between.len()
    }

    /// Every finite number that a reading is compared with.
    fn marks(&self) -> Vec<f64> {
        let mut all = self.exact.clone();
        all.extend(&self.above);
        all.extend(&self.below);
        all.extend(self.between.iter().flat_map(|b| [b.0, b.1]));
        all
    }

    /// Whether some single value agrees with every reading: then the likelihood has no highest point, as the spread
    /// shrinks to nothing, or grows without end where every reading lies above or every one below.
    fn one_value_agrees(&self) -> bool {
        let mut low = f64::NEG_INFINITY;
        let mut high = f64::INFINITY;
        self.exact.iter().chain(&self.above).for_each(|v| low = low.max(*v));
        self.exact.iter().chain(&self.below).for_each(|v| high = high.min(*v));
        for (a, b) in &self.between {
            low = low.max(*a);
            high = high.min(*b);
        }
        low <= high
    }
}

/// Log-likelihood with gradient and Hessian in a = mean/s and b = 1/s, in which it is concave.
#[derive(Debug, Clone, Copy, Default)]
struct At {
    value: f64,
    ga: f64,
    gb: f64,
    aa: f64,
    ab: f64,
    bb: f64,
}

impl At {
    /// A bound `low` < reading < `high`; infinities for one-sided.
    fn add(&mut self, a: f64, b: f64, low: f64, high: f64) {
        let (mut u, mut v) = (b * low - a, b * high - a);
        let flipped = u > 0.0;
        if flipped {
            (u, v) = (-v, -u);
        }
        let (below, above) = (log_cdf(u), log_cdf(v));
        let log_p = above + libm::log1p(-libm::exp(below - above));
        let ratio =
            |z: f64| if z.is_finite() { libm::exp(-0.5 * z * z - 0.5 * libm::log(2.0 * PI) - log_p) } else { 0.0 };
        let (mut ru, mut rv) = (ratio(u), ratio(v));
        if flipped {
            (u, v) = (-v, -u);
            (ru, rv) = (rv, ru);
        }
        let times = |z: f64, r: f64| if r == 0.0 { 0.0 } else { z * r };
        let huu = times(u, ru) - ru * ru;
        let hvv = -times(v, rv) - rv * rv;
        let huv = ru * rv;
        let (x, y) = (if low.is_finite() { low } else { 0.0 }, if high.is_finite() { high } else { 0.0 });
        self.value += log_p;
        self.ga += ru - rv;
        self.gb += y * rv - x * ru;
        self.aa += huu + 2.0 * huv + hvv;
        self.ab -= x * huu + (x + y) * huv + y * hvv;
        self.bb += x * x * huu + 2.0 * x * y * huv + y * y * hvv;
    }
}

fn log_cdf(z: f64) -> f64 {
    if z == f64::INFINITY {
        0.0
    } else if z == f64::NEG_INFINITY {
        f64::NEG_INFINITY
    } else {
        normal_log_cdf(z)
    }
}

fn at(r: &Readings, a: f64, b: f64) -> At {
    let mut t = At::default();
    for x in &r.exact {
        let u = b * x - a;
        t.value += libm::log(b) - 0.5 * u * u - 0.5 * libm::log(2.0 * PI);
        t.ga += u;
        t.gb += 1.0 / b - u * x;
        t.aa -= 1.0;
        t.ab += x;
        t.bb -= 1.0 / (b * b) + x * x;
    }
    r.above.iter().for_each(|x| t.add(a, b, *x, f64::INFINITY));
    r.below.iter().for_each(|x| t.add(a, b, f64::NEG_INFINITY, *x));
    r.between.iter().for_each(|(x, y)| t.add(a, b, *x, *y));
    t
}

/// An interval narrower than this share of the spread of all marks is taken as a reading at its middle: the error of
/// the likelihood is a twenty-fourth of the square.
const NARROW: f64 = 1e-4;

/// The most likely normal population, by damped Newton steps on the concave likelihood; none where no finite mean and
/// positive spread is most likely. Ends after a bounded number of steps.
pub fn normal_fit(readings: &Readings) -> Option<Fit> {
    if readings.count() == 0 || readings.one_value_agrees() {
        return None;
    }
    let marks = readings.marks();
    let centre = super::mean(&marks);
    let width = super::sd(&marks);
    if width.is_nan() || width <= 0.0 || !width.is_finite() {
        return None;
    }
    let to = |x: f64| (x - centre) / width;
    let mut r = Readings {
        exact: readings.exact.iter().copied().map(to).collect(),
        above: readings.above.iter().copied().map(to).collect(),
        below: readings.below.iter().copied().map(to).collect(),
        between: Vec::new(),
    };
    let mut constant = -(readings.exact.len() as f64) * libm::log(width);
    for (x, y) in &readings.between {
        let (x, y) = (to(*x), to(*y));
        if y - x < NARROW {
            r.exact.push(0.5 * (x + y));
            constant += libm::log(y - x);
        } else {
            r.between.push((x, y));
        }
    }
    let (mut a, mut b) = (0.0, 1.0);
    let mut now = at(&r, a, b);
    for _ in 0..500 {
        let det = now.aa * now.bb - now.ab * now.ab;
        let (mut da, mut db) = if det > 0.0 && now.aa < 0.0 {
            ((now.ab * now.gb - now.bb * now.ga) / det, (now.ab * now.ga - now.aa * now.gb) / det)
        } else {
            (now.ga, now.gb)
        };
        if db < -0.9 * b {
            let part = -0.9 * b / db;
            da *= part;
            db *= part;
        }
        let rise = now.ga * da + now.gb * db;
        // So near the top that the next full step ends at the rounding of the sums: take it, and no other.
        if rise.abs() < 1e-10 {
            let next = at(&r, a + da, b + db);
            if next.value.is_finite() && b + db > 0.0 {
                (a, b, now) = (a + da, b + db, next);
            }
            break;
        }
        let mut moved = false;
        for _ in 0..60 {
            let next = at(&r, a + da, b + db);
            if next.value > now.value {
                (a, b, now, moved) = (a + da, b + db, next, true);
                break;
            }
            da *= 0.5;
            db *= 0.5;
        }
        if !moved || b < 1e-9 {
            break;
        }
    }
    let det = now.aa * now.bb - now.ab * now.ab;
    if !(b > 1e-6
        && b < 1e12
        && det > 0.0
        && now.value.is_finite()
        && now.ga.abs() + now.gb.abs() * b < 1e-4 * readings.count() as f64)
    {
        return None;
    }
    // Inverse information in (a, b), carried over to mean = a/b and s = 1/b.
    let (caa, cbb, cab) = (-now.bb / det, -now.aa / det, now.ab / det);
    let (s, m) = (1.0 / b, a / b);
    let (ma, mb, sb) = (s, -m * s, -s * s);
    let scale = width * width;
    Some(Fit {
        mean: centre + width * m,
        s: width * s,
        loglik: now.value + constant,
        var_mean: scale * (ma * ma * caa + 2.0 * ma * mb * cab + mb * mb * cbb),
        var_s: scale * sb * sb * cbb,
        cov: scale * sb * (ma * cab + mb * cbb),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_censoring_it_is_mean_and_spread() {
        let f = normal_fit(&Readings { exact: vec![1.0, 2.0, 4.0], ..Readings::default() }).expect("a fit");
        assert!((f.mean - 7.0 / 3.0).abs() < 1e-14 && (f.s * f.s - 14.0 / 9.0).abs() < 1e-14, "{f:?}");
        // Variances s^2/n and s^2/(2 n), no covariance.
        assert!((f.var_mean - f.s * f.s / 3.0).abs() < 1e-14 && (f.var_s - f.s * f.s / 6.0).abs() < 1e-14);
        assert!(f.cov.abs() < 1e-14);
    }

    #[test]
    fn what_has_no_highest_likelihood_is_refused() {
        let r = |exact: &[f64], above: &[f64], below: &[f64], between: &[(f64, f64)]| Readings {
            exact: exact.to_vec(),
            above: above.to_vec(),
            below: below.to_vec(),
            between: between.to_vec(),
        };
        assert!(normal_fit(&Readings::default()).is_none());
        assert!(normal_fit(&r(&[9.0], &[], &[], &[])).is_none());
        assert!(normal_fit(&r(&[9.0, 9.0], &[8.0], &[10.0], &[(8.5, 9.0)])).is_none());
        assert!(normal_fit(&r(&[], &[12.0, 12.0], &[], &[])).is_none());
        assert!(normal_fit(&r(&[], &[], &[6.0], &[])).is_none());
        assert!(normal_fit(&r(&[], &[], &[], &[(9.0, 10.0), (9.0, 10.0)])).is_none());
        assert!(normal_fit(&r(&[], &[], &[], &[(9.0, 10.0), (10.0, 11.0)])).is_none(), "two neighbours");
        assert!(normal_fit(&r(&[], &[11.0], &[10.0], &[])).is_none(), "spread without end");
        assert!(normal_fit(&r(&[], &[11.0, 11.0], &[10.0, 12.0], &[])).is_none(), "spread without end");
        // These have one.
        assert!(normal_fit(&r(&[9.0], &[12.0], &[], &[])).is_some());
        assert!(normal_fit(&r(&[], &[], &[], &[(8.0, 9.0), (9.0, 10.0), (10.0, 11.0)])).is_some());
        assert!(normal_fit(&r(&[9.0, 9.0, 9.0], &[12.0], &[], &[])).is_some());
    }
}
