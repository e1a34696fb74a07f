//! Takes what a run says under a criterion; gives one of four verdicts, never just pass or fail.

use crate::model::assessment::Verdict;
use crate::model::workings::Outcome;
use crate::quantity::significant;

/// The verdict with its reason in words.
///
/// Fail needs a fact that no spread explains away: a hard event, a single place beyond the limit even
/// with the guard band in its favour, or a favourable confidence bound beyond it. Too few readings or
/// too much spread is "not shown", which is another thing.
pub fn verdict(o: &Outcome) -> (Verdict, String) {
    let whole = |x: f64| x.fract() == 0.0 && x.abs() < 1e5;
    let show = |x: f64| match x {
        x if o.unit.starts_with("log10") && x.abs() >= 0.1 => format!("{x:.2}"),
        x if whole(x) => format!("{x:.0}"),
        x => significant(x, 3),
    };
    let unit = if matches!(o.unit.as_str(), "" | "1") { String::new() } else { format!(" {}", o.unit) };
    if let Some(e) = o.hard_events.first() {
        return (Verdict::Fail, e.text.clone());
    }
    if let (true, Some(e)) = (o.single_fails, o.open_events.first()) {
        // A drop that recovered and whose cause nobody recorded is a question, not yet a fact: it is held
        // open by a doubt, and becomes a fail (a hard event) when its cause is recorded as the residue.
        return (
            Verdict::NotShown,
            match o.open_events.len() {
                1 => e.text.clone(),
                n => format!("{}; {n} such events", e.text),
            },
        );
    }
    if o.single_fails {
        return (
            Verdict::Fail,
            format!(
                "{} is {}{unit} at the worst place, limit {}, guard {}",
                o.worst_place,
                show(o.worst),
                show(o.limit),
                show(o.guard)
            ),
        );
    }
    if let Some(why) = &o.refused {
        return (Verdict::NotShown, why.clone());
    }
    if !o.value.is_finite() || !o.margin.is_finite() || !o.limit.is_finite() || !o.guard.is_finite() || o.guard < 0.0 {
        return (Verdict::NotShown, "the statistic, its limit or its guard band cannot be given".into());
    }
    if o.n == 0 {
        return (Verdict::NotShown, "no readings".into());
    }
    if o.bound_fails {
        return (Verdict::Fail, format!("even the favourable confidence bound misses {}{unit}", show(o.limit)));
    }
    if o.margin >= 0.0 {
        return (Verdict::Pass, format!("margin {}{unit} after the guard band", show(o.margin)));
    }
    if o.margin + o.guard >= 0.0 {
        return (Verdict::Marginal, format!("the limit lies inside the guard band of {}{unit}", show(o.guard)));
    }
    let needed = o.needed.as_ref().map(|n| format!("; needed: {n}")).unwrap_or_default();
    (
        Verdict::NotShown,
        format!("misses the limit by {}{unit} before the guard band{needed}", show(-o.margin - o.guard)),
    )
}

#[cfg(test)]
mod tests;
