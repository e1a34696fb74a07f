//! Takes a thick strip on a grounded board under a film that is flat or follows it; gives field energies by finite elements.

use super::band::Band;
use super::gauss::legendre;

/// A strip of some thickness; lengths in one unit.
#[derive(Debug, Clone, Copy)]
pub struct ThickStrip {
    pub w: f64,
    pub h: f64,
    /// Thickness of the strip, above 0.
    pub t: f64,
    /// Thickness of the film; 0 for none, infinite for a half space.
    pub d: f64,
    /// The film has the same thickness above the strip and on its flanks as above the board; else its surface is flat.
    pub follows: bool,
}

/// Twice the energies of board, film and air at 1 V over the permittivity of vacuum; their sum is the capacitance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Energies {
    pub board: f64,
    pub film: f64,
    pub air: f64,
}

impl Energies {
    pub fn sum(&self) -> f64 {
        self.board + self.film + self.air
    }
}

/// Degree of the elements.
const P: usize = 4;
/// Nodes along one side of an element, and nodes on its rim.
const S: usize = P + 1;
const RIM: usize = 4 * P;
/// The walls of the box are this many widths or heights away.
const FAR: f64 = 200.0;
/// Each element towards a corner of the strip is this share of the one before.
const SHRINK: f64 = 0.15;
/// Each element outwards is this much longer than the one before.
const GROW: f64 = 2.5;

/// What fills an element.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fill {
    Board,
    Film,
    Air,
    Metal,
}

/// Right half of the cross-section, cut into rectangles that shrink towards the corners of strip and film.
pub struct Mesh {
    x: Vec<f64>,
    y: Vec<f64>,
    elements: Vec<Element>,
}

struct Element {
    fill: Fill,
    column: usize,
    row: usize,
    /// Stiffness of the rim nodes, inner nodes eliminated, for a permittivity of 1.
    stiffness: Vec<f64>,
}

/// Points between `a` and `b` that shrink towards `b`, until a step is at most `least`, three at least.
fn towards(a: f64, b: f64, least: f64) -> Vec<f64> {
    let mut out = Vec::new();
    let mut rest = b - a;
    while out.len() < 3 || (rest.abs() > least && out.len() < 12) {
        rest *= SHRINK;
        out.push(b - rest);
    }
    out
}

/// The same from `a` on.
fn away(a: f64, b: f64, least: f64) -> Vec<f64> {
    let mut out = towards(b, a, least);
    out.reverse();
    out
}

/// Points beyond `a` whose steps grow from `first` on, the last one at `end`.
fn outwards(a: f64, first: f64, end: f64) -> Vec<f64> {
    let (mut out, mut at, mut step) = (Vec::new(), a, first);
    while at + 1.5 * step < end {
        at += step;
        out.push(at);
        step *= GROW;
    }
    out.push(end);
    out
}

impl Mesh {
    /// Cuts the cross-section of a strip.
    pub fn new(s: &ThickStrip) -> Self {
        let far = FAR * s.w.max(s.h);
        let film = s.d > 0.0 && s.d < 0.5 * far;
        let fine = 0.2 * if film { s.t.min(s.d) } else { s.t };
        let edge = 0.5 * s.w;
        let mut x = vec![0.0];
        x.extend(towards(0.0, edge, fine));
        x.push(edge);
        let beside = if film && s.follows { s.d } else { s.t };
        x.extend(away(edge, edge + beside, fine));
        x.push(edge + beside);
        x.extend(outwards(edge + beside, beside, edge + far));
        let mut y = vec![0.0];
        y.extend(towards(0.0, s.h, fine));
        y.push(s.h);
        let mut levels = vec![s.t];
        if film {
            levels.push(s.d);
            if s.follows {
                levels.push(s.t + s.d);
            }
        }
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|a, b| (*a - *b).abs() <= 1e-9 * *b);
        let mut at = s.h;
        for level in levels {
            let (top, mid) = (s.h + level, 0.5 * (at + s.h + level));
            y.extend(away(at, mid, fine));
            y.push(mid);
            y.extend(towards(mid, top, fine));
            y.push(top);
            at = top;
        }
        y.extend(away(at, at + s.t, fine));
        y.push(at + s.t);
        y.extend(outwards(at + s.t, s.t, s.h + far));
        let (mass, slope) = matrices();
        let mut elements = Vec::new();
        for row in 0..y.len() - 1 {
            for column in 0..x.len() - 1 {
                let (cx, cy) = (0.5 * (x[column] + x[column + 1]), 0.5 * (y[row] + y[row + 1]) - s.h);
                let beside_film = s.follows && cx < edge + s.d && cy < s.t + s.d;
                let fill = match () {
                    () if cy < 0.0 => Fill::Board,
                    () if cx < edge && cy < s.t => Fill::Metal,
                    () if s.d > 0.0 && (cy < s.d || beside_film) => Fill::Film,
                    () => Fill::Air,
                };
                if fill != Fill::Metal {
                    let aspect = (y[row + 1] - y[row]) / (x[column + 1] - x[column]);
                    elements.push(Element { fill, column, row, stiffness: rim_stiffness(&mass, &slope, aspect) });
                }
            }
        }
        Self { x, y, elements }
    }

    /// Energies for permittivities of board and film.
    pub fn energies(&self, s: &ThickStrip, board: f64, film: f64) -> Energies {
        let (nx, ny) = (self.x.len() - 1, self.y.len() - 1);
        let stride = nx * P + 1 + (nx + 1) * (P - 1);
        let n = ny * stride + nx * P + 1;
        let node = |e: &Element, k: usize| {
            let (a, b) = RIM_NODES[k];
            match b {
                0 => e.row * stride + e.column * P + a,
                P => (e.row + 1) * stride + e.column * P + a,
                _ => e.row * stride + nx * P + 1 + (e.column + a / P) * (P - 1) + b - 1,
            }
        };
        let of = |fill: Fill| match fill {
            Fill::Board => board,
            Fill::Film => film,
            Fill::Air | Fill::Metal => 1.0,
        };
        // 1 on the strip, 0 on ground and walls; NaN where the voltage is sought.
        let mut u = vec![f64::NAN; n];
        let strip = |x: f64, y: f64| x <= 0.5 * s.w * (1.0 + 1e-12) && y >= s.h && y <= (s.h + s.t) * (1.0 + 1e-12);
        for e in &self.elements {
            for (k, (a, b)) in RIM_NODES.iter().enumerate() {
                // A rim node lies on the strip when the ends of its side do.
                let (x0, x1) = (self.x[e.column + usize::from(*a == P)], self.x[e.column + usize::from(*a > 0)]);
                let (y0, y1) = (self.y[e.row + usize::from(*b == P)], self.y[e.row + usize::from(*b > 0)]);
                let wall = (*b == 0 && e.row == 0) || (*b == P && e.row + 1 == ny) || (*a == P && e.column + 1 == nx);
                if wall {
                    u[node(e, k)] = 0.0;
                } else if strip(x0, y0) && strip(x1, y1) {
                    u[node(e, k)] = 1.0;
                }
            }
        }
        let mut band = Band::new(n, stride + P);
        let mut right = vec![0.0; n];
        for e in &self.elements {
            let eps = of(e.fill);
            for i in 0..RIM {
                let gi = node(e, i);
                if !u[gi].is_nan() {
                    continue;
                }
                for j in 0..RIM {
                    let gj = node(e, j);
                    let k = eps * e.stiffness[i * RIM + j];
                    if u[gj].is_nan() {
                        if gj <= gi {
                            *band.at(gi, gj) += k;
                        }
                    } else {
                        right[gi] -= k * u[gj];
                    }
                }
            }
        }
        for i in 0..n {
            // Nodes with a voltage, and those inside the strip that belong to no element.
            if *band.at(i, i) == 0.0 {
                *band.at(i, i) = 1.0;
            }
        }
        band.solve(&mut right);
        for (u, v) in u.iter_mut().zip(&right) {
            if u.is_nan() {
                *u = *v;
            }
        }
        let mut out = Energies { board: 0.0, film: 0.0, air: 0.0 };
        for e in &self.elements {
            let v: Vec<f64> = (0..RIM).map(|k| u[node(e, k)]).collect();
            let mut sum = 0.0;
            for i in 0..RIM {
                let row = &e.stiffness[i * RIM..(i + 1) * RIM];
                sum += v[i] * row.iter().zip(&v).map(|(k, v)| k * v).sum::<f64>();
            }
            // Both halves of the cross-section.
            let energy = 2.0 * of(e.fill) * sum;
            match e.fill {
                Fill::Board => out.board += energy,
                Fill::Film => out.film += energy,
                Fill::Air | Fill::Metal => out.air += energy,
            }
        }
        out
    }
}

/// Places of the rim nodes within an element, (along x, along y).
const RIM_NODES: [(usize, usize); RIM] = [
    (0, 0),
    (1, 0),
    (2, 0),
    (3, 0),
    (4, 0),
    (0, 1),
    (4, 1),
    (0, 2),
    (4, 2),
    (0, 3),
    (4, 3),
    (0, 4),
    (1, 4),
    (2, 4),
    (3, 4),
    (4, 4),
];

/// Mass and stiffness of the Lagrange polynomials through the five Lobatto points of [-1, 1].
fn matrices() -> ([[f64; S]; S], [[f64; S]; S]) {
    let inner = (3.0f64 / 7.0).sqrt();
    let at = [-1.0, -inner, 0.0, inner, 1.0];
    let (mut mass, mut slope) = ([[0.0; S]; S], [[0.0; S]; S]);
    for (x, weight) in legendre(S) {
        let (mut value, mut rise) = ([1.0; S], [0.0; S]);
        for i in 0..S {
            for j in (0..S).filter(|j| *j != i) {
                value[i] *= (x - at[j]) / (at[i] - at[j]);
                let others = (0..S).filter(|k| *k != i && *k != j);
                rise[i] += others.fold(1.0 / (at[i] - at[j]), |p, k| p * (x - at[k]) / (at[i] - at[k]));
            }
        }
        for i in 0..S {
            for j in 0..S {
                mass[i][j] += weight * value[i] * value[j];
                slope[i][j] += weight * rise[i] * rise[j];
            }
        }
    }
    (mass, slope)
}

/// Stiffness of the rim nodes of a rectangle of height over width `aspect`.
fn rim_stiffness(mass: &[[f64; S]; S], slope: &[[f64; S]; S], aspect: f64) -> Vec<f64> {
    let inside = |(a, b): &(usize, usize)| (1..P).contains(a) && (1..P).contains(b);
    let all = (0..S * S).map(|k| (k % S, k / S));
    let nodes: Vec<(usize, usize)> = RIM_NODES.into_iter().chain(all.filter(inside)).collect();
    let n = nodes.len();
    let mut k = vec![0.0; n * n];
    for (i, (a, b)) in nodes.iter().enumerate() {
        for (j, (c, d)) in nodes.iter().enumerate() {
            k[i * n + j] = aspect * slope[*a][*c] * mass[*b][*d] + mass[*a][*c] * slope[*b][*d] / aspect;
        }
    }
    for out in (RIM..n).rev() {
        for i in 0..out {
            let factor = k[i * n + out] / k[out * n + out];
            for j in 0..out {
                k[i * n + j] -= factor * k[out * n + j];
            }
        }
    }
    (0..RIM * RIM).map(|at| k[(at / RIM) * n + at % RIM]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compute::maths::complex::Complex;
    use crate::compute::maths::strip::Strip;

    #[test]
    fn a_strip_that_gets_thinner_comes_to_the_thin_strip() {
        let s = ThickStrip { w: 1.1, h: 0.508, t: 1e-5, d: 0.05, follows: false };
        let real = |x| Complex::new(x, 0.0);
        let thin = Strip { w: s.w, h: s.h, slab: real(3.66), d: s.d, film: real(4.0) }.capacitance().re;
        let field = Mesh::new(&s).energies(&s, 3.66, 4.0).sum();
        assert!((field / thin - 1.0).abs() < 3e-4, "{field} {thin}");
    }

    #[test]
    fn one_permittivity_all_around_is_a_factor() {
        let s = ThickStrip { w: 0.35, h: 0.2, t: 0.035, d: f64::INFINITY, follows: false };
        let mesh = Mesh::new(&s);
        let (air, filled) = (mesh.energies(&s, 1.0, 1.0), mesh.energies(&s, 4.1, 4.1));
        assert!((filled.sum() / air.sum() - 4.1).abs() < 1e-9 && filled.air == 0.0);
    }
}
