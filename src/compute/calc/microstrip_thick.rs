//! Takes a strip with its thickness on a grounded board; gives effective permittivity and impedance in closed form.

use super::microstrip::{impedance, permittivity};
use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;
use std::f64::consts::{E, PI};

pub const CALC: Calc = Calc {
    id: "microstrip_thick",
    title: "Microstrip line of some thickness",
    formula: &[
        "du = (tau / pi) ln(1 + 4 e tanh(sqrt(6.517 u))^2 / tau), tau = t / h; dr = du (1 + 1 / cosh(sqrt(er - 1))) / 2; e_r of microstrip at u + dr; Z0 = Z01(u + dr) / sqrt(e_r); e_eff = e_r (Z01(u + du) / Z01(u + dr))^2",
    ],
    closed: false,
    symbols: &[
        one("w", "width of the strip", "mm", 0.005, 100.0),
        one("h", "height of the board over its ground", "mm", 0.005, 100.0),
        one("t", "thickness of the strip", "mm", 0.0, 1.0),
        one("er", "relative permittivity of the board", "1", 1.0, 128.0),
    ],
    outputs: &[gives("e_eff", "effective permittivity", "1"), gives("Z0", "impedance", "ohm")],
    holds_when: "the strip is thinner than it is wide, no mask or residue lies on it, the frequency is low",
    strength: Strength::Screens,
    weak_because: "0.3 percent against a field solution at a tenth of the width; dispersion is left out",
    sources: &["HammerstadJensen1980"],
    checks: &[
        Check {
            // Case ms_0.35_0.2_0.035_4.1 of the reference set t06.
            inputs: &[("w", 0.35), ("h", 0.2), ("t", 0.035), ("er", 4.1)],
            expected: &[("e_eff", 2.9901530600698947), ("Z0", 51.76885485616378)],
            relative: 1e-8,
            absolute: 0.0,
            source: "HammerstadJensen1980",
            known: Known::Reference,
        },
        Check {
            // Without thickness it is the thin line.
            inputs: &[("w", 3.0), ("h", 1.6), ("t", 0.0), ("er", 4.3)],
            expected: &[("e_eff", 3.257553934775617), ("Z0", 51.14207730376914)],
            relative: 1e-8,
            absolute: 0.0,
            source: "HammerstadJensen1980",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let (e, z) = line(a.one("w"), a.one("h"), a.one("t"), a.one("er"));
        Ok(vec![e, z])
    },
};

/// (effective permittivity, impedance in ohm) from lengths in one unit.
pub fn line(w: f64, h: f64, t: f64, er: f64) -> (f64, f64) {
    let (u, tau) = (w / h, t / h);
    let th = libm::tanh((6.517 * u).sqrt());
    let du = if tau > 0.0 { tau / PI * libm::log1p(4.0 * E * th * th / tau) } else { 0.0 };
    let dr = 0.5 * du * (1.0 + 1.0 / libm::cosh((er - 1.0).max(0.0).sqrt()));
    let (e, plain, wide) = (permittivity(u + dr, er), impedance(u + dr), impedance(u + du));
    (e * (wide / plain) * (wide / plain), plain / e.sqrt())
}
