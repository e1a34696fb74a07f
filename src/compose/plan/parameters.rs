//! Takes the name of an uncertain number; gives it in words, with its unit.

use super::ledger::Ledger;
use crate::model::economy::Uncertain;

/// What the names of numbers mean; `$` is the currency.
const MEANINGS: [(&str, &str); 24] = [
    ("power", "connected load, kW"),
    ("load_factor", "share of the connected load"),
    ("kwh_price", "price of a kWh, $"),
    ("water", "water, m3 an hour"),
    ("water_price", "price of a m3 of water, $"),
    ("effluent_share", "share of the water that is discharged"),
    ("effluent_price", "price of a m3 of effluent, $"),
    ("resin", "resin, $ an hour"),
    ("parts", "spare parts, $ an hour"),
    ("crew", "people at the line"),
    ("wage", "one person, $ an hour"),
    ("saponifier", "saponifier, $ an hour"),
    ("machine_price", "price of a machine, $"),
    ("per_load", "cost of a load, $"),
    ("per_board", "cost of a board, $"),
    ("transport", "transport of a board, $"),
    ("yearly", "cost a year, $"),
    ("once", "cost once, $"),
    ("replace_price", "price of the replacement, $"),
    ("conversion", "conversion to saponifier, $"),
    ("salvage", "salvage, $"),
    ("decommission", "taking it down, $"),
    ("chance", "chance of success"),
    ("rate", "discount rate a year"),
];

/// An uncertain number in words: whose it is, what it is, in which unit; a factor says so.
pub fn named(l: &Ledger, parameter: &str) -> String {
    let Some((id, name)) = parameter.rsplit_once('.') else { return parameter.to_string() };
    let known = MEANINGS.iter().find(|m| m.0 == name).map(|m| m.1.replace('$', &l.p.currency));
    let meaning = match name.strip_prefix("hours_") {
        Some(step) => format!("hours a year of shift step {step}"),
        None => known.unwrap_or_else(|| name.to_string()),
    };
    let factor = |u: &&Uncertain| u.parameter.text == parameter && u.relative == Some(true);
    let meaning = match l.site.plan.uncertain.iter().any(|u| factor(&u)) {
        true => format!("{}, as a factor on it", meaning.trim_end_matches(&format!(", {}", l.p.currency))),
        false => meaning,
    };
    if id == "economy" { format!("all plans, {meaning}") } else { format!("{id}, {meaning}") }
}
