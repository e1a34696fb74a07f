//! Takes an aperture, its transfer and the residue of the paste; gives residue of one deposit and its dose on the pad.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "deposit_residue",
    title: "Residue of a paste deposit",
    formula: &["V = A * T * TE", "m = 1000 * m_res * V", "dose = 0.1 * m / A"],
    closed: true,
    symbols: &[
        one("A", "area of the aperture", "mm2", 0.001, 2500.0),
        one("T", "thickness of the foil", "mm", 0.02, 1.0),
        one("TE", "transfer efficiency", "1", 0.01, 1.5),
        one("m_res", "residue per paste", "mg/mm3", 0.001, 2.0),
    ],
    outputs: &[gives("V", "paste", "mm3"), gives("m", "residue", "ug"), gives("dose", "residue per area if all stayed under the aperture", "mg/cm2")],
    holds_when: "all volatile flux leaves and all solids stay",
    strength: Strength::Screens,
    weak_because: "residue spreads beyond its pad, and some burns off",
    sources: &["house"],
    checks: &[
        Check {
            // 0.237 mg/mm3 at 100 um: 2.37 mg/cm2.
            inputs: &[("A", 1.0), ("T", 0.1), ("TE", 1.0), ("m_res", 0.237)],
            expected: &[("m", 23.7), ("dose", 2.37)],
            relative: 1e-09,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let v = a.one("A") * a.one("T") * a.one("TE");
        let m = 1000.0 * a.one("m_res") * v;
        Ok(vec![v, m, 0.1 * m / a.one("A")])
    },
};

