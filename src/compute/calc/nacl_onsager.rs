//! Takes the conductivity of an extract in water; gives the sodium chloride with the limiting law of Onsager.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "nacl_onsager",
    title: "Sodium chloride equivalent by the limiting law",
    formula: &["w = 58.44 c with kappa = c (L0 - (60.2 + 0.229 L0) sqrt(c)), c in mol/L, kappa in mS/cm: the smaller root"],
    closed: false,
    symbols: &[
        one("kappa", "conductivity less that of the blank", "uS/cm", 0.0, 1000.0),
        one("L0", "limiting molar conductivity of sodium chloride", "S cm2/mol", 100.0, 150.0),
    ],
    outputs: &[gives("w", "sodium chloride", "mg/L")],
    holds_when: "in water at 25 degC below about 0.01 mol/L; not in mixtures of alcohol and water",
    strength: Strength::Informs,
    weak_because: "no ion of a residue need be sodium or chloride; equivalents of different instruments don't compare",
    sources: &["RobinsonStokes1959"],
    checks: &[
        Check {
            // Case cond_12.0 of the reference set t08.
            inputs: &[("kappa", 12.0), ("L0", 126.4)],
            expected: &[("w", 5.586602373889811)],
            relative: 1e-3,
            absolute: 0.0,
            source: "RobinsonStokes1959",
            known: Known::Reference,
        },
        Check {
            // Without concentration the limit remains.
            inputs: &[("kappa", 1e-6), ("L0", 126.4)],
            expected: &[("w", 4.6234e-7)],
            relative: 1e-4,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![w(a.one("kappa"), a.one("L0"))]),
};

/// Sodium chloride in mg/L from uS/cm and S cm2/mol, by fixed-point steps.
pub fn w(kappa: f64, l0: f64) -> f64 {
    // c in mol/L: kappa [uS/cm] = 1000 c L.
    let mut c = kappa / l0 / 1000.0;
    for _ in 0..100 {
        let l = l0 - (60.2 + 0.229 * l0) * c.sqrt();
        let next = kappa / l / 1000.0;
        if (next - c).abs() <= 1e-16 * next {
            break;
        }
        c = next;
    }
    58.44 * 1000.0 * c
}
