//! Takes quantities with their uncertainties and a limit; gives the combined uncertainty and the decision.

use super::{Case, Fields, Kind, number};
use crate::compute::calc::mass_per_area;
use crate::compute::maths::normal_cdf;
use serde_json::{Map, Value};

pub const KINDS: &[(&str, Kind)] = &[("mass_per_area", mass)];

const NAMES: [&str; 5] = ["c", "blank", "V", "dilution", "A"];

/// (value, standard uncertainty) of a quantity.
fn quantity(case: &Case, name: &str) -> Result<(f64, f64), String> {
    let all = case.value("quantities").ok_or("no input quantities")?;
    let q = all.get(name).ok_or_else(|| format!("no quantity {name}"))?;
    let part = |key: &str| {
        let x = q.get(key).and_then(Value::as_f64);
        x.filter(|x| x.is_finite()).ok_or_else(|| format!("quantity {name} has no {key} that is a finite number"))
    };
    let (value, u) = (part("value")?, part("u")?);
    if u < 0.0 {
        return Err(format!("quantity {name} has a negative uncertainty"));
    }
    if matches!(name, "V" | "dilution" | "A") && value <= 0.0 {
        return Err(format!("quantity {name} = {value} is not positive"));
    }
    Ok((value, u))
}

/// Degrees of freedom by quantity, infinite where none are given; none when the case gives no finite ones.
fn degrees(case: &Case) -> Result<Option<[f64; 5]>, String> {
    let Some(given) = case.value("dof") else { return Ok(None) };
    let given = given.as_object().ok_or("dof is not a table of degrees of freedom by quantity")?;
    let mut out = [f64::INFINITY; 5];
    for (name, v) in given {
        let i = NAMES.iter().position(|n| n == name).ok_or_else(|| format!("dof of {name}: no such quantity"))?;
        match (v.as_f64(), v.as_str()) {
            (Some(x), _) if x > 0.0 => out[i] = x,
            (None, Some("inf")) => {}
            _ => return Err(format!("dof of {name} = {v} is not positive")),
        }
    }
    Ok(out.iter().any(|d| d.is_finite()).then_some(out))
}

fn mass(case: &Case) -> Result<Fields, String> {
    let mut q = [(0.0, 0.0); 5];
    for (slot, name) in q.iter_mut().zip(NAMES) {
        *slot = quantity(case, name)?;
    }
    let r = case.value("correlation_c_blank").map_or(Ok(0.0), |_| case.within("correlation_c_blank", -1.0, 1.0))?;
    let degrees = degrees(case)?;
    let m = mass_per_area::combine(q, r);
    let (y, u) = (m.y, m.u);
    let parts = |v: [f64; 5]| -> Map<String, Value> {
        NAMES.iter().zip(v).map(|(n, x)| ((*n).to_string(), number(x))).collect()
    };
    let mut out = Fields::default()
        .put("y", y)
        .put("u", u)
        .put("U_k2", 2.0 * u)
        .put("relative_u", if u == 0.0 { 0.0 } else { u / y.abs() })
        .add("sensitivity", parts(m.sensitivity))
        .add("variance_share", parts(m.share));
    if case.value("upper_limit").is_some() {
        let limit = case.one("upper_limit")?;
        let decision = match y {
            _ if y <= limit - 2.0 * u => "pass",
            _ if y <= limit => "conditional_pass",
            _ if y <= limit + 2.0 * u => "conditional_fail",
            _ => "fail",
        };
        let conform = match u {
            0.0 => f64::from(u8::from(y <= limit)),
            _ => normal_cdf((limit - y) / u),
        };
        out = out.add("decision", decision).put("acceptance_limit", limit - 2.0 * u).put("p_conform_normal", conform);
    }
    if let Some((nu, k)) = degrees.and_then(|d| mass_per_area::effective(&m, q, d)) {
        out = out.put("veff_welch_satterthwaite", nu).put("k95_t", k).put("U95_t", k * u);
    }
    Ok(out)
}
