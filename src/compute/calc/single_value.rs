//! Takes a payment and its month; gives its present value.

use super::{Calc, Check, Known, gives, one, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "single_value",
    title: "Present value of a payment",
    formula: &["V = C * v^m"],
    closed: true,
    symbols: &[
        one("C", "payment", "=", -10000000000.0, 10000000000.0),
        one("v", "factor of a month", "1", 0.5, 1.0),
        whole("m", "month", 0.0, 360.0),
    ],
    outputs: &[gives("V", "present value", "=")],
    holds_when: "it is paid at the end of that month",
    strength: Strength::Informs,
    weak_because: "offers change until they are signed",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("C", 310000.0), ("v", 0.9928441), ("m", 36.0)],
            expected: &[("V", 239377.0)],
            relative: 0.0,
            absolute: 30.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("C") * libm::pow(a.one("v"), a.one("m"))]),
};
