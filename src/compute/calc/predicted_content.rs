//! Takes what every source leaves in the extract and the area; gives the content to expect.

use super::{Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "predicted_content",
    title: "Content predicted from doses",
    formula: &["c = sum(m) / A"],
    closed: true,
    symbols: &[
        many("m", "mass of one source that the extract reaches: dose times share of the ion times share extracted", "ug", 0.0, 1000000000.0),
        one("A", "area that the report counts", "cm2", 0.01, 100000.0),
    ],
    outputs: &[gives("c", "content to expect", "ug/cm2")],
    holds_when: "every source is counted and the area is that of the report",
    strength: Strength::Screens,
    weak_because: "the share that extraction reaches under bodies is not known",
    sources: &["house"],
    checks: &[
        Check {
            // Weak acids: paste 73.5 mg, 6 % of it, 35 % extracted; selective 14 cm2 x 95 x 0.5; hand 6 x 40.
            inputs: &[("m", 1543.5), ("m", 665.0), ("m", 240.0), ("A", 240.0)],
            expected: &[("c", 10.2)],
            relative: 0.0,
            absolute: 0.05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.many("m").iter().sum::<f64>() / a.one("A")]),
};

