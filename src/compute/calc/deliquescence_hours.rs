//! Takes a log of air and the temperature of a board in it; gives the hours in which residue takes up water.

use super::{Args, Calc, Check, Known, gives, many, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "deliquescence_hours",
    title: "Hours of deliquescence",
    formula: &["wet: hours with RH_s = RH es(T) / es(T + rise) >= DRH - 5; dew: hours with RH_s >= 100; run: longest stretch of wet hours; es as for dew_point"],
    closed: false,
    symbols: &[
        many("T", "air temperature of a reading", "degC", -60.0, 100.0),
        many("RH", "humidity of the same reading", "%RH", 0.0, 100.0),
        one("rise", "board over air, negative when it is colder", "K", -50.0, 100.0),
        one("DRH", "lowest deliquescence of the residue", "%RH", 6.0, 100.0),
        one("step", "hours from reading to reading", "h", 0.0001, 24.0),
    ],
    outputs: &[gives("wet", "hours in which residue takes up water", "h"), gives("dew", "hours of condensation", "h"), gives("run", "longest stretch of wet hours", "h")],
    holds_when: "readings are even and the log has no gaps; standby is often worse than operation",
    strength: Strength::Decides,
    weak_because: "mixtures deliquesce earlier than their acids; the microclimate of the board needs a logger",
    sources: &["WMO-8"],
    checks: &[
        Check {
            // A board 5 K warmer than 93 %RH is dry, as warm it is wet, 1 K colder it is wet and close to dew.
            inputs: &[("T", 25.0), ("T", 25.0), ("T", 25.0), ("RH", 93.0), ("RH", 70.0), ("RH", 95.0), ("rise", 0.0), ("DRH", 85.0), ("step", 1.0)],
            expected: &[("wet", 2.0), ("dew", 0.0), ("run", 1.0)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            inputs: &[("T", 25.0), ("T", 25.0), ("T", 25.0), ("RH", 93.0), ("RH", 70.0), ("RH", 95.0), ("rise", 5.0), ("DRH", 85.0), ("step", 1.0)],
            expected: &[("wet", 0.0), ("dew", 0.0), ("run", 0.0)],
            relative: 0.0,
            absolute: 1e-12,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Two kelvin colder than the air.
            inputs: &[("T", 25.0), ("T", 25.0), ("T", 25.0), ("RH", 93.0), ("RH", 70.0), ("RH", 95.0), ("rise", -2.0), ("DRH", 85.0), ("step", 0.5)],
            expected: &[("wet", 1.0), ("dew", 1.0), ("run", 0.5)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a: &Args| {
        let (t, rh) = (a.many("T"), a.many("RH"));
        if t.len() != rh.len() {
            return Err("T and RH need the same number of values".into());
        }
        let (wet, dew, run) = counts(&t, &rh, a.one("rise"), a.one("DRH"));
        Ok([wet, dew, run].into_iter().map(|n| n as f64 * a.one("step")).collect())
    },
};

/// Humidity below deliquescence from which residue counts as wet, %RH.
pub const EARLY: f64 = 5.0;

/// Readings that are wet, that condense, and in the longest stretch of wet ones.
pub fn counts(t: &[f64], rh: &[f64], rise: f64, drh: f64) -> (usize, usize, usize) {
    let (mut wet, mut dew, mut run, mut longest) = (0, 0, 0, 0);
    for (t, rh) in t.iter().zip(rh) {
        let surface = super::surface_humidity::rhs(*rh, *t, t + rise);
        run = if surface >= drh - EARLY { run + 1 } else { 0 };
        wet += usize::from(run > 0);
        dew += usize::from(surface >= 100.0);
        longest = longest.max(run);
    }
    (wet, dew, longest)
}
