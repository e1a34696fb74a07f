//! Takes logs of surface insulation resistance; gives the facts of these cases.

use super::table::{Cell, Table};
use super::{Case, Fields, Kind, number};
use crate::compute::calc::{mann_kendall, resistance_facts, theil_sen};
use crate::compute::maths::{mean, median, sd};
use serde_json::Value;

pub const KINDS: &[(&str, Kind)] = &[("sir_channel", channel), ("sir_log", whole_log)];

/// Resistance that readings are counted below, ohm.
const LIMIT: f64 = 1e8;
/// Upper end of the instrument when a case does not say it, ohm.
const CEILING: f64 = 1e12;
/// Hours of the settling that do not count, and first hour of the last window, when a case does not say them.
const FROM: (f64, f64) = (24.0, 144.0);

/// Time in hours and the cells of the channels by number.
struct Log {
    t: Vec<f64>,
    channels: Vec<(i64, Vec<Cell>)>,
}

/// Valid readings of a channel, those at the ceiling with its value, and how many of these there are.
struct Readings {
    t: Vec<f64>,
    r: Vec<f64>,
    at_ceiling: usize,
}

fn log(case: &Case) -> Result<Log, String> {
    let bytes = case.file("csv")?;
    if let Some(dialect) = case.value("dialect") {
        let header = bytes.split(|b| *b == b'\n').next().unwrap_or_default();
        let semicolons = header.contains(&b';');
        match dialect.as_str() {
            Some("iso") if !semicolons => {}
            Some("euro") if semicolons => {}
            Some("iso" | "euro") => {
                return Err(format!("the log is not in the dialect {dialect} that the case states"));
            }
            _ => return Err(format!("no dialect {dialect}; known are iso and euro")),
        }
    }
    let table = Table::read(&bytes)?;
    let time = table.find(|n| n.to_ascii_lowercase().starts_with("elapsed"));
    let t = table.times(time.ok_or("the log has no column of elapsed hours")?)?;
    let mut channels: Vec<(i64, Vec<Cell>)> = Vec::new();
    for (i, name) in table.names().iter().enumerate() {
        let lower = name.to_ascii_lowercase();
        let digits = lower.strip_prefix("channel").or_else(|| lower.strip_prefix("ch")).map(str::trim);
        let Some(Ok(n)) = digits.map(str::parse) else { continue };
        if channels.iter().any(|c| c.0 == n) {
            return Err(format!("the log has channel {n} twice"));
        }
        channels.push((n, table.cells(i)?));
    }
    if channels.is_empty() {
        return Err("the log has no column of a channel, CH01 or Channel 1 and so on".into());
    }
    Ok(Log { t, channels })
}

impl Log {
    fn channel(&self, n: i64, ceiling: f64) -> Result<Readings, String> {
        let cells = &self.channels.iter().find(|c| c.0 == n).ok_or_else(|| format!("the log has no channel {n}"))?.1;
        let mut out = Readings { t: Vec::new(), r: Vec::new(), at_ceiling: 0 };
        for (t, cell) in self.t.iter().zip(cells) {
            let r = match cell {
                Cell::Missing => continue,
                Cell::Over => ceiling,
                Cell::Number(r) if *r > 0.0 => r.min(ceiling),
                Cell::Number(r) => return Err(format!("channel {n} reads {r} ohm at {t} h: no resistance")),
            };
            out.at_ceiling += usize::from(r >= ceiling);
            out.t.push(*t);
            out.r.push(r);
        }
        Ok(out)
    }

    /// Hours between rows: the length of the log over the steps that the middle interval makes of it.
    fn interval(&self) -> Option<f64> {
        let steps: Vec<f64> = self.t.windows(2).map(|w| w[1] - w[0]).collect();
        let length = self.t.last()? - self.t.first()?;
        (!steps.is_empty()).then(|| length / (length / median(&steps)).round())
    }
}

/// A number of the case, or `other` when it says none.
fn or(case: &Case, name: &str, low: f64, high: f64, other: f64) -> Result<f64, String> {
    if case.value(name).is_some() { case.within(name, low, high) } else { Ok(other) }
}

fn channel(case: &Case) -> Result<Fields, String> {
    let ceiling = or(case, "ceiling_ohm", 1.0, 1e20, CEILING)?;
    let from = or(case, "analysis_from_h", -1e6, 1e6, FROM.0)?;
    let last = or(case, "last_window_from_h", -1e6, 1e6, FROM.1)?;
    let n = case.whole("channel", 0.0, 1e6)? as i64;
    let log = log(case)?;
    let all = log.channel(n, ceiling)?;
    let f = resistance_facts::facts(&all.t, &all.r, from, LIMIT).map_err(|e| format!("channel {n}: {e}"))?;
    let after = |hour: f64| all.t.iter().zip(&all.r).filter(move |p| *p.0 >= hour);
    let window: Vec<f64> = after(last).map(|p| *p.1).collect();
    let (t, x): (Vec<f64>, Vec<f64>) = after(from).map(|(t, r)| (*t, libm::log10(*r))).unzip();
    let (line, trend) =
        if x.len() < 2 { (None, None) } else { (Some(theil_sen::line(&t, &x, 0.95)?), mann_kendall::test(&x)) };
    let day = |slope: Option<f64>| slope.map_or(Value::Null, |s| number(24.0 * s));
    let bounds = line.and_then(|l| l.rounded);
    let interval = log.interval();
    let drops: Vec<Value> = f
        .drops
        .iter()
        .map(|d| {
            let one = Fields::default().put("start_h", d.start).put("end_h", d.end).put("min_ohm", d.lowest);
            Value::Object(one.count("n_readings", d.readings as i64).0)
        })
        .collect();
    Ok(Fields::default()
        .count("n_valid", all.r.len() as i64)
        .count("n_missing", (log.t.len() - all.r.len()) as i64)
        .count("n_at_ceiling", all.at_ceiling as i64)
        .add("status", "ok")
        .put("min_after_24h_ohm", f.lowest)
        .put("min_after_24h_at_h", f.at)
        .put("max_after_24h_ohm", f.highest)
        .put("median_after_24h_ohm", f.middle)
        .put("geomean_after_24h_ohm", f.geometric)
        .add("median_last_24h_ohm", if window.is_empty() { Value::Null } else { number(median(&window)) })
        .count("n_last_24h", window.len() as i64)
        .add("theil_sen_log10_per_24h", day(line.map(|l| l.slope)))
        .add("theil_sen_low95_per_24h", day(bounds.map(|b| b.0)))
        .add("theil_sen_high95_per_24h", day(bounds.map(|b| b.1)))
        .add("mann_kendall_S", trend.map_or(Value::Null, |t| Value::from(t.s)))
        .add("mann_kendall_z", trend.map_or(Value::Null, |t| number(t.z)))
        .add("mann_kendall_p", trend.map_or(Value::Null, |t| number(t.p_two)))
        .count("n_drops_below_decade", f.drops.len() as i64)
        .add("drops", drops)
        .count("readings_below_1e8_after_24h", f.below as i64)
        .add("time_below_1e8_h", interval.map_or(Value::Null, |h| number(f.below as f64 * h)))
        .add("passes_min_1e8_after_24h", f.below == 0))
}

/// Facts of a whole log over the channels that the case uses.
fn whole_log(case: &Case) -> Result<Fields, String> {
    let ceiling = or(case, "ceiling_ohm", 1.0, 1e20, CEILING)?;
    let from = or(case, "analysis_from_h", -1e6, 1e6, FROM.0)?;
    let last = or(case, "last_window_from_h", -1e6, 1e6, FROM.1)?;
    let log = log(case)?;
    let used = case.list("channels_used", 1)?;
    if let Some((i, n)) = used.iter().enumerate().find(|(i, n)| used[..*i].contains(n)) {
        return Err(format!("channels_used[{i}] names channel {n} again"));
    }
    let (mut failing, mut dropping, mut logs) = (0, 0, Vec::new());
    for n in &used {
        if n.fract() != 0.0 {
            return Err(format!("channels_used has {n}, not a whole number"));
        }
        let all = log.channel(*n as i64, ceiling)?;
        let f = resistance_facts::facts(&all.t, &all.r, from, LIMIT).map_err(|e| format!("channel {n}: {e}"))?;
        failing += i64::from(f.below > 0);
        dropping += i64::from(!f.drops.is_empty());
        let window: Vec<f64> = all.t.iter().zip(&all.r).filter(|p| *p.0 >= last).map(|p| *p.1).collect();
        if window.is_empty() {
            return Err(format!("channel {n} has no reading at {last} h or later"));
        }
        logs.push(libm::log10(median(&window)));
    }
    let length = log.t[log.t.len() - 1] - log.t[0];
    Ok(Fields::default()
        .count("rows", log.t.len() as i64)
        .count("channels", log.channels.len() as i64)
        .add("interval_min", log.interval().map_or(Value::Null, |h| number(60.0 * h)))
        .put("duration_h", length)
        .count("n_channels_failing_1e8", failing)
        .count("n_channels_with_drops", dropping)
        .put("mean_log10_of_median_last_24h", mean(&logs))
        .add("sd_log10_of_median_last_24h", if logs.len() < 2 { Value::Null } else { number(sd(&logs)) }))
}
