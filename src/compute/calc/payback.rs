//! Takes cash flows and a rate; gives the time after which they have paid back, plain and discounted.

use super::{Args, Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "payback",
    title: "Payback time",
    formula: &["t: first time at which the sum of flows so far is 0, linear within a period; td: the same with flow_i / (1 + rate)^i"],
    closed: false,
    symbols: &[
        many("flow", "flow of a period, the first one today", "=", -1e15, 1e15),
        one("rate", "rate per period", "1", -0.99, 100.0),
    ],
    outputs: &[gives("t", "payback time", "periods"), gives("td", "payback time of the discounted flows", "periods")],
    holds_when: "flows come evenly within each period",
    strength: Strength::Informs,
    weak_because: "what comes after the payback does not count",
    sources: &["trade"],
    checks: &[
        Check {
            // Case cash_qual_0.09 of the reference set t07.
            inputs: &[
                ("flow", -68500.0),
                ("flow", -12000.0),
                ("flow", 24500.0),
                ("flow", 31000.0),
                ("flow", 31000.0),
                ("flow", 29500.0),
                ("rate", 0.09),
            ],
            expected: &[("t", 3.806451612903226), ("td", 4.677471516293221)],
            relative: 1e-12,
            absolute: 0.0,
            source: "trade",
            known: Known::Reference,
        },
    ],
    run: |a: &Args| {
        let flows = a.many("flow");
        let never = "the flows never pay back";
        let plain = time(&flows, 0.0).ok_or(never)?;
        Ok(vec![plain, time(&flows, a.one("rate")).ok_or("the discounted flows never pay back")?])
    },
};

/// Payback time in periods; none when the sum never reaches 0.
pub fn time(flows: &[f64], rate: f64) -> Option<f64> {
    let (mut sum, mut factor) = (0.0, 1.0);
    for (i, f) in flows.iter().enumerate() {
        let flow = f * factor;
        if sum + flow >= 0.0 {
            return Some(if i == 0 { 0.0 } else { (i - 1) as f64 - sum / flow });
        }
        sum += flow;
        factor /= 1.0 + rate;
    }
    None
}
