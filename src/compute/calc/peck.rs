//! Takes climate of a test and of use, and pairs of constants; gives acceleration as an interval over the pairs.

use super::{Args, Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

/// Constants of domain knowledge that bracket the literature, with the lowest deliquescence of malic acid.
const PAIRS: [(&str, f64); 9] = [
    ("n", 2.0),
    ("n", 2.66),
    ("n", 3.0),
    ("n", 4.0),
    ("Ea", 0.6),
    ("Ea", 0.79),
    ("Ea", 0.8),
    ("Ea", 1.0),
    ("DRH", 59.0),
];

/// [`PAIRS`] with climates and hours of a test, to 30 degC and 70 %RH.
const fn to_30_70(tt: f64, rht: f64, h: f64) -> [(&'static str, f64); 14] {
    let p = PAIRS;
    [
        p[0],
        p[1],
        p[2],
        p[3],
        p[4],
        p[5],
        p[6],
        p[7],
        p[8],
        ("T_t", tt),
        ("RH_t", rht),
        ("T_u", 30.0),
        ("RH_u", 70.0),
        ("h", h),
    ]
}

pub const CALC: Calc = Calc {
    id: "peck",
    title: "Humidity acceleration, not evidence for life",
    formula: &[
        "lowest and highest over the pairs (n, Ea) of AF = (RH_t / RH_u)^n exp((Ea / k) (1 / T_u - 1 / T_t)), T in K, k = 8.617333262e-5 eV/K; hours of use = h AF. None when the deliquescence DRH lies between RH_u and RH_t",
    ],
    closed: false,
    symbols: &[
        many("n", "exponent of humidity, one per pair", "1", 0.0, 15.0),
        many("Ea", "activation energy, one per pair", "eV", 0.0, 2.0),
        one("T_t", "temperature of the test", "degC", -40.0, 200.0),
        one("RH_t", "humidity of the test", "%RH", 1.0, 100.0),
        one("T_u", "temperature of use", "degC", -40.0, 200.0),
        one("RH_u", "humidity of use", "%RH", 1.0, 100.0),
        one("DRH", "lowest deliquescence of the residue", "%RH", 1.0, 100.0),
        one("h", "hours of the test", "h", 0.0, 100000.0),
    ],
    outputs: &[
        gives("AF_low", "lowest acceleration", "1"),
        gives("AF_high", "highest acceleration", "1"),
        gives("h_low", "fewest hours of use", "h"),
        gives("h_high", "most hours of use", "h"),
    ],
    holds_when: "one mechanism, no condensation, no deliquescence between the two climates",
    strength: Strength::Informs,
    weak_because: "not evidence for life: mechanism and constants are not shown for this residue",
    sources: &["Peck1986", "HallbergPeck1991"],
    checks: &[
        Check {
            // 40/90, 168 h: 3.4 to 9.3, that is 0.07 to 0.18 years.
            inputs: &to_30_70(40.0, 90.0, 168.0),
            expected: &[("AF_low", 3.4), ("AF_high", 9.3), ("h_low", 0.0655 * 8766.0), ("h_high", 0.179 * 8766.0)],
            relative: 0.015,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // 65/88.5, 596 h: 1.2 to 9.1 years.
            inputs: &to_30_70(65.0, 88.5, 596.0),
            expected: &[("h_low", 1.2 * 8766.0), ("h_high", 9.1 * 8766.0)],
            relative: 0.03,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // 85/85, 1000 h: 5.7 to 88 years.
            inputs: &to_30_70(85.0, 85.0, 1000.0),
            expected: &[("h_low", 5.7 * 8766.0), ("h_high", 88.0 * 8766.0)],
            relative: 0.02,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[
                ("n", 2.66),
                ("n", 3.0),
                ("Ea", 0.79),
                ("Ea", 0.8),
                ("DRH", 59.0),
                ("T_t", 40.0),
                ("RH_t", 90.0),
                ("T_u", 30.0),
                ("RH_u", 70.0),
                ("h", 1.0),
            ],
            expected: &[("AF_low", 5.1), ("AF_high", 5.65)],
            relative: 0.015,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a: &Args| {
        let (n, ea) = (a.many("n"), a.many("Ea"));
        if n.len() != ea.len() {
            return Err("n and Ea need the same number of values, one each per pair".into());
        }
        let (rh_t, rh_u, drh) = (a.one("RH_t"), a.one("RH_u"), a.one("DRH"));
        if (rh_t >= drh) != (rh_u >= drh) {
            return Err(format!(
                "the residue deliquesces at {drh} %RH, between the {rh_u} %RH of use and the {rh_t} %RH of the test: no power law holds across that"
            ));
        }
        let af = |(n, ea): (&f64, &f64)| acceleration(*n, *ea, (a.one("T_t"), rh_t), (a.one("T_u"), rh_u));
        let all: Vec<f64> = n.iter().zip(&ea).map(af).collect();
        let low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(0.0, f64::max);
        Ok(vec![low, high, low * a.one("h"), high * a.one("h")])
    },
};

/// Boltzmann constant, eV/K (exact by the definition of 2019).
pub const BOLTZMANN: f64 = 8.617333262145179e-5;

/// Acceleration of a test over use for exponent `n` and energy `ea` in eV; climates as (degC, %RH).
pub fn acceleration(n: f64, ea: f64, test: (f64, f64), used: (f64, f64)) -> f64 {
    let heat = ea / BOLTZMANN * (1.0 / (used.0 + 273.15) - 1.0 / (test.0 + 273.15));
    libm::pow(test.1 / used.1, n) * libm::exp(heat)
}

/// Temperature in degC at which humidity `rh` accelerates by `af` beside the test climate.
pub fn temperature_for(af: f64, n: f64, ea: f64, rh: f64, test: (f64, f64)) -> f64 {
    let heat = libm::log(af / libm::pow(test.1 / rh, n)) * BOLTZMANN / ea;
    1.0 / (1.0 / (test.0 + 273.15) + heat) - 273.15
}
