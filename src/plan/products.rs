//! Takes sums of products over the same variables; computes them for many draws at once, every common product once.

use super::poly::Poly;

/// Draws that are computed together: short enough that all columns stay near the processor.
pub const ROWS: usize = 256;

/// The values of one product, one for each draw.
pub type Column = [f64; ROWS];

/// All products that some sums need.
#[derive(Debug)]
pub struct Products {
    variables: usize,
    /// Product number `variables + i` is that of two earlier ones.
    of: Vec<(usize, usize)>,
}

/// A sum over products: the constant, and numbers of products with their coefficients.
#[derive(Debug, Clone)]
pub struct Sum {
    constant: f64,
    terms: Vec<(usize, f64)>,
}

impl Products {
    /// The products of all sums, and the sums over them in the same order.
    pub fn new(variables: usize, sums: &[Poly]) -> (Self, Vec<Sum>) {
        let mut needed: Vec<&[u16]> = Vec::new();
        for (term, _) in sums.iter().flat_map(Poly::terms) {
            // With every product also what it begins with, so that each is one multiplication from another.
            needed.extend((2..=term.len()).map(|n| &term[..n]));
        }
        needed.sort_unstable();
        needed.dedup();
        let number = |term: &[u16]| match term {
            [v] => usize::from(*v),
            _ => variables + needed.binary_search(&term).expect("every product was collected above"),
        };
        let of = needed.iter().map(|t| (number(&t[..t.len() - 1]), usize::from(t[t.len() - 1]))).collect();
        let sum = |p: &Poly| Sum {
            constant: p.terms().iter().find(|t| t.0.is_empty()).map_or(0.0, |t| t.1),
            terms: p.terms().iter().filter(|t| !t.0.is_empty()).map(|(t, c)| (number(t), *c)).collect(),
        };
        (Self { variables, of }, sums.iter().map(sum).collect())
    }

    /// Room for the variables and all products.
    pub fn room(&self) -> Vec<Column> {
        vec![[0.0; ROWS]; self.variables + self.of.len()]
    }

    /// Computes all products; the variables are already in the first columns.
    pub fn compute(&self, columns: &mut [Column]) {
        for (i, (a, b)) in self.of.iter().enumerate() {
            // What a product begins with sorts before it.
            let (before, rest) = columns.split_at_mut(self.variables + i);
            for ((out, x), y) in rest[0].iter_mut().zip(&before[*a]).zip(&before[*b]) {
                *out = x * y;
            }
        }
    }
}

impl Sum {
    /// Its value for every draw.
    pub fn compute(&self, columns: &[Column], out: &mut Column) {
        let mut fours = self.terms.chunks_exact(4);
        out.fill(self.constant);
        for t in fours.by_ref() {
            // Four at a time, so that the sum is fetched and put back a quarter as often.
            let [a, b, c, d] = [0, 1, 2, 3].map(|k| &columns[t[k].0]);
            let [p, q, r, s] = [0, 1, 2, 3].map(|k| t[k].1);
            for ((((o, a), b), c), d) in out.iter_mut().zip(a).zip(b).zip(c).zip(d) {
                *o += (p * a + q * b) + (r * c + s * d);
            }
        }
        for (product, coefficient) in fours.remainder() {
            out.iter_mut().zip(&columns[*product]).for_each(|(o, x)| *o += coefficient * x);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_the_values_of_the_sums() {
        let v = |i: u16| Poly::variable(i).add(&Poly::constant(f64::from(i) - 1.0));
        let sums = [
            v(0).mul(&v(1)).mul(&v(2)).mul(&v(2)),
            v(2).mul(&v(0)).scale(-3.0),
            Poly::constant(4.0),
            Poly::default(),
            Poly::variable(1).mul(&Poly::variable(1)),
        ];
        let (products, compiled) = Products::new(3, &sums);
        let mut columns = products.room();
        let value = |i: usize, r: usize| 0.3 * i as f64 + 0.01 * r as f64 - 1.0;
        for (i, c) in columns[..3].iter_mut().enumerate() {
            c.iter_mut().enumerate().for_each(|(r, x)| *x = value(i, r));
        }
        products.compute(&mut columns);
        let mut out = [7.0; ROWS];
        for (sum, poly) in compiled.iter().zip(&sums) {
            sum.compute(&columns, &mut out);
            for (r, x) in out.iter().enumerate() {
                let direct = poly.at(&[value(0, r), value(1, r), value(2, r)]);
                assert!((x - direct).abs() < 1e-12 * (1.0 + direct.abs()), "{r}: {x} {direct}");
            }
        }
    }
}
