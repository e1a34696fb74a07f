//! Takes air temperature and humidity; gives saturation pressure and dew point over water.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "dew_point",
    title: "Dew point",
    formula: &["es = 6.112 * exp(17.62 * T / (243.12 + T))", "g = ln(RH / 100) + 17.62 * T / (243.12 + T)", "Td = 243.12 * g / (17.62 - g)"],
    closed: true,
    symbols: &[
        one("T", "air temperature", "degC", -45.0, 100.0),
        one("RH", "relative humidity", "%RH", 1.0, 100.0),
    ],
    outputs: &[gives("es", "saturation pressure over water", "hPa"), gives("g", "Magnus exponent", "1"), gives("Td", "dew point", "degC")],
    holds_when: "over water; below 0 degC frost forms at a higher temperature",
    strength: Strength::Decides,
    weak_because: "0.1 K to 60 degC, 0.3 K at 85 degC against full psychrometry; the microclimate of the board needs a logger",
    sources: &["WMO-8"],
    checks: &[
        Check {
            inputs: &[("T", 30.0), ("RH", 80.0)],
            expected: &[("Td", 26.2)],
            relative: 0.0,
            absolute: 0.06,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("T", 20.0), ("RH", 85.0)],
            expected: &[("Td", 17.4)],
            relative: 0.0,
            absolute: 0.06,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("T", 35.0), ("RH", 70.0)],
            expected: &[("Td", 28.7)],
            relative: 0.0,
            absolute: 0.06,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("T", 38.0), ("RH", 75.0)],
            expected: &[("Td", 32.8)],
            relative: 0.0,
            absolute: 0.06,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Margin 1.96 K at 40 degC and 90 %RH.
            inputs: &[("T", 40.0), ("RH", 90.0)],
            expected: &[("Td", 38.04)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Margin 4.03 K at 85/85.
            inputs: &[("T", 85.0), ("RH", 85.0)],
            expected: &[("Td", 80.97)],
            relative: 0.0,
            absolute: 0.005,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (es, g, td) = dew(a.one("T"), a.one("RH"));
        Ok(vec![es, g, td])
    },
};

/// (saturation pressure in hPa, Magnus exponent, dew point in degC) from degC and %RH.
pub fn dew(t: f64, rh: f64) -> (f64, f64, f64) {
    let es = saturation(t);
    let g = libm::log(rh / 100.0) + 17.62 * t / (243.12 + t);
    (es, g, 243.12 * g / (17.62 - g))
}

/// Saturation pressure over water in hPa at `t` degC.
pub fn saturation(t: f64) -> f64 {
    6.112 * libm::exp(17.62 * t / (243.12 + t))
}
