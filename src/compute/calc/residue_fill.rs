//! Takes paste and cavity under a body; gives residue volume and the share of the cavity that it fills.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "residue_fill",
    title: "Fill of the cavity under a body",
    formula: &["V_res = psi * (V_EP + 0.5 * V_per)", "fill = V_res / ((A_body - A_EP - A_lands) * h / 1000)"],
    closed: true,
    symbols: &[
        one("psi", "residue volume per paste volume", "1", 0.001, 0.8),
        one("V_EP", "paste on the exposed pad", "mm3", 0.001, 500.0),
        one("V_per", "paste on the other lands", "mm3", 0.0, 500.0),
        one("A_body", "area of the body", "mm2", 0.16, 6400.0),
        one("A_EP", "area of the exposed pad", "mm2", 0.01, 2500.0),
        one("A_lands", "area of the other lands under the body", "mm2", 0.0, 5000.0),
        one("h", "gap", "um", 1.0, 5000.0),
    ],
    outputs: &[gives("V_res", "residue under the body", "mm3"), gives("fill", "share of the cavity that residue fills", "1")],
    holds_when: "residue of the exposed pad stays under the body, half of that of the other lands",
    strength: Strength::Screens,
    weak_because: "residue bleeds out and solvent is trapped; validate against measured fills within 25 percent",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("psi", 0.22), ("V_EP", 1.483), ("V_per", 0.546), ("A_body", 49.0), ("A_EP", 26.01), ("A_lands", 4.8), ("h", 36.7)],
            expected: &[("V_res", 0.386), ("fill", 0.58)],
            relative: 0.0,
            absolute: 0.006,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        if a.one("A_body") - a.one("A_EP") - a.one("A_lands") <= 0.0 {
            return Err("pads and lands leave no free area under the body".into());
        }
        let (v, f) = fill(
            a.one("psi"),
            a.one("V_EP"),
            a.one("V_per"),
            a.one("A_body"),
            a.one("A_EP"),
            a.one("A_lands"),
            a.one("h"),
        );
        Ok(vec![v, f])
    },
};

/// (residue in mm3, fill as a share) from mm3, mm2 and um.
pub fn fill(psi: f64, v_ep: f64, v_per: f64, a_body: f64, a_ep: f64, a_lands: f64, h: f64) -> (f64, f64) {
    let v_res = psi * (v_ep + 0.5 * v_per);
    (v_res, v_res / ((a_body - a_ep - a_lands) * h / 1000.0))
}
