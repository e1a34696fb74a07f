//! Takes the reading of a solvent extract, its volume and the area; gives total and per area, with the basis.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "solvent_extract",
    title: "Solvent extract",
    formula: &["T = M * V / 1000", "c = T / A", "c_in = 6.4516 * c", "basis = V / A"],
    closed: true,
    symbols: &[
        one("M", "sodium chloride equivalent in the extract", "ug/L", 0.0, 10000000.0),
        one("V", "volume of the extract", "mL", 0.1, 100000.0),
        one("A", "extracted area, both sides", "cm2", 0.01, 100000.0),
    ],
    outputs: &[gives("T", "sodium chloride equivalent", "ug"), gives("c", "per area", "ug/cm2"), gives("c_in", "per area", "ug/in2"), gives("basis", "volume per area", "mL/cm2")],
    holds_when: "the area counts both sides; at most 10 mL per cm2 today, once 10 mL per in2",
    strength: Strength::Informs,
    weak_because: "a bulk average: it cannot see the place that fails, and instruments do not compare",
    sources: &["IPC-TM-650-2.3.25"],
    checks: &[
        Check {
            // The old limit 10.06 ug/in2 is 1.559 ug/cm2.
            inputs: &[("M", 1559.0), ("V", 100.0), ("A", 100.0)],
            expected: &[("c", 1.559), ("c_in", 10.06), ("basis", 1.0)],
            relative: 0.0005,
            absolute: 0.0,
            source: "IPC-TM-650-2.3.25",
            known: Known::Seen,
        },
        Check {
            // Chloride of bare boards: 0.75 ug/cm2 is 4.839 ug/in2.
            inputs: &[("M", 750.0), ("V", 100.0), ("A", 100.0)],
            expected: &[("c_in", 4.839)],
            relative: 0.0,
            absolute: 0.0005,
            source: "IPC-5704",
            known: Known::Seen,
        },
    ],
    run: |a| {
        let t = total(a.one("M"), a.one("V"));
        let c = t / a.one("A");
        Ok(vec![t, c, INCH * c, a.one("V") / a.one("A")])
    },
};

/// Square centimetres in a square inch.
pub const INCH: f64 = 6.4516;

/// Total in ug from ug/L and mL.
pub fn total(m: f64, v: f64) -> f64 {
    m * v / 1000.0
}
