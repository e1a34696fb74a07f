//! Takes logs of reflow thermocouples; gives the facts of these cases.

use super::table::{Cell, Table};
use super::{Case, Fields, Kind, number};
use crate::compute::calc::profile_shape::{Shape, shape};
use crate::compute::maths::crossings;
use serde_json::Value;

pub const KINDS: &[(&str, Kind)] = &[("reflow_channel", channel), ("reflow_board", board)];

/// A number, or null where the record does not get there.
fn or_null(x: Option<f64>) -> Value {
    x.map_or(Value::Null, number)
}

/// Time and the thermocouples by number; a thermocouple with gaps has none where they are.
struct Log {
    t: Vec<f64>,
    channels: Vec<(i64, Vec<Option<f64>>)>,
}

fn log(case: &Case) -> Result<Log, String> {
    let bytes = case.file("csv")?;
    let table = Table::read(&bytes)?;
    let time = table.find(|n| n.to_ascii_lowercase().starts_with("time")).ok_or("the log has no column time")?;
    let t = table.times(time)?;
    if t.len() < 2 {
        return Err("the log has one row; a profile needs two at least".into());
    }
    let mut channels = Vec::new();
    for (i, name) in table.names().iter().enumerate() {
        let lower = name.to_ascii_lowercase();
        let Some(rest) = lower.strip_prefix("tc") else { continue };
        let digits: String = rest.trim_start().chars().take_while(char::is_ascii_digit).collect();
        let Ok(n) = digits.parse() else { continue };
        let cells = table.cells(i)?.into_iter().map(|c| match c {
            // An open thermocouple reads beyond any oven.
            Cell::Number(x) if (-100.0..=600.0).contains(&x) => Some(x),
            _ => None,
        });
        channels.push((n, cells.collect()));
    }
    if channels.is_empty() {
        return Err("the log has no column of a thermocouple, TC1_C and so on".into());
    }
    Ok(Log { t, channels })
}

fn channel(case: &Case) -> Result<Fields, String> {
    let liquidus = case.within("liquidus_C", 30.0, 500.0)?;
    let window = case.within("window_s", 0.1, 1000.0)?;
    let wanted = case.whole("channel", 0.0, 1e6)? as i64;
    let band = case.list("soak_band_C", 2)?;
    let log = log(case)?;
    let cells =
        &log.channels.iter().find(|c| c.0 == wanted).ok_or_else(|| format!("the log has no channel {wanted}"))?.1;
    let Some(temp) = cells.iter().copied().collect::<Option<Vec<f64>>>() else {
        return Err(format!("channel {wanted} has readings that are missing or beyond -100 to 600 degC"));
    };
    let s = shape(&log.t, &temp, liquidus, window)?;
    let rise = |level| crossings(&log.t, &temp, level).0.first().copied();
    let (start, end) = (rise(band[0]), rise(band[1]));
    let soak = start.zip(end).map(|(a, b)| b - a);
    Ok(Fields::default()
        .add("status", "ok")
        .put("peak_C", s.peak)
        .put("peak_at_s", s.at)
        .put("tal_s", s.above)
        .count("n_liquidus_crossings", s.crossings as i64)
        .add("ramp_up_max_C_per_s", or_null(s.rise.map(|r| r.0)))
        .add("ramp_up_max_at_s", or_null(s.rise.map(|r| r.1)))
        .add("ramp_up_max_2s", or_null(s.rise_2s))
        .add("ramp_up_max_lsq10", or_null(s.rise_fit))
        .add("ramp_down_max_C_per_s", or_null(s.fall))
        .add("ramp_down_max_lsq10", or_null(s.fall_fit))
        .add("soak_s", or_null(soak))
        .add("time_150_up_s", or_null(start))
        .add("time_200_up_s", or_null(end))
        .add("slope_150_200_C_per_s", or_null(soak.map(|s| (band[1] - band[0]) / s)))
        .add("time_25_to_peak_s", or_null(s.to_peak))
        .put("time_within_5K_of_peak_s", s.near)
        .add("cooling_rate_217_to_150_C_per_s", or_null(s.cool)))
}

/// Facts of all thermocouples without gaps; liquidus 217 degC and soak band 150 to 200 degC unless the case says others.
fn board(case: &Case) -> Result<Fields, String> {
    let liquidus = if case.value("liquidus_C").is_some() { case.within("liquidus_C", 30.0, 500.0)? } else { 217.0 };
    let band = if case.value("soak_band_C").is_some() { case.list("soak_band_C", 2)? } else { vec![150.0, 200.0] };
    let log = log(case)?;
    let whole = |(n, cells): &(i64, Vec<Option<f64>>)| Some((*n, cells.iter().copied().collect::<Option<Vec<f64>>>()?));
    let ok: Vec<(i64, Vec<f64>)> = log.channels.iter().filter_map(whole).collect();
    if ok.is_empty() {
        return Err("no thermocouple has all of its readings".into());
    }
    let mut shapes: Vec<Shape> = Vec::new();
    for (_, temp) in &ok {
        shapes.push(shape(&log.t, temp, liquidus, 10.0)?);
    }
    let hottest = (1..ok.len()).fold(0, |best, i| if shapes[i].peak > shapes[best].peak { i } else { best });
    let spread = |row: usize| {
        let at = || ok.iter().map(|c| c.1[row]);
        at().fold(f64::NEG_INFINITY, f64::max) - at().fold(f64::INFINITY, f64::min)
    };
    let top = log.t.iter().position(|t| *t == shapes[hottest].at).unwrap_or(0);
    let soaking: Vec<usize> =
        (0..log.t.len()).filter(|row| ok.iter().all(|c| (band[0]..=band[1]).contains(&c.1[*row]))).collect();
    let low = |f: fn(&Shape) -> f64| shapes.iter().map(f).fold(f64::INFINITY, f64::min);
    let high = |f: fn(&Shape) -> f64| shapes.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    Ok(Fields::default()
        .add("channels_ok", ok.iter().map(|c| c.0).collect::<Vec<_>>())
        .put("max_peak_C", high(|s| s.peak))
        .put("min_peak_C", low(|s| s.peak))
        .put("delta_T_peak_C", high(|s| s.peak) - low(|s| s.peak))
        .count("hottest_channel", ok[hottest].0)
        .put("delta_T_at_hottest_peak_C", spread(top))
        .put("min_tal_s", low(|s| s.above))
        .put("max_tal_s", high(|s| s.above))
        .count("samples_all_in_soak", soaking.len() as i64)
        .add("max_delta_T_soak_C", or_null(soaking.iter().map(|r| spread(*r)).reduce(f64::max)))
        .put("duration_s", log.t[log.t.len() - 1] - log.t[0])
        .count("samples", log.t.len() as i64))
}
