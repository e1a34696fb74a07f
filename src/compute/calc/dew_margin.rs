//! Takes surface temperature and dew point; gives the margin to condensation.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "dew_margin",
    title: "Dew-point margin",
    formula: &["margin = Ts - Td"],
    closed: true,
    symbols: &[
        one("Ts", "surface temperature", "degC", -60.0, 185.0),
        one("Td", "dew point of the air", "degC", -120.0, 100.0),
    ],
    outputs: &[gives("margin", "margin to condensation", "K")],
    holds_when: "the surface temperature is that of the coldest place",
    strength: Strength::Decides,
    weak_because: "the microclimate of the board needs a logger",
    sources: &["WMO-8"],
    checks: &[
        Check {
            inputs: &[("Ts", 40.0), ("Td", 38.04)],
            expected: &[("margin", 1.96)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![margin(a.one("Ts"), a.one("Td"))]),
};

/// Margin in kelvin; condensation at zero and below.
pub fn margin(ts: f64, td: f64) -> f64 {
    ts - td
}
