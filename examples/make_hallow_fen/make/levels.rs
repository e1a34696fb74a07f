//! Takes mean and spread; gives the level of every comb, drawn and then standardised.
//!
//! **The draws are standardised on purpose.** Twenty-four draws from a normal population have a mean and a
//! spread of their own, and the story of the example needs exact ones: mean, total standard deviation and
//! the share of variance between boards of each cell are those of the scenario, to the last digit that the
//! readings keep. Which comb is high and which is low stays chance. Real data never come out like this.

use super::chance::Chance;

/// What a cell is made to show. Levels are decimal logarithms of ohm.
#[derive(Clone, Copy)]
pub struct Spread {
    pub mean: f64,
    /// Standard deviation between boards, decades.
    pub between: f64,
    /// Standard deviation within a board, decades.
    pub within: f64,
    /// No comb lies below this; the cell is drawn again until that holds.
    pub floor: f64,
}

impl Spread {
    pub const fn new(mean: f64, between: f64, within: f64) -> Self {
        Self { mean, between, within, floor: f64::NEG_INFINITY }
    }

    pub const fn above(self, floor: f64) -> Self {
        Self { floor, ..self }
    }

    fn total(self) -> f64 {
        libm::sqrt(self.between * self.between + self.within * self.within)
    }
}

/// Levels of `combs` combs on each of `boards` boards.
pub fn levels(chance: &mut Chance, boards: usize, combs: usize, s: Spread) -> Vec<Vec<f64>> {
    loop {
        let drawn = if combs == 1 { single(chance, boards, s) } else { nested(chance, boards, combs, s) };
        if drawn.iter().flatten().all(|x| *x >= s.floor) {
            return drawn;
        }
    }
}

fn single(chance: &mut Chance, boards: usize, s: Spread) -> Vec<Vec<f64>> {
    let mut x = chance.normals(boards);
    centre(&mut x);
    scale(&mut x, s.total() * s.total() * (boards - 1) as f64);
    x.into_iter().map(|d| vec![s.mean + d]).collect()
}

/// Board effects a and comb effects e, both centred. With MSW = sum(e^2)/(b(m-1)) and MSB = m sum(a^2)/(b-1) the
/// intraclass correlation is that of the two spreads; then all deviations are scaled to the total spread.
fn nested(chance: &mut Chance, boards: usize, combs: usize, s: Spread) -> Vec<Vec<f64>> {
    let (b, m) = (boards as f64, combs as f64);
    let mut a = chance.normals(boards);
    centre(&mut a);
    scale(&mut a, (b - 1.0) * (s.between * s.between + s.within * s.within / m));
    let mut e: Vec<Vec<f64>> = (0..boards)
        .map(|_| {
            let mut of_board = chance.normals(combs);
            centre(&mut of_board);
            of_board
        })
        .collect();
    let squares: f64 = e.iter().flatten().map(|x| x * x).sum();
    let factor = libm::sqrt(b * (m - 1.0) * s.within * s.within / squares);
    for x in e.iter_mut().flatten() {
        *x *= factor;
    }
    let of_all: f64 = a.iter().zip(&e).flat_map(|(a, e)| e.iter().map(move |e| (a + e) * (a + e))).sum();
    let to_total = s.total() / libm::sqrt(of_all / (b * m - 1.0));
    a.iter().zip(&e).map(|(a, e)| e.iter().map(|e| s.mean + (a + e) * to_total).collect()).collect()
}

/// Draws with exactly this mean and standard deviation.
pub fn standardised(chance: &mut Chance, n: usize, mean: f64, sd: f64) -> Vec<f64> {
    levels(chance, n, 1, Spread::new(mean, sd, 0.0)).into_iter().flatten().collect()
}

fn centre(x: &mut [f64]) {
    let mean = x.iter().sum::<f64>() / x.len() as f64;
    for v in x {
        *v -= mean;
    }
}

/// Scales so that the sum of squares becomes `wanted`.
fn scale(x: &mut [f64], wanted: f64) {
    let factor = libm::sqrt(wanted / x.iter().map(|v| v * v).sum::<f64>());
    for v in x {
        *v *= factor;
    }
}
