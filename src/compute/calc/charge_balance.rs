//! Takes amounts of charge of cations and anions; gives how far an extract is from neutral.

use super::{Args, Calc, Check, Known, gives, many};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "charge_balance",
    title: "Charge balance of an extract",
    formula: &["CBE = 100 * (sum(cation) - sum(anion)) / (sum(cation) + sum(anion))"],
    closed: true,
    symbols: &[
        many("cation", "charge of a cation: mass over molar mass times charge number", "umol", 1e-9, 1e9),
        many("anion", "charge of an anion", "umol", 1e-9, 1e9),
    ],
    outputs: &[gives("CBE", "charge balance error", "%")],
    holds_when: "all major ions were analysed and are fully dissociated",
    strength: Strength::Screens,
    weak_because: "weak acids carry less than their full charge near pH 6",
    sources: &["trade"],
    checks: &[Check {
        inputs: &[("cation", 0.02820819957354526), ("anion", 0.028208744710860365)],
        expected: &[("CBE", -0.000966265227618)],
        relative: 1e-6,
        absolute: 0.0,
        source: "trade",
        known: Known::Reference,
    }],
    run: |a: &Args| Ok(vec![cbe(&a.many("cation"), &a.many("anion"))]),
};

/// Charge balance error in percent, positive when cations prevail.
pub fn cbe(cations: &[f64], anions: &[f64]) -> f64 {
    let (plus, minus): (f64, f64) = (cations.iter().sum(), anions.iter().sum());
    100.0 * (plus - minus) / (plus + minus)
}
