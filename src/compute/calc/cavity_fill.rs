//! Takes paste, foil and pads of a body on an exposed pad; gives gap and fill, and shows that the foil does not move the fill.

use super::{Calc, Check, Known, gives, one};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "cavity_fill",
    title: "Gap and fill from the stencil",
    formula: &["V_EP = A_EP * cover * T * TE_EP", "V_per = A_per * T * TE_per", "h = 1000 * v_m * V_EP / (A_EP * (1 - void))", "fill = 1000 * psi * (V_EP + 0.5 * V_per) / (A_free * (h + street))"],
    closed: true,
    symbols: &[
        one("v_m", "metal share of the paste by volume", "1", 0.2, 0.8),
        one("psi", "residue volume per paste volume", "1", 0.001, 0.8),
        one("A_EP", "area of the exposed pad", "mm2", 0.01, 2500.0),
        one("cover", "share of the exposed pad that is printed", "1", 0.05, 1.0),
        one("TE_EP", "transfer efficiency on the exposed pad", "1", 0.01, 1.5),
        one("A_per", "printed area of the other lands", "mm2", 0.0, 5000.0),
        one("TE_per", "transfer efficiency on the other lands", "1", 0.01, 1.5),
        one("void", "share of voids", "1", 0.0, 0.6),
        one("A_free", "free area under the body", "mm2", 0.01, 6400.0),
        one("street", "depth of mask-free streets, spread over the free area", "um", 0.0, 200.0),
        one("T", "thickness of the foil", "mm", 0.02, 1.0),
    ],
    outputs: &[gives("V_EP", "paste on the exposed pad", "mm3"), gives("V_per", "paste on the other lands", "mm3"), gives("h", "gap", "um"), gives("fill", "share of the cavity that residue fills", "1")],
    holds_when: "the solder of the exposed pad sets the gap, not mask, leads, spacers, land solder or warp; then the fill is the same for every foil",
    strength: Strength::Screens,
    weak_because: "assumes that residue stays inside; validate with 15 measured gaps and fills at least, within 25 percent",
    sources: &["house"],
    checks: &[
        Check {
            // QFN-48, 7 x 7 mm.
            inputs: &[("v_m", 0.5151), ("psi", 0.2198), ("A_EP", 26.01), ("cover", 0.6), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.1)],
            expected: &[("V_EP", 1.483), ("V_per", 0.546), ("h", 36.7), ("fill", 0.577)],
            relative: 0.003,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Foil 0.08 mm: 29 um, fill as before.
            inputs: &[("v_m", 0.5151), ("psi", 0.2198), ("A_EP", 26.01), ("cover", 0.6), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.08)],
            expected: &[("h", 29.0), ("fill", 0.577)],
            relative: 0.02,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Foil 0.12 mm: 44 um, fill as before.
            inputs: &[("v_m", 0.5151), ("psi", 0.2198), ("A_EP", 26.01), ("cover", 0.6), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.12)],
            expected: &[("h", 44.0), ("fill", 0.577)],
            relative: 0.005,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Half of the pad printed.
            inputs: &[("v_m", 0.5151), ("psi", 0.2198), ("A_EP", 26.01), ("cover", 0.5), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.1)],
            expected: &[("fill", 0.595)],
            relative: 0.004,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Four fifths printed.
            inputs: &[("v_m", 0.5151), ("psi", 0.2198), ("A_EP", 26.01), ("cover", 0.8), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.1)],
            expected: &[("fill", 0.555)],
            relative: 0.004,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Streets of 25 um over 70 percent of the free area.
            inputs: &[("v_m", 0.5151), ("psi", 0.2198), ("A_EP", 26.01), ("cover", 0.6), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 17.5), ("T", 0.1)],
            expected: &[("fill", 0.39)],
            relative: 0.01,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Solids 35 percent of the flux.
            inputs: &[("v_m", 0.5151), ("psi", 0.16027083333333333), ("A_EP", 26.01), ("cover", 0.6), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.1)],
            expected: &[("fill", 0.42)],
            relative: 0.01,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
        Check {
            // Solids 60 percent of the flux.
            inputs: &[("v_m", 0.5151), ("psi", 0.27475), ("A_EP", 26.01), ("cover", 0.6), ("TE_EP", 0.95), ("A_per", 6.067), ("TE_per", 0.9), ("void", 0.2), ("A_free", 18.19), ("street", 0.0), ("T", 0.1)],
            expected: &[("fill", 0.72)],
            relative: 0.01,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a| {
        let v_ep = a.one("A_EP") * a.one("cover") * a.one("T") * a.one("TE_EP");
        let v_per = a.one("A_per") * a.one("T") * a.one("TE_per");
        let h = super::btc_gap::h(a.one("v_m"), v_ep, a.one("A_EP"), a.one("void"));
        let fill = 1000.0 * a.one("psi") * (v_ep + 0.5 * v_per) / (a.one("A_free") * (h + a.one("street")));
        Ok(vec![v_ep, v_per, h, fill])
    },
};

