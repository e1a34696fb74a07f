//! Takes shares as decimals; gives their exact complements and the exact binomial test at a boundary.

/// A decimal in 0 to 1 as written: `digits` over 10^`places`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Decimal {
    pub digits: u64,
    pub places: u32,
}

impl Decimal {
    /// The shortest decimal that reads as `x`; none outside 0 to 1 or with more than 18 places.
    pub fn of(x: f64) -> Option<Self> {
        if !(0.0..=1.0).contains(&x) {
            return None;
        }
        let text = format!("{x}");
        let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
        if rest.len() > 18 {
            return None;
        }
        let digits: u64 = format!("{whole}{rest}").parse().ok()?;
        Some(Self { digits, places: u32::try_from(rest.len()).ok()? })
    }

    /// 1 less this decimal, exactly.
    pub fn rest(self) -> Self {
        Self { digits: 10u64.pow(self.places) - self.digits, places: self.places }
    }

    /// The nearest double: both parts are exact below 2^53.
    pub fn value(self) -> f64 {
        self.digits as f64 / 10u64.pow(self.places) as f64
    }
}

/// 1 - `x` of the decimal that is written, not of the double that stands for it.
pub fn complement(x: f64) -> f64 {
    Decimal::of(x).map_or(1.0 - x, |d| d.rest().value())
}

/// A whole number of any size, lowest 32 bits first.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Big(Vec<u32>);

impl Big {
    fn new(mut x: u64) -> Self {
        let mut v = Vec::new();
        while x > 0 {
            v.push((x & 0xffff_ffff) as u32);
            x >>= 32;
        }
        Self(v)
    }

    fn times(&mut self, by: u64) {
        let mut carry: u128 = 0;
        for limb in &mut self.0 {
            let product = u128::from(*limb) * u128::from(by) + carry;
            *limb = (product & 0xffff_ffff) as u32;
            carry = product >> 32;
        }
        while carry > 0 {
            self.0.push((carry & 0xffff_ffff) as u32);
            carry >>= 32;
        }
    }

    /// Exact division by a small number that divides.
    fn over(&mut self, by: u64) {
        let mut rest: u128 = 0;
        for limb in self.0.iter_mut().rev() {
            let value = (rest << 32) | u128::from(*limb);
            *limb = (value / u128::from(by)) as u32;
            rest = value % u128::from(by);
        }
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
    }

    fn plus(&mut self, other: &Self) {
        let mut carry = 0u64;
        for i in 0..self.0.len().max(other.0.len()) {
            if i == self.0.len() {
                self.0.push(0);
            }
            let sum = u64::from(self.0[i]) + u64::from(other.0.get(i).copied().unwrap_or(0)) + carry;
            self.0[i] = (sum & 0xffff_ffff) as u32;
            carry = sum >> 32;
        }
        if carry > 0 {
            self.0.push(carry as u32);
        }
    }

    fn at_most(&self, other: &Self) -> bool {
        let by_length = self.0.len().cmp(&other.0.len());
        by_length.then_with(|| self.0.iter().rev().cmp(other.0.iter().rev())).is_le()
    }
}

/// Whether P(X <= k) <= 1 - `c` for X binomial with `n` trials of failure share 1 - `r`, in whole numbers.
///
/// Costs about n^2 times the places of `r`; `n` > `k`.
pub fn tail_at_most(n: u64, r: Decimal, k: u64, c: Decimal) -> bool {
    // Sum over i of C(n, i) q^i r^(n-i), all over 10^(places n).
    let (good, bad) = (r.digits, r.rest().digits);
    let mut sum = Big::new(0);
    for i in 0..=k {
        let mut term = Big::new(1);
        for j in 0..i {
            term.times(n - j);
            term.over(j + 1);
        }
        for _ in 0..i {
            term.times(bad);
        }
        for _ in i..n {
            term.times(good);
        }
        sum.plus(&term);
    }
    let mut allowed = Big::new(c.rest().digits);
    for _ in 0..n {
        allowed.times(10u64.pow(r.places));
    }
    sum.times(10u64.pow(c.places));
    sum.at_most(&allowed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_those_that_are_written() {
        let d = Decimal::of(0.36).expect("a decimal");
        assert_eq!((d.digits, d.places, d.rest().digits), (36, 2, 64));
        assert_eq!(complement(0.9999), 0.0001);
        assert_eq!(Decimal::of(1.0).expect("a decimal").rest().digits, 0);
        assert!(Decimal::of(1.5).is_none() && Decimal::of(f64::NAN).is_none());
    }

    #[test]
    fn boundaries_are_met_exactly() {
        let d = |x: f64| Decimal::of(x).expect("a decimal");
        // 0.8^2 = 0.64 and 0.9^3 = 0.729 to the last digit; 0.9^2 + 2 * 0.9 * 0.1 = 0.99.
        assert!(tail_at_most(2, d(0.8), 0, d(0.36)) && !tail_at_most(1, d(0.8), 0, d(0.36)));
        assert!(tail_at_most(3, d(0.9), 0, d(0.271)) && !tail_at_most(3, d(0.9), 0, d(0.2710000001)));
        assert!(tail_at_most(2, d(0.9), 1, d(0.01)) && !tail_at_most(2, d(0.9), 1, d(0.010000001)));
        assert!(tail_at_most(473, d(0.99), 1, d(0.95)) && !tail_at_most(472, d(0.99), 1, d(0.95)));
    }
}
