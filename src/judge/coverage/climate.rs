//! Coverage by climate and time: environment (K15), duration (K16).

use super::{Cell, Found};
use crate::judge::court::Case;
use crate::quantity::{Dimension, significant};

/// Humidity above which bins are compared: below it the published acceleration laws are not used (domain practice).
const HUMID: f64 = 0.60;

/// K15: chamber no cooler and no drier than every humid bin. What is wet or dirty is judged by the claims on wet use.
pub fn k15_environment(case: &Case, cell: &Cell) -> Found {
    let env = case.environment();
    let humid: Vec<_> = env.bin.iter().filter(|b| b.rh.si >= HUMID).collect();
    let wet = matches!(cell.claim, "C3.10" | "W11.5" | "I11.5");
    let mut lacks = Vec::new();
    if wet {
        let condensing = env.condensing.as_ref().is_none_or(|q| q.si > 0.0);
        for (needed, tested, word) in [
            (condensing, cell.run.condensing, "condensation"),
            (env.salt, cell.run.salt, "salt"),
            (env.gas, cell.run.gas, "corrosive gas"),
            (env.dust, cell.run.dust, "dust"),
        ] {
            if needed && !tested {
                lacks.push(word);
            }
        }
    }
    let show = |t: f64, rh: f64| format!("{} degC / {} %RH", significant(t - 273.15, 3), significant(rh * 100.0, 3));
    let needed = match humid.iter().map(|b| (b.t.si, b.rh.si)).reduce(|a, b| (a.0.max(b.0), a.1.max(b.1))) {
        Some((t, rh)) => show(t, rh),
        None => "no humid bin".to_string(),
    };
    let needed = if lacks.is_empty() { needed } else { format!("{needed}, with {}", lacks.join(" and ")) };
    if humid.is_empty() && lacks.is_empty() {
        return Found::not_needed(needed);
    }
    let (Some(t), Some(rh)) = (&cell.run.temperature, &cell.run.humidity) else {
        return Found::single(false, "no chamber", needed, true);
    };
    let reaches = |k: f64, h: f64| humid.iter().all(|b| t.si >= b.t.si - k && rh.si >= b.rh.si - h);
    let mut tested = show(t.si, rh.si);
    let mut beyond = false;
    for (is, needs, word) in [
        (cell.run.condensing, env.condensing.as_ref().is_none_or(|q| q.si > 0.0), "condensing"),
        (cell.run.salt, env.salt, "salt"),
        (cell.run.gas, env.gas, "corrosive gas"),
        (cell.run.dust, env.dust, "dust"),
    ] {
        if is {
            tested.push_str(&format!(", {word}"));
            beyond |= !needs;
        }
    }
    // A criterion is agreed for its method's chamber, so a fail there is a fail of the criterion; not so where the
    // test was wet or dirty and use is not. A bridge carries one climate step (10 K, 10 %RH), and never wet or dirt.
    Found::single(reaches(0.5, 0.005) && lacks.is_empty(), tested, needed, !beyond)
        .bridged_if(lacks.is_empty() && reaches(10.5, 0.105))
}

/// K16: at least as long as the criterion's window.
pub fn k16_duration(cell: &Cell) -> Found {
    let Some(end) = cell.criterion.window.last() else { return Found::not_needed("the criterion has no window") };
    debug_assert_eq!(end.dimension(), Dimension::TIME);
    let wanted = end.in_unit("h");
    let ran = cell.run.start.hours_until(&cell.run.end);
    Found::single(
        ran >= wanted - 0.5,
        format!("{} h", significant(ran, 3)),
        format!("{} h", significant(wanted, 3)),
        true,
    )
}
