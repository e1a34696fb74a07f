//! Takes severity, occurrence and detection of a failure mode; gives when to act, severity first.

use super::{Calc, Check, Known, gives, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "action_priority",
    title: "Priority of action on a failure mode",
    formula: &["3 (high) when S >= 9 and O >= 2, or S >= 7 and O >= 4; 2 (medium) when S >= 7, or S >= 4 and O >= 4 and D >= 3; 1 (low) otherwise; RPN = S O D as a column only"],
    closed: false,
    symbols: &[
        whole("S", "severity", 1.0, 10.0),
        whole("O", "occurrence", 1.0, 10.0),
        whole("D", "detection, 10 for none", 1.0, 10.0),
    ],
    outputs: &[gives("AP", "3 high, 2 medium, 1 low", "1"), gives("RPN", "product, never ranked by", "1")],
    holds_when: "a simple rule of this program, printed with every table; no standard of any body",
    strength: Strength::Informs,
    weak_because: "ordinals do not multiply: 9 x 2 x 4 and 4 x 6 x 3 are both 72",
    sources: &["house", "IEC60812"],
    checks: &[
        Check {
            // Pen flux at touch-up on an unwashed board: high, whatever its 280.
            inputs: &[("S", 8.0), ("O", 5.0), ("D", 7.0)],
            expected: &[("AP", 3.0), ("RPN", 280.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // After the pens are gone.
            inputs: &[("S", 8.0), ("O", 2.0), ("D", 4.0)],
            expected: &[("AP", 2.0), ("RPN", 64.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // The same product as the next, and higher.
            inputs: &[("S", 9.0), ("O", 2.0), ("D", 4.0)],
            expected: &[("AP", 3.0), ("RPN", 72.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("S", 4.0), ("O", 6.0), ("D", 3.0)],
            expected: &[("AP", 2.0), ("RPN", 72.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("S", 3.0), ("O", 10.0), ("D", 10.0)],
            expected: &[("AP", 1.0), ("RPN", 300.0)],
            relative: 0.0,
            absolute: 1e-09,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (s, o, d) = (a.one("S"), a.one("O"), a.one("D"));
        Ok(vec![priority(s, o, d), s * o * d])
    },
};

/// 3 high, 2 medium, 1 low.
pub fn priority(s: f64, o: f64, d: f64) -> f64 {
    match () {
        () if (s >= 9.0 && o >= 2.0) || (s >= 7.0 && o >= 4.0) => 3.0,
        () if s >= 7.0 || (s >= 4.0 && o >= 4.0 && d >= 3.0) => 2.0,
        () => 1.0,
    }
}
