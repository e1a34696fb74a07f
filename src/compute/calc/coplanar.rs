//! Takes a coplanar line on a board, under a film with ranges; gives permittivity and impedance, bare and covered.

use super::{Args, Calc, Check, Known, gives, one, whole};
use crate::compute::maths::elliptic::{coplanar_ground_ratio, coplanar_layer_ratio, coplanar_ratio};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "coplanar",
    title: "Coplanar line, bare and under residue",
    formula: &[
        "R(k) = K(k) / K(k'); k1 = w / (w + 2 g), ks = sinh(pi w / 4 h) / sinh(pi (w + 2 g) / 4 h), kt the same with tanh; open: e_bare = 1 + (er - 1) R(ks) / (2 R(k1)), Z0 = 30 pi / (sqrt(e) R(k1)); with ground: e_bare = (R(k1) + er R(kt)) / (R(k1) + R(kt)), Z0 = 60 pi / (sqrt(e) (R(k1) + R(kt))); a film adds (ec - 1) R(kd) over twice R(k1), or over R(k1) + R(kt), kd as ks with d for h; lowest and highest over the corners",
    ],
    closed: false,
    symbols: &[
        one("w", "width of the centre strip", "mm", 0.005, 100.0),
        one("g", "gap on either side", "mm", 0.005, 100.0),
        one("h", "height of the board", "mm", 0.005, 100.0),
        one("er", "relative permittivity of the board", "1", 1.0, 128.0),
        whole("ground", "1 with a ground under the board, 0 without", 0.0, 1.0),
        one("d_low", "thinnest film", "um", 0.0, 100000.0),
        one("d_high", "thickest film", "um", 0.0, 100000.0),
        one("ec_low", "lowest permittivity of the film", "1", 1.0, 128.0),
        one("ec_high", "highest permittivity of the film", "1", 1.0, 128.0),
    ],
    outputs: &[
        gives("e_bare", "effective permittivity without film", "1"),
        gives("Z0", "impedance without film", "ohm"),
        gives("e_low", "lowest effective permittivity", "1"),
        gives("e_high", "highest effective permittivity", "1"),
        gives("df_low", "lowest shift of a resonance", "%"),
        gives("df_high", "highest shift of a resonance", "%"),
    ],
    holds_when: "strips are thin, grounds beside are wide, the frequency is low",
    strength: Strength::Screens,
    weak_because: "layers are added as if field lines kept to them, good to a few percent of the shift when the film is less permissive than the board; the ranges are the user's",
    sources: &["Wadell1991", "Gevorgian1995"],
    checks: &[
        Check {
            // Case cpw_1.0_0.2_1.6_4.3_o of the reference set t06.
            inputs: &[
                ("w", 1.0),
                ("g", 0.2),
                ("h", 1.6),
                ("er", 4.3),
                ("ground", 0.0),
                ("d_low", 0.0),
                ("d_high", 0.0),
                ("ec_low", 1.0),
                ("ec_high", 1.0),
            ],
            expected: &[("e_bare", 2.5950725001640293), ("Z0", 57.92224544798852), ("e_high", 2.5950725001640293)],
            relative: 1e-8,
            absolute: 0.0,
            source: "Wadell1991",
            known: Known::Reference,
        },
        Check {
            // Case cpw_0.5_0.15_0.508_3.66_g of the reference set t06; a thick film of air changes nothing.
            inputs: &[
                ("w", 0.5),
                ("g", 0.15),
                ("h", 0.508),
                ("er", 3.66),
                ("ground", 1.0),
                ("d_low", 10.0),
                ("d_high", 100000.0),
                ("ec_low", 1.0),
                ("ec_high", 1.0),
            ],
            expected: &[("e_bare", 2.452148739109125), ("Z0", 60.442211685125926), ("df_low", 0.0)],
            relative: 1e-8,
            absolute: 1e-12,
            source: "Wadell1991",
            known: Known::Reference,
        },
        Check {
            // Board and film of one permittivity, both without end: the line lies within that permittivity.
            inputs: &[
                ("w", 1.0),
                ("g", 0.2),
                ("h", 100.0),
                ("er", 3.0),
                ("ground", 0.0),
                ("d_low", 100000.0),
                ("d_high", 100000.0),
                ("ec_low", 3.0),
                ("ec_high", 3.0),
            ],
            expected: &[("e_high", 3.0)],
            relative: 1e-4,
            absolute: 0.0,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a: &Args| {
        let (d, ec) = ((a.one("d_low"), a.one("d_high")), (a.one("ec_low"), a.one("ec_high")));
        if d.0 > d.1 || ec.0 > ec.1 {
            return Err("a low end of the film is above its high end".into());
        }
        let (w, g) = (a.one("w"), a.one("g"));
        let (bare, z, total) = line(w, g, a.one("h"), a.one("er"), a.one("ground") == 1.0);
        // A film only adds, and more so the thicker and the more permissive it is: the corners are its ends.
        let covered = |d: f64, ec: f64| bare + (ec - 1.0) * layer(w, g, d / 1000.0) / total;
        let (low, high) = (covered(d.0, ec.0), covered(d.1, ec.1));
        let df = |e: f64| 100.0 * ((bare / e).sqrt() - 1.0);
        Ok(vec![bare, z, low, high, df(high), df(low)])
    },
};

/// Share of a film of thickness `d`, 0 for none.
fn layer(w: f64, g: f64, d: f64) -> f64 {
    if d > 0.0 { coplanar_layer_ratio(w, g, d) } else { 0.0 }
}

/// (effective permittivity, impedance in ohm, all ratios of both half spaces) of a bare line; lengths in one unit.
pub fn line(w: f64, g: f64, h: f64, er: f64, ground: bool) -> (f64, f64, f64) {
    // 376.730 ohm, the wave impedance of vacuum, over 2.
    const HALF: f64 = 188.36515683;
    let air = coplanar_ratio(w, g);
    let (total, board) = if ground {
        let below = coplanar_ground_ratio(w, g, h);
        (air + below, below)
    } else {
        (2.0 * air, coplanar_layer_ratio(w, g, h))
    };
    let e = 1.0 + (er - 1.0) * board / total;
    (e, HALF / (e.sqrt() * total), total)
}
