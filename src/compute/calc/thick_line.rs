//! Takes a strip with its thickness under a film that is flat or follows it; gives what the film does to the line.

use super::line_under_residue::Line;
use super::{Args, Calc, Check, Known, gives, one, whole};
use crate::compute::maths::complex::Complex;
use crate::compute::maths::strip_field::{Energies, Mesh, ThickStrip};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "thick_line",
    title: "Thick microstrip line under residue",
    formula: &[
        "energies of board, film and air by finite elements of degree 4 that shrink towards all corners; C their sum, Im C = -(C_board tan_d + C_film tc); e_eff = Re C / C_air; Z = Re sqrt(L / C); share = C_film / C; loss as for line_under_residue",
    ],
    closed: false,
    symbols: &[
        one("w", "width of the strip", "mm", 0.02, 50.0),
        one("h", "height of the board over its ground", "mm", 0.02, 10.0),
        one("t", "thickness of the strip", "mm", 0.001, 0.2),
        one("er", "relative permittivity of the board", "1", 1.0, 128.0),
        one("tan_d", "loss tangent of the board", "1", 0.0, 0.1),
        one("d", "thickness of the film", "um", 0.0, 1000.0),
        one("ec", "relative permittivity of the film", "1", 1.0, 128.0),
        one("tc", "loss tangent of the film", "1", 0.0, 0.1),
        whole("follows", "1 when the film follows the strip, 0 when its surface is flat", 0.0, 1.0),
        one("f", "frequency", "GHz", 1e-6, 300.0),
    ],
    outputs: &[
        gives("e_eff", "effective permittivity", "1"),
        gives("Z0", "impedance", "ohm"),
        gives("share", "share of the field energy in the film", "1"),
        gives("rise", "rise of the effective permittivity by the film", "1"),
        gives("loss", "dielectric loss", "dB/m"),
    ],
    holds_when: "losses are small; conductors are perfect; the frequency is low",
    strength: Strength::Screens,
    weak_because: "1e-4 of the capacitance by the size of the elements; the shape of real residue is neither flat nor even",
    sources: &["house"],
    checks: &[
        Check {
            // Case thick_0.35_0.2_0.035_50um_3.2_conformal of the reference set t06 (finite elements of another library).
            inputs: &[
                ("w", 0.35),
                ("h", 0.2),
                ("t", 0.035),
                ("er", 4.1),
                ("tan_d", 0.015),
                ("d", 50.0),
                ("ec", 3.2),
                ("tc", 0.02),
                ("follows", 1.0),
                ("f", 5.0),
            ],
            expected: &[("e_eff", 3.3013453295346276), ("Z0", 49.32770841911571), ("share", 0.1068129355453819)],
            relative: 1e-3,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
    ],
    run: |a: &Args| {
        let strip = ThickStrip {
            w: a.one("w"),
            h: a.one("h"),
            t: a.one("t"),
            d: a.one("d") / 1000.0,
            follows: a.one("follows") == 1.0,
        };
        let c = covered(&strip, (a.one("er"), a.one("tan_d")), (a.one("ec"), a.one("tc")))?;
        let rise = c.line.permittivity() - c.bare.permittivity();
        Ok(vec![c.line.permittivity(), c.line.impedance(), c.film, rise, c.line.attenuation(a.one("f"))])
    },
};

/// A thick line with its film and without, and the shares of board and film in the energy.
#[derive(Debug, Clone, Copy)]
pub struct Covered {
    pub line: Line,
    pub bare: Line,
    pub board: f64,
    pub film: f64,
}

/// Solves a line for (permittivity, loss tangent) of board and film. Loss is taken to first order.
///
/// # Errors
/// Shapes beyond the elements: thickness against width and height, width against height.
pub fn covered(s: &ThickStrip, board: (f64, f64), film: (f64, f64)) -> Result<Covered, String> {
    if !(0.01..=100.0).contains(&(s.w / s.h)) {
        return Err(format!("w / h = {} is outside 0.01 to 100 for a thick strip", s.w / s.h));
    }
    if !(1e-4 * s.w.max(s.h)..=2.0 * s.w.min(s.h)).contains(&s.t) {
        return Err(format!(
            "a strip {} thick is thinner than 1e-4 of width or height, or thicker than twice one of them",
            s.t
        ));
    }
    if s.d > 0.0 && s.d < 1e-5 * s.w.max(s.h) {
        return Err(format!("a film {} thick is thinner than 1e-5 of width or height", s.d));
    }
    let mesh = Mesh::new(s);
    let air = mesh.energies(s, 1.0, 1.0).sum();
    let of = |e: Energies, film: f64| Line::new(Complex::new(e.sum(), -(e.board * board.1 + e.film * film)), air);
    let bare = of(mesh.energies(s, board.0, 1.0), 0.0);
    let e = if s.d > 0.0 { mesh.energies(s, board.0, film.0) } else { mesh.energies(s, board.0, 1.0) };
    Ok(Covered { line: of(e, film.1), bare, board: e.board / e.sum(), film: e.film / e.sum() })
}
