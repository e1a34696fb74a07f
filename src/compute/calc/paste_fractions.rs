//! Takes the make-up of a paste; gives its share of metal by volume and the residue that it leaves.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "paste_fractions",
    title: "Metal and residue of a paste",
    formula: &["v_m = w / d_m / (w / d_m + (1 - w) / d_f)", "m_res = (1 - v_m) * d_f * nv", "psi = m_res / d_r"],
    closed: true,
    symbols: &[
        one("w", "metal, share by weight", "1", 0.5, 0.95),
        one("d_m", "density of the metal", "g/cm3", 6.0, 12.0),
        one("d_f", "density of the flux", "g/cm3", 0.7, 1.2),
        one("nv", "solids of the flux, share by weight", "1", 0.01, 1.0),
        one("d_r", "density of the residue", "g/cm3", 0.9, 1.3),
    ],
    outputs: &[gives("v_m", "metal, share by volume", "1"), gives("m_res", "residue per paste", "mg/mm3"), gives("psi", "residue volume per paste volume", "1")],
    holds_when: "all volatile flux leaves and all solids stay",
    strength: Strength::Screens,
    weak_because: "some solids burn off or spread away",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("w", 0.885), ("d_m", 7.38), ("d_f", 1.02), ("nv", 0.48), ("d_r", 1.08)],
            expected: &[("v_m", 0.515), ("m_res", 0.237), ("psi", 0.22)],
            relative: 0.0,
            absolute: 0.0006,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("w", 0.885), ("d_m", 7.38), ("d_f", 1.0), ("nv", 0.48), ("d_r", 1.08)],
            expected: &[("v_m", 0.51047)],
            relative: 0.0,
            absolute: 5e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (v, m, psi) = fractions(a.one("w"), a.one("d_m"), a.one("d_f"), a.one("nv"), a.one("d_r"));
        Ok(vec![v, m, psi])
    },
};

/// (metal share by volume, residue in mg/mm3 of paste, residue volume per paste volume).
pub fn fractions(w: f64, d_m: f64, d_f: f64, nv: f64, d_r: f64) -> (f64, f64, f64) {
    let v_m = w / d_m / (w / d_m + (1.0 - w) / d_f);
    let m_res = (1.0 - v_m) * d_f * nv;
    (v_m, m_res, m_res / d_r)
}
