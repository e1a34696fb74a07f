//! Takes a temperature; gives the saturation pressure of water vapour, over ice below freezing, as psychrometry has it.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "saturation_pressure",
    title: "Saturation pressure of water",
    formula: &[
        "hw by the equation of Hyland and Wexler, over ice below 0.01 degC and over water above",
    ],
    closed: false,
    symbols: &[one("T", "temperature", "degC", -100.0, 200.0)],
    outputs: &[gives("hw", "saturation pressure, over ice below 0.01 degC", "Pa")],
    holds_when: "pure water vapour",
    strength: Strength::Screens,
    weak_because: "dew points of the dossier use the Magnus formula of WMO-8, which this bounds",
    sources: &["HylandWexler1983"],
    checks: &[
        Check {
            // Case point_25_60 of the reference set t05.
            inputs: &[("T", 25.0)],
            expected: &[("hw", 3169.2164701436277)],
            relative: 1e-7,
            absolute: 0.0,
            source: "HylandWexler1983",
            known: Known::Reference,
        },
        Check {
            // Case point_-10_60 of the reference set t05: over ice.
            inputs: &[("T", -10.0)],
            expected: &[("hw", 259.9028649521791)],
            relative: 1e-7,
            absolute: 0.0,
            source: "HylandWexler1983",
            known: Known::Reference,
        },
    ],
    run: |a| Ok(vec![hyland_wexler(a.one("T"))]),
};

/// Saturation pressure in Pa at `t` degC, over ice below the triple point. Coefficients as in the ASHRAE handbook.
pub fn hyland_wexler(t: f64) -> f64 {
    let k = t + 273.15;
    let ln = if t <= 0.01 {
        -5.6745359e3 / k + 6.3925247
            + k * (-9.677843e-3 + k * (6.2215701e-7 + k * (2.0747825e-9 - 9.484024e-13 * k)))
            + 4.1635019 * libm::log(k)
    } else {
        -5.8002206e3 / k + 1.3914993
            + k * (-4.8640239e-2 + k * (4.1764768e-5 - 1.4452093e-8 * k))
            + 6.5459673 * libm::log(k)
    };
    libm::exp(ln)
}

/// Dew point, below 0.01 degC frost point, in degC of air at vapour pressure `e` in Pa by Hyland and Wexler; none when
/// it is outside -100 to 200 degC.
pub fn dew_or_frost(e: f64) -> Option<f64> {
    let (mut low, mut high) = (-100.0, 200.0);
    if !(hyland_wexler(low)..=hyland_wexler(high)).contains(&e) {
        return None;
    }
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if hyland_wexler(mid) < e { low = mid } else { high = mid }
    }
    Some(0.5 * (low + high))
}
