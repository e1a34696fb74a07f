//! Takes concentrations, volume, dilution and area with their uncertainties; gives mass per area with its own.

use super::{Calc, Check, Known, gives, one};
use crate::compute::maths::t_quantile;
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "mass_per_area",
    title: "Mass per area with its uncertainty",
    formula: &[
        "y = (c - c0) * V * D / A",
        "u = sqrt((V * D / A)^2 * (u_c^2 + u_c0^2 - 2 * r * u_c * u_c0) + ((c - c0) * D / A * u_V)^2 + ((c - c0) * V / A * u_D)^2 + (y / A * u_A)^2)",
        "U = 2 * u",
    ],
    closed: true,
    symbols: &[
        one("c", "concentration in the extract", "ug/mL", 0.0, 1e6),
        one("u_c", "its standard uncertainty", "ug/mL", 0.0, 1e6),
        one("c0", "concentration in the blank", "ug/mL", 0.0, 1e6),
        one("u_c0", "its standard uncertainty", "ug/mL", 0.0, 1e6),
        one("r", "correlation of both", "1", -1.0, 1.0),
        one("V", "volume of the extract", "mL", 1e-3, 1e6),
        one("u_V", "its standard uncertainty", "mL", 0.0, 1e6),
        one("D", "dilution", "1", 1e-3, 1e6),
        one("u_D", "its standard uncertainty", "1", 0.0, 1e6),
        one("A", "area, both sides", "cm2", 1e-3, 1e7),
        one("u_A", "its standard uncertainty", "cm2", 0.0, 1e6),
    ],
    outputs: &[
        gives("y", "mass per area", "ug/cm2"),
        gives("u", "combined standard uncertainty", "ug/cm2"),
        gives("U", "expanded uncertainty, factor 2", "ug/cm2"),
    ],
    holds_when: "uncertainties are small beside the values; blank and extract share volume and area",
    strength: Strength::Decides,
    weak_because: "what the extraction leaves behind is in no uncertainty",
    sources: &["GUM", "IPC-TM-650-2.3.28"],
    checks: &[
        Check {
            // Case cl_low of tests/reference/t11_gum.json.
            inputs: &[("c", 0.412), ("u_c", 0.018), ("c0", 0.035), ("u_c0", 0.006), ("r", 0.0), ("V", 50.0), ("u_V", 0.15), ("D", 1.0), ("u_D", 0.0), ("A", 103.2), ("u_A", 1.5)],
            expected: &[("y", 0.18265503875968994), ("u", 0.009584035531413572)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
        Check {
            // Case correlated of the same set.
            inputs: &[("c", 0.88), ("u_c", 0.025), ("c0", 0.12), ("u_c0", 0.015), ("r", 0.6), ("V", 40.0), ("u_V", 0.12), ("D", 2.0), ("u_D", 0.012), ("A", 88.0), ("u_A", 1.1)],
            expected: &[("y", 0.6909090909090909), ("u", 0.020655417715256582)],
            relative: 1e-12,
            absolute: 0.0,
            source: "house",
            known: Known::Reference,
        },
        Check {
            // Only the volume is uncertain: 1 % of 10.
            inputs: &[("c", 2.0), ("u_c", 0.0), ("c0", 0.0), ("u_c0", 0.0), ("r", 0.0), ("V", 100.0), ("u_V", 1.0), ("D", 1.0), ("u_D", 0.0), ("A", 20.0), ("u_A", 0.0)],
            expected: &[("y", 10.0), ("u", 0.1), ("U", 0.2)],
            relative: 1e-14,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let pair = |x: &str, u: &str| (a.one(x), a.one(u));
        let quantities =
            [pair("c", "u_c"), pair("c0", "u_c0"), pair("V", "u_V"), pair("D", "u_D"), pair("A", "u_A")];
        let m = combine(quantities, a.one("r"));
        Ok(vec![m.y, m.u, 2.0 * m.u])
    },
};

/// Mass per area with the parts of its uncertainty; parts in the order concentration, blank, volume, dilution, area.
#[derive(Debug, Clone, Copy)]
pub struct Mass {
    pub y: f64,
    pub u: f64,
    /// Change of y per change of the quantity.
    pub sensitivity: [f64; 5],
    /// Share of the sum of squares, the correlation left out; 0 when nothing is uncertain.
    pub share: [f64; 5],
}

/// Combines (value, standard uncertainty) of concentration, blank, volume, dilution and area, first order; `r` is the
/// correlation of concentration and blank.
pub fn combine(quantities: [(f64, f64); 5], r: f64) -> Mass {
    let [(c, uc), (c0, uc0), (v, _), (d, _), (a, _)] = quantities;
    let net = c - c0;
    let y = net * v * d / a;
    let each = v * d / a;
    let sensitivity = [each, -each, net * d / a, net * v / a, -y / a];
    let mut squares = [0.0; 5];
    for i in 0..5 {
        let part = sensitivity[i] * quantities[i].1;
        squares[i] = part * part;
    }
    let sum: f64 = squares.iter().sum();
    let joint = 2.0 * r * sensitivity[0] * sensitivity[1] * uc * uc0;
    let share = squares.map(|s| if sum > 0.0 { s / sum } else { 0.0 });
    Mass { y, u: (sum + joint).max(0.0).sqrt(), sensitivity, share }
}

/// (effective degrees of freedom, two-sided 95 % factor) by Welch and Satterthwaite; the degrees are not rounded.
/// Infinite degrees count as certain; none when no part has finite ones.
pub fn effective(m: &Mass, quantities: [(f64, f64); 5], degrees: [f64; 5]) -> Option<(f64, f64)> {
    let mut sum = 0.0;
    for i in 0..5 {
        let part = m.sensitivity[i] * quantities[i].1 / m.u;
        sum += part * part * part * part / degrees[i];
    }
    (sum > 0.0 && sum.is_finite()).then(|| (1.0 / sum, t_quantile(0.975, 1.0 / sum)))
}
