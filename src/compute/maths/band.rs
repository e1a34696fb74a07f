//! Takes a symmetric matrix with a narrow band; solves with it.

/// Lower half of a symmetric matrix whose entries lie within `width` of the diagonal.
pub struct Band {
    n: usize,
    width: usize,
    cells: Vec<f64>,
}

impl Band {
    /// All zeros.
    pub fn new(n: usize, width: usize) -> Self {
        Self { n, width, cells: vec![0.0; n * (width + 1)] }
    }

    /// Entry of row `i` and column `j`, from `i` - width to `i`.
    pub fn at(&mut self, i: usize, j: usize) -> &mut f64 {
        &mut self.cells[i * (self.width + 1) + self.width + j - i]
    }

    /// Solves for `b` in place, by Cholesky; the matrix is used up.
    pub fn solve(&mut self, b: &mut [f64]) {
        let (w, line) = (self.width, self.width + 1);
        for i in 0..self.n {
            let (before, rest) = self.cells.split_at_mut(i * line);
            let row = &mut rest[..line];
            for j in i.saturating_sub(w)..i {
                let at = w + j - i;
                // Columns that both rows hold: from i - w on.
                let other = &before[j * line..(j + 1) * line];
                let sum = dot(&row[..at], &other[w - at..w]);
                row[at] = (row[at] - sum) / other[w];
            }
            let sum = dot(&row[..w], &row[..w]);
            row[w] = (row[w] - sum).sqrt();
            let start = i.saturating_sub(w);
            let sum = dot(&row[w + start - i..w], &b[start..i]);
            b[i] = (b[i] - sum) / row[w];
        }
        for i in (0..self.n).rev() {
            let row = &self.cells[i * line..(i + 1) * line];
            b[i] /= row[w];
            let v = b[i];
            let start = i.saturating_sub(w);
            for (b, k) in b[start..i].iter_mut().zip(&row[w + start - i..w]) {
                *b -= k * v;
            }
        }
    }
}

/// Sum of products in four lanes, always in the same order.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut lanes = [0.0; 4];
    let (pa, pb) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = pa.remainder().iter().zip(pb.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in pa.zip(pb) {
        for k in 0..4 {
            lanes[k] += x[k] * y[k];
        }
    }
    (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]) + rest
}

#[cfg(test)]
mod tests {
    use super::Band;

    #[test]
    fn a_band_is_solved() {
        let mut band = Band::new(6, 2);
        for i in 0..6 {
            *band.at(i, i) = 4.0;
            if i > 0 {
                *band.at(i, i - 1) = -1.0;
            }
            if i > 1 {
                *band.at(i, i - 2) = -0.5;
            }
        }
        let want: [f64; 6] = [1.0, -2.0, 3.0, 0.5, 0.0, 7.0];
        let mut b: Vec<f64> = (0..6usize)
            .map(|i| {
                let k = |j: usize| [4.0, -1.0, -0.5].get(i.abs_diff(j)).copied().unwrap_or(0.0);
                (0..6).map(|j| k(j) * want[j]).sum()
            })
            .collect();
        band.solve(&mut b);
        assert!(b.iter().zip(want).all(|(a, w)| (a - w).abs() < 1e-12), "{b:?}");
    }
}
