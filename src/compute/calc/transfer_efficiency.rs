//! Takes printed volume and aperture; gives the share of the aperture that the paste filled.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "transfer_efficiency",
    title: "Transfer efficiency",
    formula: &["TE = V / (A * T)"],
    closed: true,
    symbols: &[
        one("V", "printed volume", "mm3", 0.0, 1000.0),
        one("A", "area of the aperture", "mm2", 0.001, 1000.0),
        one("T", "thickness of the foil", "mm", 0.02, 1.0),
    ],
    outputs: &[gives("TE", "printed share of the aperture", "1")],
    holds_when: "the volume is measured over the whole deposit",
    strength: Strength::Decides,
    weak_because: "inspection counts what lies above its threshold only",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("V", 0.0095), ("A", 0.1), ("T", 0.1)],
            expected: &[("TE", 0.95)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![te(a.one("V"), a.one("A"), a.one("T"))]),
};

/// Share, plain number, from mm3, mm2 and mm.
pub fn te(v: f64, a: f64, t: f64) -> f64 {
    v / (a * t)
}
