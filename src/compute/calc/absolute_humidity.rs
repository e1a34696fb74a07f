//! Takes air temperature and humidity; gives the mass of water vapour in the air.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "absolute_humidity",
    title: "Absolute humidity",
    formula: &["e = RH * 6.112 * exp(17.62 * T / (243.12 + T))", "ah = 1000 * e / (461.523 * (273.15 + T))"],
    closed: true,
    symbols: &[
        one("T", "air temperature", "degC", -45.0, 100.0),
        one("RH", "relative humidity", "%RH", 0.0, 100.0),
    ],
    outputs: &[gives("e", "vapour pressure", "Pa"), gives("ah", "water vapour", "g/m3")],
    holds_when: "vapour is an ideal gas, gas constant 461.523 J/(kg K); over water",
    strength: Strength::Screens,
    weak_because: "0.3 percent below moist air of a full equation of state at 20 degC, 1.5 percent at 85 degC",
    sources: &["WMO-8"],
    checks: &[Check {
        // Case point_25_60 of the reference set t05, Magnus fields.
        inputs: &[("T", 25.0), ("RH", 60.0)],
        expected: &[("e", 1896.0341498930002), ("ah", 13.779005823906035)],
        relative: 1e-5,
        absolute: 0.0,
        source: "house",
        known: Known::Reference,
    }],
    run: |a| {
        let (e, ah) = vapour(a.one("T"), a.one("RH"));
        Ok(vec![e, ah])
    },
};

/// Specific gas constant of water vapour, J/(kg K).
pub const GAS: f64 = 461.523;

/// (vapour pressure in Pa, water vapour in g/m3) from degC and %RH.
pub fn vapour(t: f64, rh: f64) -> (f64, f64) {
    let e = rh * super::dew_point::saturation(t);
    (e, 1000.0 * e / (GAS * (273.15 + t)))
}
