//! Takes what a belt washer uses in an hour; gives what the hour costs.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "wash_hour",
    title: "Cost of an hour of a belt washer",
    formula: &["c_h = P * f * c_kwh + w * (c_w + phi * c_e) + c_r + c_p + k * c_k + c_s"],
    closed: true,
    symbols: &[
        one("P", "connected load", "kW", 0.0, 1000.0),
        one("f", "mean share of it", "1", 0.0, 1.0),
        one("c_kwh", "price of a kWh", "=/kWh", 0.0, 5.0),
        one("w", "water", "m3/h", 0.0, 100.0),
        one("c_w", "price of water", "=/m3", 0.0, 200.0),
        one("phi", "share of the water that is discharged", "1", 0.0, 1.0),
        one("c_e", "price of effluent", "=/m3", 0.0, 500.0),
        one("c_r", "resin", "=/h", 0.0, 1000.0),
        one("c_p", "parts", "=/h", 0.0, 1000.0),
        one("k", "people at the line", "1", 0.0, 20.0),
        one("c_k", "cost of one of them", "=/h", 0.0, 1000.0),
        one("c_s", "saponifier", "=/h", 0.0, 1000.0),
    ],
    outputs: &[gives("c_h", "cost of an hour", "=/h")],
    holds_when: "the line runs at its usual load",
    strength: Strength::Informs,
    weak_because: "shares of load, crew and water are means",
    sources: &["trade"],
    checks: &[
        Check {
            inputs: &[("P", 58.88), ("f", 1.0), ("c_kwh", 0.17), ("w", 0.6), ("c_w", 2.7), ("phi", 0.92), ("c_e", 5.4), ("c_r", 2.15), ("c_p", 3.2), ("k", 0.75), ("c_k", 24.5), ("c_s", 0.0)],
            expected: &[("c_h", 38.3354)],
            relative: 0.0,
            absolute: 5e-05,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (power, water) = (a.one("P") * a.one("f") * a.one("c_kwh"), a.one("c_w") + a.one("phi") * a.one("c_e"));
        Ok(vec![power + a.one("w") * water + a.one("c_r") + a.one("c_p") + a.one("k") * a.one("c_k") + a.one("c_s")])
    },
};
