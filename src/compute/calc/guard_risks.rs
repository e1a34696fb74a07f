//! Takes the distance of a value from its limit, its uncertainty and a guard band; gives both risks of the decision.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::normal_cdf;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "guard_risks",
    title: "Both risks of a guarded decision",
    formula: &[
        "accept when d >= g; bad = Phi(-d / u), the chance that the true value misses the limit; good = Phi(d / u), the chance that it meets it; worst_accept = Phi(-g / u), worst_reject = Phi(g / u), the chances right at the guarded limit",
    ],
    closed: false,
    symbols: &[
        one("d", "distance of the value from the limit, positive on the good side", "=", -1e12, 1e12),
        one("u", "standard uncertainty of the value", "=", 1e-12, 1e12),
        one("g", "guard band", "=", 0.0, 1e12),
    ],
    outputs: &[
        gives("accepted", "1 when the guarded decision accepts", "1"),
        gives("bad", "risk of the one who accepts this value", "1"),
        gives("good", "risk of the one whose value is rejected", "1"),
        gives("worst_accept", "largest risk of an accepted value", "1"),
        gives("worst_reject", "largest risk of a rejected value", "1"),
    ],
    holds_when: "the uncertainty is normal and nothing else is known of the value",
    strength: Strength::Decides,
    weak_because: "of this one value; the share of wrong decisions over many needs to know how values are spread",
    sources: &["ILAC-G8", "JCGM106"],
    checks: &[
        Check {
            // Limit 8.000, U = 0.200, value 8.100: a simple pass, a guarded fail, false acceptance 0.158655.
            inputs: &[("d", 0.1), ("u", 0.1), ("g", 0.2)],
            expected: &[("accepted", 0.0), ("bad", 0.158655), ("good", 0.841345)],
            relative: 0.0,
            absolute: 5e-7,
            source: "ILAC-G8",
            known: Known::Seen,
        },
        Check {
            // The same value without a guard band; a guard band of 2 u leaves 2.3 %, one of 1.64 u 5 %.
            inputs: &[("d", 0.1), ("u", 0.1), ("g", 0.0)],
            expected: &[("accepted", 1.0), ("worst_accept", 0.5)],
            relative: 0.0,
            absolute: 1e-15,
            source: "ILAC-G8",
            known: Known::Seen,
        },
        Check {
            inputs: &[("d", 0.3), ("u", 0.1), ("g", 0.1644853626951472)],
            expected: &[("accepted", 1.0), ("worst_accept", 0.05), ("worst_reject", 0.95)],
            relative: 1e-13,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let (d, u, g) = (a.one("d"), a.one("u"), a.one("g"));
        let accepted = f64::from(u8::from(d >= g));
        Ok(vec![accepted, normal_cdf(-d / u), normal_cdf(d / u), normal_cdf(-g / u), normal_cdf(g / u)])
    },
};
