//! Takes ions, their masses and conductivities; gives the facts of these cases.

use super::{Case, Fields, Kind, number};
use crate::compute::calc::{charge_balance, ions, nacl_equivalent, nacl_onsager};
use crate::diag::nearest;
use serde_json::{Map, Value};

pub const KINDS: &[(&str, Kind)] =
    &[("ion", ion), ("charge_balance", balance), ("factor_ions", factor), ("nacl_conductivity", conductivity)];

/// Molar mass of sodium chloride, g/mol.
const NACL: f64 = 58.44;
/// Molar mass of chlorine, g/mol.
const CL: f64 = 35.45;

fn known(name: &str) -> Result<&'static ions::Ion, String> {
    ions::find(name).ok_or_else(|| match nearest(name, ions::IONS.iter().map(|i| i.name)) {
        Some(n) => format!("no ion {name}; did you mean {n}?"),
        None => {
            format!("no ion {name}; known are {}", ions::IONS.iter().map(|i| i.name).collect::<Vec<_>>().join(", "))
        }
    })
}

fn ion(case: &Case) -> Result<Fields, String> {
    let i = known(case.text("ion")?)?;
    Ok(Fields::default()
        .put("molar_mass", i.molar_mass)
        .count("charge", i.charge as i64)
        .put("equivalent_mass", i.molar_mass / i.charge.abs())
        .put("molar_mass_molmass", i.molar_mass))
}

fn balance(case: &Case) -> Result<Fields, String> {
    let masses = case.value("mass_ug").and_then(Value::as_object).ok_or("no input mass_ug with a mass per ion")?;
    let (mut each, mut plus, mut minus) = (Map::new(), Vec::new(), Vec::new());
    for (name, mass) in masses {
        let ion = known(name)?;
        let mass = mass.as_f64().filter(|m| *m >= 0.0).ok_or_else(|| format!("mass of {name} = {mass} is no mass"))?;
        let charge = mass / ion.molar_mass * ion.charge.abs();
        each.insert(name.clone(), number(charge));
        if ion.charge > 0.0 { plus.push(charge) } else { minus.push(charge) }
    }
    let (cations, anions): (f64, f64) = (plus.iter().sum(), minus.iter().sum());
    if cations + anions <= 0.0 {
        return Err("no ion was found: an extract without charge has no balance".into());
    }
    let error = charge_balance::cbe(&plus, &minus);
    Ok(Fields::default()
        .add("charge_umol", Value::Object(each))
        .put("anion_umol_charge", anions)
        .put("cation_umol_charge", cations)
        .put("charge_balance_error_percent", error)
        .put("cbe_mean_denominator_percent", 2.0 * error)
        .put("anions_as_chloride_ug", anions * CL)
        .put("anions_as_nacl_ug", anions * NACL))
}

fn factor(_: &Case) -> Result<Fields, String> {
    Ok(Fields::default().put("nacl_per_chloride_mass", NACL / CL).put("nacl_molar_mass", NACL))
}

fn conductivity(case: &Case) -> Result<Fields, String> {
    let kappa = case.within("kappa_uS_per_cm", 0.0, 1000.0)?;
    let l0 = case.within("lambda0_S_cm2_per_mol", 100.0, 150.0)?;
    if case.value("temperature_C").is_some() {
        let t = case.one("temperature_C")?;
        if t != 25.0 {
            return Err(format!("{t} degC: the molar conductivities hold at 25 degC only"));
        }
    }
    let per = nacl_equivalent::w(1.0, l0);
    Ok(Fields::default()
        .put("nacl_ug_per_mL_limiting", nacl_equivalent::w(kappa, l0))
        .put("factor_ug_per_mL_per_uS_per_cm", per)
        .put("nacl_ug_per_mL_onsager", nacl_onsager::w(kappa, l0))
        .put("uS_per_cm_per_ug_per_mL", 1.0 / per))
}
