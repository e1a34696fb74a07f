//! Takes resistance of a comb and shape of a conductor pair; gives resistance and leakage of the pair.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "pair_leakage",
    title: "Comb to sheet to pair to leakage",
    formula: &["rho = R_comb * N", "R_pair = rho * spacing / facing", "I = V / R_pair"],
    closed: true,
    symbols: &[
        one("R_comb", "resistance of the comb", "ohm", 1000.0, 1e+16),
        one("N", "squares of the comb", "1", 0.5, 20000.0),
        one("spacing", "spacing of the pair", "mm", 0.05, 20.0),
        one("facing", "length over which the conductors face", "mm", 0.05, 500.0),
        one("V", "voltage across the pair", "V", 0.0, 5000.0),
    ],
    outputs: &[gives("rho", "sheet resistance", "ohm/sq"), gives("R_pair", "resistance of the pair", "ohm"), gives("I", "leakage", "A")],
    holds_when: "residue is as thick as on the comb, at the same temperature and humidity, on an open surface",
    strength: Strength::Decides,
    weak_because: "a sheet model: it ignores depth in a filled gap and residue that is uneven",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("R_comb", 100000000.0), ("N", 1020.0), ("spacing", 0.2), ("facing", 1.0), ("V", 5.0)],
            expected: &[("rho", 102000000000.0), ("R_pair", 20400000000.0), ("I", 2.45e-10)],
            relative: 0.002,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("R_comb", 257039578.27688646), ("N", 1020.0), ("spacing", 0.9), ("facing", 3.0), ("V", 620.0)],
            expected: &[("R_pair", 79000000000.0), ("I", 7.9e-09)],
            relative: 0.01,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("R_comb", 4168693834.7033467), ("N", 1020.0), ("spacing", 0.9), ("facing", 3.0), ("V", 620.0)],
            expected: &[("I", 4.9e-10)],
            relative: 0.02,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("R_comb", 199526231496.88828), ("N", 1020.0), ("spacing", 0.9), ("facing", 3.0), ("V", 620.0)],
            expected: &[("R_pair", 61000000000000.0), ("I", 1e-11)],
            relative: 0.02,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (rho, r, i) = pair(a.one("R_comb"), a.one("N"), a.one("spacing"), a.one("facing"), a.one("V"));
        Ok(vec![rho, r, i])
    },
};

/// (ohm per square, ohm, ampere) from ohm, squares, lengths in one unit, volt.
pub fn pair(r_comb: f64, n: f64, spacing: f64, facing: f64, v: f64) -> (f64, f64, f64) {
    let rho = r_comb * n;
    let r_pair = rho * spacing / facing;
    (rho, r_pair, v / r_pair)
}
