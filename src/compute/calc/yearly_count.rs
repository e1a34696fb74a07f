//! Takes counts a year: boards, panels or loads; gives all of them together.

use super::{Calc, Check, Known, gives, many};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "yearly_count",
    title: "Boards, panels or loads together",
    formula: &["sum_N = sum(N)"],
    closed: true,
    symbols: &[many("N", "count a year", "1/a", 0.0, 1e9)],
    outputs: &[gives("sum_N", "all of them", "1/a")],
    holds_when: "all are counted over the same year",
    strength: Strength::Informs,
    weak_because: "volumes are plans",
    sources: &["trade"],
    checks: &[Check {
        // Panels of the four assemblies of the example.
        inputs: &[("N", 12000.0), ("N", 8000.0), ("N", 5200.0), ("N", 19000.0)],
        expected: &[("sum_N", 44200.0)],
        relative: 0.0,
        absolute: 0.0,
        source: "house",
        known: Known::Hand,
    }],
    run: |a| Ok(vec![a.many("N").iter().sum()]),
};
