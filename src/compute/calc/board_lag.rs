//! Takes the ramp of the air and the time constant of a board; gives how far the board lags and when it gets wet.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "board_lag",
    title: "Lag of a board behind the air",
    formula: &["lag = ramp * tau / 60", "RHc = 100 * exp(17.62 * (T - lag) / (243.12 + T - lag) - 17.62 * T / (243.12 + T))"],
    closed: true,
    symbols: &[
        one("ramp", "ramp of the air", "K/h", 0.0, 200.0),
        one("tau", "thermal time constant of the board", "min", 0.01, 600.0),
        one("T", "air temperature", "degC", -20.0, 100.0),
    ],
    outputs: &[gives("lag", "lag once the ramp has lasted three time constants", "K"), gives("RHc", "air humidity from which water condenses on the board", "%RH")],
    holds_when: "the ramp lasts at least three time constants and the board makes no heat of its own",
    strength: Strength::Screens,
    weak_because: "the time constant differs from place to place; a logger decides",
    sources: &["WMO-8"],
    checks: &[
        Check {
            // 22 min at 6 K/h lag 2.2 K, wet from 88 %RH.
            inputs: &[("ramp", 6.0), ("tau", 22.0), ("T", 25.0)],
            expected: &[("lag", 2.2), ("RHc", 88.0)],
            relative: 0.0,
            absolute: 0.5,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let lag = lag(a.one("ramp"), a.one("tau"));
        if lag > 100.0 {
            return Err("the board lags more than 100 K: the ramp cannot last three time constants".into());
        }
        Ok(vec![lag, super::surface_humidity::rhs(100.0, a.one("T") - lag, a.one("T"))])
    },
};

/// Lag in K from K/h and min.
pub fn lag(ramp: f64, tau: f64) -> f64 {
    ramp * tau / 60.0
}
