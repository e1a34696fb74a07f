//! Takes a thin strip on a grounded board; gives its effective permittivity and impedance in closed form.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;
use std::f64::consts::PI;

pub const CALC: Calc = Calc {
    id: "microstrip",
    title: "Microstrip line",
    formula: &[
        "u = w / h",
        "a = 1 + ln((u^4 + (u / 52)^2) / (u^4 + 0.432)) / 49 + ln(1 + (u / 18.1)^3) / 18.7",
        "b = 0.564 * ((er - 0.9) / (er + 3))^0.053",
        "e_eff = (er + 1) / 2 + (er - 1) / 2 * (1 + 10 / u)^(-(a * b))",
        "f = 6 + 0.2831853071795862 * exp(-((30.666 / u)^0.7528))",
        "Z0 = 59.95849160222 * ln(f / u + sqrt(1 + 4 / u^2)) / sqrt(e_eff)",
    ],
    closed: true,
    symbols: &[
        one("w", "width of the strip", "mm", 0.005, 100.0),
        one("h", "height of the board over its ground", "mm", 0.005, 100.0),
        one("er", "relative permittivity of the board", "1", 1.0, 128.0),
    ],
    outputs: &[
        gives("u", "width over height", "1"),
        gives("a", "exponent of the width", "1"),
        gives("b", "exponent of the permittivity", "1"),
        gives("e_eff", "effective permittivity", "1"),
        gives("f", "form of the impedance", "1"),
        gives("Z0", "impedance", "ohm"),
    ],
    holds_when: "the strip is thin beside width and height, no mask or residue lies on it, the frequency is low",
    strength: Strength::Screens,
    weak_because: "0.2 percent for w/h from 0.01 to 100 and a permittivity to 128; thickness and dispersion are left out",
    sources: &["HammerstadJensen1980"],
    checks: &[
        Check {
            inputs: &[("w", 1.0), ("h", 1.0), ("er", 9.8)],
            expected: &[("e_eff", 6.579027), ("Z0", 49.2888)],
            relative: 0.0,
            absolute: 5e-5,
            source: "HammerstadJensen1980",
            known: Known::Memory,
        },
        Check {
            inputs: &[("w", 2.0), ("h", 1.0), ("er", 4.3)],
            expected: &[("e_eff", 3.275494), ("Z0", 49.1918)],
            relative: 0.0,
            absolute: 5e-5,
            source: "HammerstadJensen1980",
            known: Known::Memory,
        },
        Check {
            // Case ms_3.0_1.6_0.0_4.3 of the reference set t06.
            inputs: &[("w", 3.0), ("h", 1.6), ("er", 4.3)],
            expected: &[("e_eff", 3.257553934775617), ("Z0", 51.14207730376914)],
            relative: 1e-8,
            absolute: 0.0,
            source: "HammerstadJensen1980",
            known: Known::Reference,
        },
    ],
    run: |a| {
        let (w, h, er) = (a.one("w"), a.one("h"), a.one("er"));
        let u = w / h;
        let (x, y) = exponents(u, er);
        let e = permittivity(u, er);
        Ok(vec![u, x, y, e, form(u), impedance(u) / e.sqrt()])
    },
};

/// Wave impedance of vacuum over two pi, ohm.
const WAVE: f64 = 59.95849160222;

fn form(u: f64) -> f64 {
    6.0 + (2.0 * PI - 6.0) * libm::exp(-libm::pow(30.666 / u, 0.7528))
}

fn exponents(u: f64, er: f64) -> (f64, f64) {
    let (u2, u4) = ((u / 52.0) * (u / 52.0), u * u * u * u);
    let third = u / 18.1;
    let a = 1.0
        + libm::log((u4 + u2) / (u4 + 0.432)) / 49.0
        + libm::log1p(third * third * third) / 18.7;
    (a, 0.564 * libm::pow((er - 0.9) / (er + 3.0), 0.053))
}

/// Effective permittivity for width over height `u`.
pub fn permittivity(u: f64, er: f64) -> f64 {
    let (a, b) = exponents(u, er);
    0.5 * (er + 1.0) + 0.5 * (er - 1.0) * libm::pow(1.0 + 10.0 / u, -a * b)
}

/// Impedance in air, ohm, for width over height `u`.
pub fn impedance(u: f64) -> f64 {
    WAVE * libm::log(form(u) / u + (1.0 + 4.0 / (u * u)).sqrt())
}
