//! Takes a strip and a film of residue with ranges of thickness, permittivity and loss; gives what the film does to the line.

use super::{Args, Calc, Check, Known, gives, one};
use crate::compute::calc::dielectric_loss::DB;
use crate::compute::maths::complex::Complex;
use crate::compute::maths::strip::{EPS0, LIGHT, Strip};
use crate::model::workings::Strength;
use std::f64::consts::PI;

/// One film of the checks: w 0.37, h 0.2, er 4.4, film 3.0, all without loss.
const fn film(d: f64) -> [(&'static str, f64); 11] {
    [
        ("w", 0.37),
        ("h", 0.2),
        ("er", 4.4),
        ("tan_d", 0.0),
        ("d_low", d),
        ("d_high", d),
        ("ec_low", 3.0),
        ("ec_high", 3.0),
        ("tc_low", 0.0),
        ("tc_high", 0.0),
        ("f", 1.0),
    ]
}

/// A check by an own script on Bessel functions of scipy 1.17 (scipy.special.jv), 32 basis functions.
const fn scipy(inputs: &'static [(&'static str, f64)], expected: &'static [(&'static str, f64)]) -> Check {
    Check { inputs, expected, relative: 1e-7, absolute: 0.0, source: "ItohMittra1973", known: Known::Reference }
}

/// A limit by Hammerstad and Jensen: no film, or one without end.
const fn limit(inputs: &'static [(&'static str, f64)], expected: &'static [(&'static str, f64)]) -> Check {
    Check { inputs, expected, relative: 0.002, absolute: 0.0, source: "HammerstadJensen1980", known: Known::Hand }
}

pub const CALC: Calc = Calc {
    id: "line_under_residue",
    title: "Microstrip line under residue",
    formula: &[
        "C by Galerkin in the spectral domain with Y(b) = er coth(b h) + ec (1 + ec tanh(b d)) / (ec + tanh(b d)); e_eff = Re C / C_air; Z = sqrt(L / C); df/f = sqrt(e_bare / e_film) - 1; loss = -(2 pi f / c) Im sqrt(C / C_air); lowest and highest over the corners of thickness, permittivity and loss of the film",
    ],
    closed: false,
    symbols: &[
        one("w", "width of the strip", "mm", 0.005, 100.0),
        one("h", "height of the board over its ground", "mm", 0.005, 100.0),
        one("er", "relative permittivity of the board", "1", 1.0, 128.0),
        one("tan_d", "loss tangent of the board", "1", 0.0, 0.3),
        one("d_low", "thinnest film", "um", 0.0, 100000.0),
        one("d_high", "thickest film", "um", 0.0, 100000.0),
        one("ec_low", "lowest permittivity of the film", "1", 1.0, 128.0),
        one("ec_high", "highest permittivity of the film", "1", 1.0, 128.0),
        one("tc_low", "lowest loss tangent of the film", "1", 0.0, 0.5),
        one("tc_high", "highest loss tangent of the film", "1", 0.0, 0.5),
        one("f", "frequency", "GHz", 1e-6, 300.0),
    ],
    outputs: &[
        gives("e_bare", "effective permittivity without film", "1"),
        gives("e_low", "lowest effective permittivity", "1"),
        gives("e_high", "highest effective permittivity", "1"),
        gives("dZ_low", "lowest change of impedance", "%"),
        gives("dZ_high", "highest change of impedance", "%"),
        gives("df_low", "lowest shift of a resonance", "%"),
        gives("df_high", "highest shift of a resonance", "%"),
        gives("loss_low", "least added loss", "dB/m"),
        gives("loss_high", "most added loss", "dB/m"),
    ],
    holds_when: "the film is flat and covers the strip and the board beside it; the strip is thin beside the film; low frequency",
    strength: Strength::Screens,
    weak_because: "no measured permittivity of flux residue is published: the ranges are the user's; pairs of the same board before and after washing decide",
    sources: &["ItohMittra1973", "HammerstadJensen1980"],
    checks: &[
        limit(&film(0.0), &[("e_low", 3.31694)]),
        scipy(&film(5.0), &[("e_low", 3.3642915907834263)]),
        scipy(&film(10.0), &[("e_low", 3.39420214408033)]),
        scipy(&film(20.0), &[("e_low", 3.4420441026001765)]),
        scipy(&film(50.0), &[("e_low", 3.544368244398036)]),
        scipy(&film(100.0), &[("e_low", 3.6560572273892746)]),
        limit(&film(100000.0), &[("e_low", 3.97258)]),
        Check {
            // Case overlay_3.0_1.6_10um_3.0 of the reference set t06.
            inputs: &[
                ("w", 3.0),
                ("h", 1.6),
                ("er", 4.3),
                ("tan_d", 0.018),
                ("d_low", 10.0),
                ("d_high", 10.0),
                ("ec_low", 3.0),
                ("ec_high", 3.0),
                ("tc_low", 0.02),
                ("tc_high", 0.02),
                ("f", 5.0),
            ],
            expected: &[("e_bare", 3.258110827612438), ("e_high", 3.2716197606643376), ("loss_high", 0.06745157741328889)],
            relative: 1e-7,
            absolute: 0.0,
            source: "ItohMittra1973",
            known: Known::Reference,
        },
    ],
    run: |a: &Args| {
        let pair = |low: &str, high: &str| -> Result<[f64; 2], String> {
            let (l, h) = (a.one(low), a.one(high));
            if l > h { Err(format!("{low} = {l} is above {high} = {h}")) } else { Ok([l, h]) }
        };
        let (d, ec, tc) = (pair("d_low", "d_high")?, pair("ec_low", "ec_high")?, pair("tc_low", "tc_high")?);
        let (w, h, er) = (a.one("w"), a.one("h"), lossy(a.one("er"), a.one("tan_d")));
        if !(0.001..=1000.0).contains(&(w / h)) {
            return Err(format!("w / h = {} is outside 0.001 to 1000", w / h));
        }
        let air = line(w, h, Complex::new(1.0, 0.0), 0.0, Complex::new(1.0, 0.0));
        let of = |c| Line::new(c, air.re);
        let bare = of(line(w, h, er, 0.0, Complex::new(1.0, 0.0)));
        let mut corners: Vec<[f64; 4]> = Vec::new();
        for d in d {
            for ec in ec {
                for tc in tc {
                    let film = of(line(w, h, er, d / 1000.0, lossy(ec, tc)));
                    let dz = 100.0 * (film.impedance() / bare.impedance() - 1.0);
                    let df = 100.0 * ((bare.permittivity() / film.permittivity()).sqrt() - 1.0);
                    let added = film.attenuation(a.one("f")) - bare.attenuation(a.one("f"));
                    corners.push([film.permittivity(), dz, df, added]);
                    if tc == a.one("tc_high") {
                        break;
                    }
                }
                if ec == a.one("ec_high") {
                    break;
                }
            }
            if d == a.one("d_high") {
                break;
            }
        }
        let mut out = vec![bare.permittivity()];
        for i in 0..4 {
            out.push(corners.iter().map(|c| c[i]).fold(f64::INFINITY, f64::min));
            out.push(corners.iter().map(|c| c[i]).fold(f64::NEG_INFINITY, f64::max));
        }
        Ok(out)
    },
};

/// Complex permittivity of a loss tangent.
pub fn lossy(er: f64, tan_d: f64) -> Complex {
    Complex::new(er, -er * tan_d)
}

/// Capacitance over that of vacuum permittivity of a strip under a film; lengths in one unit.
pub fn line(w: f64, h: f64, slab: Complex, d: f64, film: Complex) -> Complex {
    Strip { w, h, slab, d, film }.capacitance()
}

/// A line by its capacitance and the one that it has in air, both over vacuum permittivity.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    pub c: Complex,
    pub air: f64,
}

impl Line {
    pub fn new(c: Complex, air: f64) -> Self {
        Self { c, air }
    }

    /// Effective permittivity.
    pub fn permittivity(&self) -> f64 {
        self.c.re / self.air
    }

    /// Capacitance per length, F/m.
    pub fn capacitance(&self) -> f64 {
        self.c.re * EPS0
    }

    /// Inductance per length, H/m.
    pub fn inductance(&self) -> f64 {
        1.0 / (LIGHT * LIGHT * EPS0 * self.air)
    }

    /// Real part of the impedance, ohm.
    pub fn impedance(&self) -> f64 {
        self.c.times(EPS0).inverse().times(self.inductance()).sqrt().re
    }

    /// Loss tangent of all dielectrics together.
    pub fn loss(&self) -> f64 {
        -self.c.im / self.c.re
    }

    /// Attenuation by the dielectrics in dB/m at `f` GHz.
    pub fn attenuation(&self, f: f64) -> f64 {
        -DB * 2.0 * PI * f * 1e9 / LIGHT * self.c.times(1.0 / self.air).sqrt().im
    }

    /// Conductance per length in S/m at `f` GHz.
    pub fn conductance(&self, f: f64) -> f64 {
        -2.0 * PI * f * 1e9 * EPS0 * self.c.im
    }
}
