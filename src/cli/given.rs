//! Takes NAME=VALUE as typed; gives numbers in the units of a calculation, or says what is wrong with them.

use super::site::unknown;
use crate::compute::calc::{Calc, Symbol};
use crate::diag::{At, FileId};
use crate::quantity::{Quantity, Refusal, Unit};

/// Inputs as numbers, and the unit in which readings were given where one was written.
#[derive(Debug, PartialEq)]
pub struct Given {
    pub values: Vec<(&'static str, f64)>,
    pub readings: Option<String>,
}

/// Where these quantities are written: no file.
const COMMAND: At = At { file: FileId(0), start: 0, end: 0, line: 1, column: 1 };

/// Reads every input of a calculation.
///
/// # Errors
/// In words: an unknown name, no number, an unknown unit, a unit of another dimension, readings in several units.
pub fn given(calc: &Calc, inputs: &[String]) -> Result<Given, String> {
    let mut values = Vec::new();
    // Name and unit of the first symbol whose unit is that of the readings.
    let mut shared: Option<(&str, String)> = None;
    for i in inputs {
        let (name, value) = i.split_once('=').ok_or_else(|| format!("{i}: write it as NAME=VALUE"))?;
        let symbol = calc
            .symbols
            .iter()
            .find(|s| s.symbol == name)
            .ok_or_else(|| unknown("input", name, calc.symbols.iter().map(|s| s.symbol)))?;
        let parts = list(name, value)?;
        for (number, unit) in &parts {
            let x = match symbol.unit {
                "=" | "=2" => {
                    let unit = unit.clone().unwrap_or_default();
                    if symbol.unit == "=2" && !unit.is_empty() {
                        return Err(format!("{name} is a square of readings: write it without a unit"));
                    }
                    if symbol.unit == "=" {
                        one_unit(name, &unit, &mut shared)?;
                    }
                    *number
                }
                _ => converted(symbol, *number, unit.as_deref())?,
            };
            values.push((symbol.symbol, x));
        }
    }
    Ok(Given { values, readings: shared.map(|s| s.1).filter(|u| !u.is_empty()) })
}

/// Numbers of a list with their units; a unit behind the last one is that of those before it too.
fn list(name: &str, value: &str) -> Result<Vec<(f64, Option<String>)>, String> {
    let mut out = Vec::new();
    for part in value.split(',') {
        let q = Quantity::parse(part, COMMAND).map_err(|r| match r {
            Refusal::UnknownUnit { unit, nearest: Some(n) } => {
                format!("{name}: there is no unit {unit}; did you mean {n}?")
            }
            Refusal::UnknownUnit { unit, nearest: None } => format!("{name}: there is no unit {unit}"),
            Refusal::NotFinite => format!("{name}: {} is not finite", part.trim()),
            Refusal::NoNumber | Refusal::NoUnit => format!("{name}: \"{}\" is not a number", part.trim()),
        })?;
        let written = part.trim();
        // The number as typed, not as it comes back from SI units.
        let typed = |t: &str| t.trim().parse::<f64>().ok();
        let bare = typed(written);
        let number = bare.or_else(|| written.strip_suffix(q.unit.text()).and_then(typed)).unwrap_or(q.number());
        out.push((number, bare.is_none().then(|| q.unit.text().to_string())));
    }
    if let Some(last) = out.last().and_then(|l: &(f64, Option<String>)| l.1.clone()) {
        out.iter_mut().for_each(|o| o.1 = o.1.take().or_else(|| Some(last.clone())));
    }
    Ok(out)
}

/// All readings of one call must be written alike: nothing converts a spread in degC into one in K by itself.
fn one_unit<'a>(name: &'a str, unit: &str, shared: &mut Option<(&'a str, String)>) -> Result<(), String> {
    let told = |u: &str| if u.is_empty() { "without a unit".to_string() } else { format!("in {u}") };
    match shared {
        None => *shared = Some((name, unit.to_string())),
        Some((_, first)) if first == unit => {}
        Some((other, first)) => {
            return Err(format!("{name} is given {}, and {other} {}: write both alike", told(unit), told(first)));
        }
    }
    Ok(())
}

/// A number in the unit of its symbol.
fn converted(s: &Symbol, number: f64, unit: Option<&str>) -> Result<f64, String> {
    let Some(unit) = unit.filter(|u| *u != s.unit) else { return Ok(number) };
    let name = s.symbol;
    let from = Unit::parse(unit).map_err(|_| format!("{name}: there is no unit {unit}"))?;
    let to =
        Unit::parse(s.unit).map_err(|_| format!("{name} is counted in \"{}\": write it without a unit", s.unit))?;
    if from.dimension() != to.dimension() {
        let (got, wanted) = (from.dimension().name(), to.dimension().name());
        return Err(format!("{name}: {unit} is {got}, and {name} is {wanted}, in {}", s.unit));
    }
    // A reading of a thermometer is no difference of temperatures.
    if from.to_si(0.0) != 0.0 && to.to_si(0.0) == 0.0 {
        return Err(format!("{name}: {unit} counts from another zero than {}: write it in {}", s.unit, s.unit));
    }
    Ok(to.from_si(from.to_si(number)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compute::calc::{find, registry};

    fn of(id: &str, inputs: &[&str]) -> Result<Given, String> {
        let inputs: Vec<String> = inputs.iter().map(|i| (*i).to_string()).collect();
        given(find(id).expect("it is registered"), &inputs)
    }

    #[test]
    fn values_come_in_the_unit_of_the_calculation() {
        let g = of("field_strength", &["V_peak=0.005 kV", "spacing=200 um"]).expect("two values");
        assert!((g.values[0].1 - 5.0).abs() < 1e-12 && (g.values[1].1 - 0.2).abs() < 1e-12, "{g:?}");
        let g = of("tolerance_factor", &["n=24", "p=99 %", "conf=0.95"]).expect("three values");
        assert!((g.values[1].1 - 0.99).abs() < 1e-12 && g.readings.is_none(), "{g:?}");
        let g = of("dew_point", &["T=303.15 K", "RH=80"]).expect("two values");
        assert!((g.values[0].1 - 30.0).abs() < 1e-9, "{g:?}");
    }

    #[test]
    fn a_wrong_dimension_is_named_with_the_right_one() {
        let e = of("field_strength", &["V_peak=5", "spacing=5 V"]).unwrap_err();
        assert!(e.contains("a voltage") && e.contains("a length") && e.contains("mm"), "{e}");
        let e = of("field_strength", &["spacing=5 mn"]).unwrap_err();
        assert!(e.contains("no unit mn"), "{e}");
        assert!(of("field_strength", &["V_peak=inf"]).is_err());
        assert!(of("field_strength", &["V_peak"]).unwrap_err().contains("NAME=VALUE"));
        assert!(of("field_strength", &["V_paek=1"]).unwrap_err().contains("V_peak"));
    }

    #[test]
    fn readings_are_written_in_one_unit() {
        let g = of("lower_tolerance_bound", &["mean=9.62 log10 ohm", "k=3.659", "s=0.33 log10 ohm"]).expect("three");
        assert_eq!(g.readings.as_deref(), Some("log10 ohm"));
        let e = of("lower_tolerance_bound", &["mean=9.62 log10 ohm", "k=3.659", "s=0.33"]).unwrap_err();
        assert!(e.contains("without a unit") && e.contains("log10 ohm"), "{e}");
        assert!(of("lower_tolerance_bound", &["mean=20 degC", "k=3", "s=1 K"]).is_err());
        let list = of("drift_slope", &["t=1,2,3 h", "x=9.1,9.2,9.3"]).expect("lists");
        assert_eq!(list.values.len(), 6);
    }

    #[test]
    fn a_difference_in_kelvin_is_no_reading_of_a_thermometer() {
        let s = crate::compute::calc::one("d", "difference", "K", -10.0, 10.0);
        assert!(converted(&s, 3.0, Some("degC")).unwrap_err().contains("another zero"));
        assert_eq!(converted(&s, 3.0, Some("K")), Ok(3.0));
        let odd = crate::compute::calc::one("c", "count", "events", 0.0, 10.0);
        assert!(converted(&odd, 3.0, Some("V")).unwrap_err().contains("events"));
    }

    #[test]
    fn every_example_command_gives_what_its_check_gives() {
        for c in registry() {
            let call = c.example().unwrap_or_else(|| panic!("{} has no example", c.id));
            let words: Vec<String> = call.split(' ').skip(3).map(str::to_string).collect();
            let g = given(c, &words).unwrap_or_else(|e| panic!("{call}: {e}"));
            let check = c.checks.iter().find(|k| k.call(c.id) == call).expect("a check of the calculation");
            let same = |a: &[(&str, f64)]| {
                let mut all: Vec<(String, u64)> = a.iter().map(|x| (x.0.to_string(), x.1.to_bits())).collect();
                all.sort();
                all
            };
            assert_eq!(same(&g.values), same(check.inputs), "{call}");
        }
    }
}
