//! Takes sums of products of uncertain numbers; gives their exact means from the moments of each number.

use super::poly::Poly;
use crate::compute::maths::distribution::Distribution;

/// Mean of a sum of products; the numbers are independent of each other.
pub fn mean(of: &[Distribution], sum: &Poly) -> f64 {
    let product = |term: &[u16]| {
        let powers = term.chunk_by(|a, b| a == b);
        powers.map(|p| of[usize::from(p[0])].moment(p.len())).product::<f64>()
    };
    sum.terms().iter().map(|(term, c)| c * product(term)).sum()
}

/// Mean of a product of sums. Only sums that share a variable are multiplied out: the others are independent.
pub fn mean_of_product(of: &[Distribution], factors: Vec<Poly>) -> f64 {
    let mut apart: Vec<(Vec<u16>, Poly)> = Vec::new();
    for f in factors {
        let mut joined = (variables(&f), f);
        while let Some(i) = apart.iter().position(|(v, _)| v.iter().any(|x| joined.0.contains(x))) {
            let (v, other) = apart.remove(i);
            joined.0.extend(v);
            joined.1 = other.mul(&joined.1);
        }
        apart.push(joined);
    }
    apart.iter().map(|(_, sum)| mean(of, sum)).product()
}

fn variables(sum: &Poly) -> Vec<u16> {
    let mut out: Vec<u16> = sum.terms().iter().flat_map(|t| t.0.iter().copied()).collect();
    out.sort_unstable();
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_product_worked_by_hand() {
        // x uniform on 0..2 (moments 1, 4/3, 2), y fixed at 3, z normal with mean 1 and sd 2 (moments 1, 5).
        let of = [
            Distribution::Uniform { low: 0.0, high: 2.0 },
            Distribution::Fixed { value: 3.0 },
            Distribution::Normal { mean: 1.0, sd: 2.0 },
        ];
        let [x, y, z] = [0, 1, 2].map(Poly::variable);
        // E[x x (x + y)] = E[x^3] + 3 E[x^2] = 2 + 4
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        close(mean_of_product(&of, vec![x.clone(), x.clone(), x.add(&y)]), 6.0);
        // (z + 1)^2 is not (E[z] + 1)^2: 5 + 2 + 1; times E[x] = 1.
        let one = z.add(&Poly::constant(1.0));
        close(mean_of_product(&of, vec![one.clone(), x.clone(), one]), 8.0);
        // x links the first and the last factor, z the second and the last: E[x(x + z)z] = 4/3 + 5.
        close(mean_of_product(&of, vec![x.clone(), z.clone(), x.add(&z)]), 4.0 / 3.0 + 5.0);
        close(mean_of_product(&of, vec![]), 1.0);
    }
}
