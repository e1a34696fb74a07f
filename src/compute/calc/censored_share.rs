//! Takes readings and those among them at the ceiling; gives their share and whether a bound may be fitted.

use super::{Calc, Check, Known, gives, whole};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "censored_share",
    title: "Share of readings at the ceiling",
    formula: &["share = c / n", "fitted = floor(min(1, max(0, 2 - 4 * c / n)))"],
    closed: true,
    symbols: &[
        whole("c", "readings at the ceiling of the instrument", 0.0, 1e9),
        whole("n", "readings", 1.0, 1e9),
    ],
    outputs: &[
        gives("share", "share at the ceiling", "1"),
        gives("fitted", "1 when a fitted bound may be used, 0 when only order statistics", "1"),
    ],
    holds_when: "a reading at the ceiling says only that the resistance lies above",
    strength: Strength::Screens,
    weak_because: "a quarter is a rule of the house",
    sources: &["house"],
    checks: &[
        Check {
            // 13 of 24 at 1e12 ohm: the bound with substituted values looks fine and is not.
            inputs: &[("c", 13.0), ("n", 24.0)],
            expected: &[("share", 0.5416666666666666), ("fitted", 0.0)],
            relative: 1e-14,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("c", 6.0), ("n", 24.0)],
            expected: &[("share", 0.25), ("fitted", 1.0)],
            relative: 0.0,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        if a.one("c") > a.one("n") {
            return Err("more readings at the ceiling than readings".into());
        }
        let share = share(a.one("c"), a.one("n"));
        Ok(vec![share, f64::from(u8::from(share <= MOST))])
    },
};

/// Largest share at the ceiling with which a fitted bound may be used.
pub const MOST: f64 = 0.25;

/// Share at the ceiling, 0 to 1.
pub fn share(c: f64, n: f64) -> f64 {
    c / n
}
