//! Takes numbers of the plan and uncertain parameters; gives sums of products of them, so that a cost can be computed for any values.

use std::cmp::Ordering;

/// Sum of terms, each a coefficient times a product of variables.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Poly {
    /// Rising by variables; a variable stands in a term as often as its power says, and the constant term has none.
    terms: Vec<(Vec<u16>, f64)>,
}

impl Poly {
    pub fn constant(value: f64) -> Self {
        Self::of(vec![(Vec::new(), value)])
    }

    pub fn variable(index: u16) -> Self {
        Self { terms: vec![(vec![index], 1.0)] }
    }

    /// The terms: variables with repetition, rising, and coefficient, which is never 0.
    pub fn terms(&self) -> &[(Vec<u16>, f64)] {
        &self.terms
    }

    /// Sums what has the same variables, in the order in which it is given.
    fn of(mut terms: Vec<(Vec<u16>, f64)>) -> Self {
        terms.sort_by(|a, b| a.0.cmp(&b.0));
        terms.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
            }
            same
        });
        terms.retain(|t| t.1 != 0.0);
        Self { terms }
    }

    pub fn add(&self, other: &Self) -> Self {
        self.plus(other, 1.0)
    }

    pub fn sub(&self, other: &Self) -> Self {
        self.plus(other, -1.0)
    }

    /// Merges two rising lists of terms.
    fn plus(&self, other: &Self, factor: f64) -> Self {
        let (mut a, mut b) = (self.terms.iter().peekable(), other.terms.iter().peekable());
        let mut terms = Vec::with_capacity(self.terms.len() + other.terms.len());
        loop {
            let order = match (a.peek(), b.peek()) {
                (None, None) => break,
                (Some(_), None) => Ordering::Less,
                (None, Some(_)) => Ordering::Greater,
                (Some(x), Some(y)) => x.0.cmp(&y.0),
            };
            let left = if order == Ordering::Greater { None } else { a.next() };
            let right = if order == Ordering::Less { None } else { b.next() };
            let value = left.map_or(0.0, |t| t.1) + right.map_or(0.0, |t| factor * t.1);
            if let Some(t) = left.or(right).filter(|_| value != 0.0) {
                terms.push((t.0.clone(), value));
            }
        }
        Self { terms }
    }

    pub fn mul(&self, other: &Self) -> Self {
        let mut terms = Vec::with_capacity(self.terms.len() * other.terms.len());
        for (x, a) in &self.terms {
            for (y, b) in &other.terms {
                let mut variables: Vec<u16> = x.iter().chain(y).copied().collect();
                variables.sort_unstable();
                terms.push((variables, a * b));
            }
        }
        Self::of(terms)
    }

    pub fn scale(&self, factor: f64) -> Self {
        let scaled = self.terms.iter().map(|(v, c)| (v.clone(), c * factor));
        Self { terms: scaled.filter(|t| t.1 != 0.0).collect() }
    }

    /// The value when no variable is in it.
    pub fn constant_value(&self) -> Option<f64> {
        match self.terms.as_slice() {
            [] => Some(0.0),
            [(v, c)] if v.is_empty() => Some(*c),
            _ => None,
        }
    }

    /// The value where variable i has `values[i]`.
    ///
    /// # Panics
    /// If a variable has no value; who numbers the variables also gives all values.
    pub fn at(&self, values: &[f64]) -> f64 {
        let product = |v: &[u16]| v.iter().map(|i| values[usize::from(*i)]).product::<f64>();
        self.terms.iter().map(|(v, c)| c * product(v)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_product_worked_by_hand() {
        let (x, y) = (Poly::variable(0), Poly::variable(1));
        // (x + 2)(x - 2y) = x^2 - 2xy + 2x - 4y
        let p = x.add(&Poly::constant(2.0)).mul(&x.sub(&y.scale(2.0)));
        let expected: Vec<(Vec<u16>, f64)> =
            vec![(vec![0], 2.0), (vec![0, 0], 1.0), (vec![0, 1], -2.0), (vec![1], -4.0)];
        assert_eq!(p.terms(), expected);
        assert_eq!(p.at(&[3.0, 5.0]), 5.0 * -7.0);
        assert_eq!(p.constant_value(), None);
    }

    #[test]
    fn what_cancels_leaves_no_term() {
        let x = Poly::variable(7);
        let three = Poly::constant(3.0);
        assert_eq!(x.sub(&x), Poly::constant(0.0));
        assert_eq!(x.add(&three).sub(&x).constant_value(), Some(3.0));
        assert_eq!(x.scale(0.0).constant_value(), Some(0.0));
        // (x + 3)(x - 3) = x^2 - 9 has no term in x.
        let p = x.add(&three).mul(&x.sub(&three));
        assert_eq!(p.terms(), [(vec![], -9.0), (vec![7, 7], 1.0)]);
        assert!(p.mul(&Poly::default()).terms().is_empty());
    }

    #[test]
    fn sums_and_products_are_those_of_their_values() {
        let at = [0.7, -1.3, 2.1];
        let v = |i: u16, c: f64| Poly::variable(i).scale(c).add(&Poly::constant(c - 1.0));
        let (a, b) = (v(0, 2.5).mul(&v(2, -0.5)).add(&v(1, 3.0)), v(1, 1.5).mul(&v(0, 4.0)).mul(&v(0, 0.25)));
        let (x, y) = (a.at(&at), b.at(&at));
        for (p, value) in [(a.add(&b), x + y), (a.sub(&b), x - y), (a.mul(&b), x * y), (b.scale(-2.0), -2.0 * y)] {
            assert!((p.at(&at) - value).abs() < 1e-12 * (1.0 + value.abs()), "{p:?}");
            assert!(p.terms().windows(2).all(|w| w[0].0 < w[1].0) && p.terms().iter().all(|t| t.1 != 0.0));
        }
        assert_eq!(a.mul(&b), b.mul(&a));
    }
}
