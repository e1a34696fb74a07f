//! Takes cash flows and a rate; gives their present value.

use super::{Args, Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "present_value",
    title: "Net present value",
    formula: &["NPV = sum of flow_i / (1 + rate)^i, i from 0; NPV1 = NPV / (1 + rate), every flow one period later"],
    closed: false,
    symbols: &[
        many("flow", "flow of a period, the first one today", "=", -1e15, 1e15),
        one("rate", "rate per period", "1", -0.99, 100.0),
    ],
    outputs: &[gives("NPV", "present value, first flow today", "="), gives("NPV1", "present value, first flow after one period", "=")],
    holds_when: "flows fall at the ends of equal periods and the rate is that of the same period",
    strength: Strength::Informs,
    weak_because: "the rate and later flows are assumptions",
    sources: &["trade"],
    checks: &[
        Check {
            // Case cash_simple_0.08 of the reference set t07.
            inputs: &[
                ("flow", -100000.0),
                ("flow", 30000.0),
                ("flow", 35000.0),
                ("flow", 40000.0),
                ("flow", 45000.0),
                ("rate", 0.08),
            ],
            expected: &[("NPV", 22614.269504987384), ("NPV1", 20939.138430543873)],
            relative: 1e-12,
            absolute: 0.0,
            source: "trade",
            known: Known::Reference,
        },
    ],
    run: |a: &Args| {
        let v = value(&a.many("flow"), a.one("rate"));
        Ok(vec![v, v / (1.0 + a.one("rate"))])
    },
};

/// Present value; the first flow is not discounted.
pub fn value(flows: &[f64], rate: f64) -> f64 {
    let x = 1.0 / (1.0 + rate);
    flows.iter().rev().fold(0.0, |sum, f| sum * x + f)
}
