//! Takes machines and loads; gives the cost of a year of batch washing.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "batch_year",
    title: "Cost of a year of batch washing",
    formula: &["C = n * F + L * c_L"],
    closed: true,
    symbols: &[
        one("n", "machines", "1", 0.0, 1000.0),
        one("F", "cost of one while it is kept", "=/a", 0.0, 1000000000.0),
        one("L", "loads a year", "1/a", 0.0, 1000000.0),
        one("c_L", "cost of a load", "=", 0.0, 100000.0),
    ],
    outputs: &[gives("C", "cost of a year", "=/a")],
    holds_when: "every machine is kept all year",
    strength: Strength::Informs,
    weak_because: "a half-empty load costs as much as a full one",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("n", 2.0), ("F", 15530.0), ("L", 2225.0), ("c_L", 17.3)],
            expected: &[("C", 69552.5)],
            relative: 0.0,
            absolute: 1e-06,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| Ok(vec![a.one("n") * a.one("F") + a.one("L") * a.one("c_L")]),
};
