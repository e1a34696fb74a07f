//! Takes microstrip and coplanar lines, bare and under a film; gives the facts of these cases.

use super::{Case, Fields, Kind};
use crate::compute::calc::line_under_residue::{Line, line, lossy};
use crate::compute::calc::thick_line::{Covered, covered};
use crate::compute::calc::{coplanar, microstrip_thick};
use crate::compute::maths::complex::Complex;
use crate::compute::maths::strip_field::ThickStrip;

pub const KINDS: &[(&str, Kind)] = &[
    ("microstrip_closed_form", closed_form),
    ("cpw_closed_form", cpw),
    ("microstrip_bare", bare),
    ("microstrip_overlay_t0", overlay),
    ("microstrip_bare_thick", bare_thick),
    ("microstrip_overlay_thick", overlay_thick),
];

const AIR: Complex = Complex::new(1.0, 0.0);

/// Frequencies at which loss is given, GHz.
const AT: [u32; 3] = [1, 5, 10];

struct Board {
    w: f64,
    h: f64,
    t: f64,
    er: f64,
}

fn board(case: &Case) -> Result<Board, String> {
    let w = case.within("w_mm", 1e-4, 1e4)?;
    let h = case.within("h_mm", 1e-4, 1e4)?;
    let t = if case.value("t_mm").is_some() { case.within("t_mm", 0.0, 100.0)? } else { 0.0 };
    let er = case.within("eps_r", 1.0, 1000.0)?;
    if !(0.001..=1000.0).contains(&(w / h)) {
        return Err(format!("w / h = {} is outside 0.001 to 1000", w / h));
    }
    if let Some(f) = case.value("frequency").filter(|f| f.as_str() != Some("quasi-static")) {
        return Err(format!("frequency {f}: only quasi-static lines are computed"));
    }
    Ok(Board { w, h, t, er })
}

fn closed_form(case: &Case) -> Result<Fields, String> {
    let b = board(case)?;
    if b.t > b.w {
        return Err("the strip is thicker than it is wide: the closed form does not hold".into());
    }
    let (e, z) = microstrip_thick::line(b.w, b.h, b.t, b.er);
    let out = Fields::default().put("eps_eff_hj", e).put("Z0_hj_ohm", z);
    if b.t > 0.0 {
        return Ok(out);
    }
    let air = line(b.w, b.h, AIR, 0.0, AIR).re;
    let exact = Line::new(line(b.w, b.h, Complex::new(b.er, 0.0), 0.0, AIR), air);
    Ok(out.put("eps_eff_exact", exact.permittivity()).put("Z0_exact_ohm", exact.impedance()))
}

fn cpw(case: &Case) -> Result<Fields, String> {
    let w = case.within("w_mm", 1e-4, 1e4)?;
    let g = case.within("gap_mm", 1e-4, 1e4)?;
    let h = case.within("h_mm", 1e-4, 1e4)?;
    let er = case.within("eps_r", 1.0, 1000.0)?;
    if case.value("t_mm").is_some() && case.within("t_mm", 0.0, 100.0)? > 0.0 {
        return Err("a coplanar line of some thickness has no closed form here: give t_mm = 0".into());
    }
    let ground = match case.value("metal_backside") {
        None => false,
        Some(v) => v.as_bool().ok_or_else(|| format!("metal_backside = {v} is neither true nor false"))?,
    };
    let (e, z, _) = coplanar::line(w, g, h, er, ground);
    if !(e.is_finite() && z.is_finite() && z > 0.0) {
        return Err("the gaps are too small beside the strip for the numbers of this machine".into());
    }
    Ok(Fields::default().put("eps_eff", e).put("Z0_ohm", z))
}

/// Everything that a capacitance says of a line.
fn described(l: &Line, error: f64) -> Fields {
    let mut f = Fields::default()
        .put("eps_eff", l.permittivity())
        .put("C_pF_per_m", 1e12 * l.capacitance())
        .put("L_nH_per_m", 1e9 * l.inductance())
        .put("Z0_ohm", l.impedance())
        .put("tan_delta_eff", l.loss());
    for ghz in AT {
        f = f
            .put(&format!("alpha_d_dB_per_m_{ghz}GHz"), l.attenuation(f64::from(ghz)))
            .put(&format!("G_mS_per_m_{ghz}GHz"), 1e3 * l.conductance(f64::from(ghz)));
    }
    f.put("estimated_relative_error", error)
}

/// The bare line, thin, with the loss of its board.
fn thin(case: &Case) -> Result<(Board, Complex, Line), String> {
    let b = board(case)?;
    if b.t > 0.0 {
        return Err("this kind is for strips without thickness: give t_mm = 0".into());
    }
    let slab = lossy(b.er, case.within("tan_delta", 0.0, 1.0)?);
    let bare = Line::new(line(b.w, b.h, slab, 0.0, AIR), line(b.w, b.h, AIR, 0.0, AIR).re);
    Ok((b, slab, bare))
}

fn bare(case: &Case) -> Result<Fields, String> {
    Ok(described(&thin(case)?.2, 1e-9))
}

/// Thickness of the film in mm, infinite for a half space, and its permittivity.
fn film(case: &Case) -> Result<(f64, Complex), String> {
    let d = match case.value("overlay_um").and_then(|v| v.as_str()) {
        Some("inf") => f64::INFINITY,
        _ => case.within("overlay_um", 0.0, 1e9)? / 1000.0,
    };
    Ok((d, lossy(case.within("overlay_eps_r", 1.0, 1000.0)?, case.within("overlay_tan_delta", 0.0, 1.0)?)))
}

/// Whether the film follows the strip; else it is flat.
fn shape(case: &Case) -> Result<bool, String> {
    match case.value("overlay_shape").map(|v| v.as_str()) {
        None | Some(Some("planar")) => Ok(false),
        Some(Some("conformal")) => Ok(true),
        Some(_) => Err("overlay_shape is neither planar nor conformal".into()),
    }
}

fn overlay(case: &Case) -> Result<Fields, String> {
    // Over a strip without thickness a film that follows it is flat too.
    shape(case)?;
    let (b, slab, bare) = thin(case)?;
    let (d, film) = film(case)?;
    let covered = Line::new(line(b.w, b.h, slab, d, film), bare.air);
    Ok(described(&covered, if d > 0.0 && b.w / d > 200.0 { 1e-6 } else { 1e-8 })
        .put("delta_eps_eff", covered.permittivity() - bare.permittivity())
        .put("delta_alpha_d_dB_per_m_5GHz", covered.attenuation(5.0) - bare.attenuation(5.0)))
}

/// Relative error of the elements.
const ELEMENTS: f64 = 1e-4;

fn thick(case: &Case, d: f64, film: (f64, f64), follows: bool) -> Result<Covered, String> {
    let b = board(case)?;
    if b.t <= 0.0 {
        return Err("this kind is for strips of some thickness: t_mm must be above 0".into());
    }
    let strip = ThickStrip { w: b.w, h: b.h, t: b.t, d, follows };
    covered(&strip, (b.er, case.within("tan_delta", 0.0, 0.2)?), film)
}

fn bare_thick(case: &Case) -> Result<Fields, String> {
    Ok(described(&thick(case, 0.0, (1.0, 0.0), false)?.line, ELEMENTS))
}

fn overlay_thick(case: &Case) -> Result<Fields, String> {
    let (d, _) = film(case)?;
    let (ec, tc) = (case.one("overlay_eps_r")?, case.within("overlay_tan_delta", 0.0, 0.2)?);
    let c = thick(case, d, (ec, tc), shape(case)?)?;
    Ok(described(&c.line, ELEMENTS)
        .put("delta_eps_eff", c.line.permittivity() - c.bare.permittivity())
        .put("delta_alpha_d_dB_per_m_5GHz", c.line.attenuation(5.0) - c.bare.attenuation(5.0))
        .put("participation_substrate", c.board)
        .put("participation_overlay", c.film))
}
