//! Takes a voltage; gives the spacings of a published table, as a caution that defers to the standard.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "spacing_caution",
    title: "Spacing, a caution that defers to the standard",
    formula: &["first row whose upper end is at least V: to 15 V 0.1 / 0.13 mm, 30 0.1 / 0.25, 50 0.6 / 0.4, 100 0.6 / 0.5, 150 0.6 / 0.8, 170, 250 and 300 1.25 / 0.8, 500 2.5 / 1.5, above + 0.005 / 0.00305 mm per V"],
    closed: false,
    symbols: &[
        one("V", "peak voltage between the conductors", "V", 0.0, 5000.0),
    ],
    outputs: &[gives("B2", "outer conductors without coating, to 3050 m", "mm"), gives("A6", "leads without coating", "mm")],
    holds_when: "a caution only: the edition in force and licensed practice decide",
    strength: Strength::Informs,
    weak_because: "edition and class differ; creepage under residue and pollution is another standard, and the user brings it",
    sources: &["IPC-2221"],
    checks: &[
        Check {
            // Row to 15 V.
            inputs: &[("V", 15.0)],
            expected: &[("B2", 0.1), ("A6", 0.13)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 30 V.
            inputs: &[("V", 30.0)],
            expected: &[("B2", 0.1), ("A6", 0.25)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 50 V.
            inputs: &[("V", 50.0)],
            expected: &[("B2", 0.6), ("A6", 0.4)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 100 V.
            inputs: &[("V", 100.0)],
            expected: &[("B2", 0.6), ("A6", 0.5)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 150 V.
            inputs: &[("V", 150.0)],
            expected: &[("B2", 0.6), ("A6", 0.8)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 170 V.
            inputs: &[("V", 170.0)],
            expected: &[("B2", 1.25), ("A6", 0.8)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 250 V.
            inputs: &[("V", 250.0)],
            expected: &[("B2", 1.25), ("A6", 0.8)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 300 V.
            inputs: &[("V", 300.0)],
            expected: &[("B2", 1.25), ("A6", 0.8)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Row to 500 V.
            inputs: &[("V", 500.0)],
            expected: &[("B2", 2.5), ("A6", 1.5)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Above 500 V.
            inputs: &[("V", 620.0)],
            expected: &[("B2", 3.1), ("A6", 1.866)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
        Check {
            // Just above a row counts as the next.
            inputs: &[("V", 15.01)],
            expected: &[("A6", 0.25)],
            relative: 0.0,
            absolute: 1e-09,
            source: "IPC-2221",
            known: Known::Seen,
        },
    ],
    run: |a| {
        let (b2, a6) = spacing(a.one("V"));
        Ok(vec![b2, a6])
    },
};

/// Upper end of each row in V, external uncoated (B2) and uncoated lead (A6) in mm.
const ROWS: [(f64, f64, f64); 9] = [
    (15.0, 0.1, 0.13),
    (30.0, 0.1, 0.25),
    (50.0, 0.6, 0.4),
    (100.0, 0.6, 0.5),
    (150.0, 0.6, 0.8),
    (170.0, 1.25, 0.8),
    (250.0, 1.25, 0.8),
    (300.0, 1.25, 0.8),
    (500.0, 2.5, 1.5),
];

/// (B2, A6) in mm at `v` volt.
pub fn spacing(v: f64) -> (f64, f64) {
    match ROWS.iter().find(|r| v <= r.0) {
        Some(r) => (r.1, r.2),
        None => (2.5 + 0.005 * (v - 500.0), 1.5 + 0.00305 * (v - 500.0)),
    }
}
