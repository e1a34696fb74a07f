//! Takes air humidity and surface temperature; gives relative humidity at the surface.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "surface_humidity",
    title: "Humidity at the surface",
    formula: &["RHs = RH * exp(17.62 * T / (243.12 + T) - 17.62 * Ts / (243.12 + Ts))"],
    closed: true,
    symbols: &[
        one("RH", "relative humidity of the air", "%RH", 0.0, 100.0),
        one("T", "air temperature", "degC", -45.0, 100.0),
        one("Ts", "surface temperature", "degC", -45.0, 160.0),
    ],
    outputs: &[gives("RHs", "relative humidity at the surface, above 100 when it condenses", "%RH")],
    holds_when: "air and surface share the vapour pressure",
    strength: Strength::Decides,
    weak_because: "the microclimate of the board needs a logger",
    sources: &["WMO-8"],
    checks: &[
        Check {
            inputs: &[("RH", 93.0), ("T", 25.0), ("Ts", 30.0)],
            expected: &[("RHs", 69.0)],
            relative: 0.0,
            absolute: 0.6,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("RH", 93.0), ("T", 25.0), ("Ts", 25.5)],
            expected: &[("RHs", 90.0)],
            relative: 0.0,
            absolute: 0.6,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("RH", 93.0), ("T", 25.0), ("Ts", 24.0)],
            expected: &[("RHs", 99.0)],
            relative: 0.0,
            absolute: 0.6,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![rhs(a.one("RH"), a.one("T"), a.one("Ts"))]),
};

/// Relative humidity at the surface in %RH.
pub fn rhs(rh: f64, t: f64, ts: f64) -> f64 {
    rh * libm::exp(17.62 * t / (243.12 + t) - 17.62 * ts / (243.12 + ts))
}
