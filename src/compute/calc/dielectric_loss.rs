//! Takes the effective permittivity of a line and the loss of its board; gives what the line loses per length.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "dielectric_loss",
    title: "Dielectric loss of a line",
    formula: &[
        "alpha = er / (er - 1) * (e_eff - 1) / sqrt(e_eff) * 3.141592653589793 * f * 1e9 / 299792458 * tan_d",
        "dB = 8.685889638065037 * alpha",
    ],
    closed: true,
    symbols: &[
        one("er", "relative permittivity of the board", "1", 1.01, 128.0),
        one("e_eff", "effective permittivity of the line", "1", 1.0, 128.0),
        one("tan_d", "loss tangent of the board", "1", 0.0, 0.3),
        one("f", "frequency", "GHz", 1e-6, 300.0),
    ],
    outputs: &[gives("alpha", "attenuation", "Np/m"), gives("dB", "attenuation", "dB/m")],
    holds_when: "only the board is lossy; nothing lies on the line",
    strength: Strength::Screens,
    weak_because: "dielectric loss only; that of the conductor and of radiation comes on top",
    sources: &["HammerstadJensen1980"],
    checks: &[Check {
        // u 2, er 4.3, tan d 0.02, 1 GHz: 0.343361 Np/m.
        inputs: &[("er", 4.3), ("e_eff", 3.275494), ("tan_d", 0.02), ("f", 1.0)],
        expected: &[("alpha", 0.343361)],
        relative: 0.0,
        absolute: 6e-7,
        source: "HammerstadJensen1980",
        known: Known::Memory,
    }],
    run: |a| {
        let np = alpha(a.one("er"), a.one("e_eff"), a.one("tan_d"), a.one("f"));
        Ok(vec![np, DB * np])
    },
};

/// Decibels in one neper.
pub const DB: f64 = 8.685889638065037;

/// Attenuation in Np/m, frequency in GHz.
pub fn alpha(er: f64, e_eff: f64, tan_d: f64, f: f64) -> f64 {
    er / (er - 1.0) * (e_eff - 1.0) / e_eff.sqrt() * std::f64::consts::PI * f * 1e9 / 299_792_458.0 * tan_d
}
