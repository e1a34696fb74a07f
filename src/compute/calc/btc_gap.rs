//! Takes paste on an exposed pad; gives the gap that its solder sets under the body.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "btc_gap",
    title: "Gap under a body on an exposed pad",
    formula: &["h = v_m * V_EP / (A_EP * (1 - void)) * 1000"],
    closed: true,
    symbols: &[
        one("v_m", "metal share of the paste by volume", "1", 0.2, 0.8),
        one("V_EP", "paste on the exposed pad", "mm3", 0.001, 500.0),
        one("A_EP", "area of the exposed pad", "mm2", 0.01, 2500.0),
        one("void", "share of voids", "1", 0.0, 0.6),
    ],
    outputs: &[gives("h", "gap", "um")],
    holds_when: "the solder of the exposed pad sets the gap, not mask, leads, spacers or warp",
    strength: Strength::Screens,
    weak_because: "validate with 15 measured gaps at least, within 25 percent",
    sources: &["house"],
    checks: &[
        Check {
            inputs: &[("v_m", 0.515), ("V_EP", 1.483), ("A_EP", 26.01), ("void", 0.2)],
            expected: &[("h", 36.7)],
            relative: 0.0,
            absolute: 0.05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![h(a.one("v_m"), a.one("V_EP"), a.one("A_EP"), a.one("void"))]),
};

/// Gap in um from mm3 and mm2.
pub fn h(v_m: f64, v_ep: f64, a_ep: f64, void: f64) -> f64 {
    v_m * v_ep / (a_ep * (1.0 - void)) * 1000.0
}
