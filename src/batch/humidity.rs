//! Takes air states and hourly logs of weather; gives the facts of these cases.

use super::table::Table;
use super::{Case, Fields, Kind, number};
use crate::compute::calc::absolute_humidity::{GAS, vapour};
use crate::compute::calc::dew_point::dew;
use crate::compute::calc::peck::{acceleration, temperature_for};
use crate::compute::calc::saturation_pressure::{dew_or_frost, hyland_wexler};
use crate::compute::calc::surface_humidity::rhs;
use crate::compute::maths::{mean, sample_quantile};
use serde_json::{Map, Value};

pub const KINDS: &[(&str, Kind)] = &[("point", point), ("weather_year", weather_year)];

fn point(case: &Case) -> Result<Fields, String> {
    let t = case.within("t_C", -45.0, 100.0)?;
    let rh = case.within("rh_percent", 0.0, 100.0)?;
    if rh == 0.0 {
        return Err("air of 0 %RH has no dew point".into());
    }
    let (es, _, td) = dew(t, rh);
    let (e, ah) = vapour(t, rh);
    let full = 0.01 * rh * hyland_wexler(t);
    let mut f = Fields::default()
        .put("magnus_es_Pa", 100.0 * es)
        .put("magnus_e_Pa", e)
        .put("magnus_dew_C", td)
        .put("magnus_ah_g_m3", ah)
        .put("psychrolib_es_Pa", hyland_wexler(t))
        .put("psychrolib_ah_g_m3", 1000.0 * full / (GAS * (273.15 + t)));
    if let Some(frost) = dew_or_frost(full) {
        f = f.put("psychrolib_dew_C", frost);
    }
    if case.value("p_Pa").is_some() {
        let p = case.within("p_Pa", 1000.0, 1e7)?;
        // Above boiling there is no air left beside the vapour.
        let ratio = if full < p { number(1000.0 * 0.621945 * full / (p - full)) } else { Value::Null };
        f = f.add("psychrolib_humidity_ratio_g_kg", ratio);
    }
    Ok(f)
}

/// Climate of the reference test: degC, %RH.
const TEST: (f64, f64) = (40.0, 90.0);

fn weather_year(case: &Case) -> Result<Fields, String> {
    let bytes = case.file("csv")?;
    let table = Table::read(&bytes)?;
    let column = |name: &str| table.find(|n| n.eq_ignore_ascii_case(name));
    let need = |name: &str| table.numbers(column(name).ok_or_else(|| format!("the log has no column {name}"))?);
    let (t, rh) = (need("temp_C")?, need("rh_pct")?);
    if let Some(i) = t.iter().position(|t| !(-60.0..=70.0).contains(t)) {
        return Err(format!("row {}: {} degC is outside -60 to 70", i + 1, t[i]));
    }
    if let Some(i) = rh.iter().position(|rh| !(*rh > 0.0 && *rh <= 100.0)) {
        return Err(format!("row {}: {} %RH is not within 0 to 100, 0 excluded", i + 1, rh[i]));
    }
    let hours = |f: &dyn Fn(f64, f64) -> bool| t.iter().zip(&rh).filter(|(t, rh)| f(**t, **rh)).count() as i64;
    let low = |x: &[f64]| x.iter().copied().fold(f64::INFINITY, f64::min);
    let high = |x: &[f64]| x.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let run = rh.iter().fold((0, 0), |(now, most): (i64, i64), rh| {
        let now = if *rh >= 90.0 { now + 1 } else { 0 };
        (now, most.max(now))
    });
    let margins: Vec<f64> = t.iter().zip(&rh).map(|(t, rh)| t - dew(*t, *rh).2).collect();
    let gas = if case.value("Rv_J_per_kg_K").is_some() { case.within("Rv_J_per_kg_K", 400.0, 500.0)? } else { GAS };
    let vapours: Vec<f64> = t.iter().zip(&rh).map(|(t, rh)| vapour(*t, *rh).1 * GAS / gas).collect();
    let mut f = Fields::default()
        .count("hours", t.len() as i64)
        .put("T_min", low(&t))
        .put("T_max", high(&t))
        .put("T_mean", mean(&t))
        .put("RH_min", low(&rh))
        .put("RH_max", high(&rh))
        .put("RH_mean", mean(&rh))
        .count("hours_RH_gt_80", hours(&|_, rh| rh > 80.0))
        .count("hours_RH_ge_80", hours(&|_, rh| rh >= 80.0))
        .count("hours_RH_gt_90", hours(&|_, rh| rh > 90.0))
        .count("hours_RH_ge_90", hours(&|_, rh| rh >= 90.0))
        .count("hours_RH_gt_80_and_T_gt_0", hours(&|t, rh| rh > 80.0 && t > 0.0))
        .count("longest_run_RH_ge_90_hours", run.1)
        .add("dewpoint_margin_magnus", margin_facts(&margins, &[1, 5, 25, 50, 75, 95]));
    if let Some(c) = column("dew_C") {
        let margins: Vec<f64> = t.iter().zip(table.numbers(c)?).map(|(t, td)| t - td).collect();
        f = f.add("dewpoint_margin_file_column", margin_facts(&margins, &[]));
    }
    let month = match column("month") {
        Some(c) => Some(table.numbers(c)?),
        None => None,
    };
    let mut all = Map::new();
    for (name, n, ea) in [("n2.66_Ea0.79", 2.66, 0.79), ("n3.0_Ea0.9", 3.0, 0.9)] {
        all.insert(name.into(), Value::Object(equivalent(&t, &rh, month.as_deref(), n, ea).0));
    }
    Ok(f.put("ah_mean_g_m3_magnus", mean(&vapours)).add("peck", Value::Object(all)))
}

/// Lowest, mean, percentiles and hours at or below 1, 2, 3 and 5 K.
fn margin_facts(margins: &[f64], percents: &[u32]) -> Value {
    let mut sorted = margins.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mut f = Fields::default().put("min", sorted[0]).put("mean", mean(margins));
    for p in percents {
        f = f.put(&format!("p{p:02}"), sample_quantile(&sorted, f64::from(*p) / 100.0));
    }
    for k in [1, 2, 3, 5] {
        // Differences of decimals carry noise in their last bits.
        let hours = margins.iter().filter(|m| **m <= f64::from(k) + 1e-9).count();
        f = f.count(&format!("hours_le_{k}K"), hours as i64);
    }
    Value::Object(f.0)
}

/// Hours of the test climate that the hours of weather stand for, by one pair of constants.
fn equivalent(t: &[f64], rh: &[f64], month: Option<&[f64]>, n: f64, ea: f64) -> Fields {
    let af = |t: f64, rh: f64| 1.0 / acceleration(n, ea, TEST, (t, rh));
    let each: Vec<f64> = t.iter().zip(rh).map(|(t, rh)| af(*t, *rh)).collect();
    let sum: f64 = each.iter().sum();
    let humid: f64 = each.iter().zip(rh).filter(|p| *p.1 >= 80.0).map(|p| p.0).sum();
    let warmer: f64 = t.iter().zip(rh).map(|(t, h)| af(t + 5.0, rhs(*h, *t, t + 5.0))).sum();
    let mean = sum / t.len() as f64;
    let mut f = Fields::default().put("equivalent_hours_40C_90RH", sum).put("mean_acceleration_vs_ref", mean);
    if let Some(month) = month {
        let mut months = Fields::default();
        for m in 1..=12 {
            let hours: f64 = each.iter().zip(month).filter(|p| *p.1 == f64::from(m)).map(|p| p.0).sum();
            months = months.put(&m.to_string(), hours);
        }
        f = f.add("monthly_equivalent_hours", Value::Object(months.0));
    }
    f.put("equivalent_hours_counting_only_RH_ge_80", humid)
        .put("equivalent_hours_plus5K_same_vapour_pressure", warmer)
        .put("effective_T_C_at_90RH", temperature_for(1.0 / mean, n, ea, 90.0, TEST))
}
