//! Takes pairs of numbers; gives complex sums, products, quotients and square roots.

use std::ops::{Add, Mul, Sub};

/// A complex number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Complex {
    pub re: f64,
    pub im: f64,
}

impl Complex {
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// Times a real number.
    pub fn times(self, x: f64) -> Self {
        Self::new(self.re * x, self.im * x)
    }

    /// One over the number; not finite for zero.
    pub fn inverse(self) -> Self {
        let square = self.re * self.re + self.im * self.im;
        Self::new(self.re / square, -self.im / square)
    }

    /// Square root with a real part that is not negative.
    pub fn sqrt(self) -> Self {
        let size = libm::hypot(self.re, self.im);
        // The larger part first; the other by division, so that no difference loses its digits.
        let large = (0.5 * (size + self.re.abs())).sqrt();
        if large == 0.0 {
            return Self::new(0.0, 0.0);
        }
        let small = 0.5 * self.im / large;
        if self.re >= 0.0 { Self::new(large, small) } else { Self::new(small.abs(), large.copysign(self.im)) }
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.re + o.re, self.im + o.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.re - o.re, self.im - o.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        Self::new(self.re * o.re - self.im * o.im, self.re * o.im + self.im * o.re)
    }
}

#[cfg(test)]
mod tests {
    use super::Complex;

    #[test]
    fn roots_and_inverses_undo() {
        for (re, im) in [(3.0, -4.0), (-3.0, 1e-9), (4.3, -0.0774), (0.0, 2.0)] {
            let z = Complex::new(re, im);
            let back = z.sqrt() * z.sqrt() - z;
            assert!(back.re.abs() < 1e-14 && back.im.abs() < 1e-14, "{z:?}");
            let one = z * z.inverse();
            assert!((one.re - 1.0).abs() < 1e-15 && one.im.abs() < 1e-15);
        }
    }
}
