//! The volume of the example: every number that leads to a calculation is one that this calculation holds.

use super::super::{judged, planning};
use galipot::compose::plan;
use galipot::model::document::Behind;
use galipot::model::workings::Working;

/// The numbers in a text: value, and half a unit of the last digit that is printed.
fn numbers(text: &str) -> Vec<(f64, f64)> {
    let digit = |c: char| c.is_ascii_digit() || c == '.';
    let pieces = text.split(|c: char| !digit(c)).map(|p| p.trim_matches('.')).filter(|p| !p.is_empty());
    let places = |p: &str| p.split_once('.').map_or(0, |(_, behind)| behind.len());
    pieces.map(|p| (p.parse().expect("a number"), 0.5 * libm::pow(10.0, -(places(p) as f64)))).collect()
}

/// Whether a working holds a number as it is printed: as it is, or in thousands, whatever its sign.
fn holds(w: &Working, (x, half): (f64, f64)) -> bool {
    let all = w.inputs.iter().map(|i| i.value).chain(w.outputs.iter().map(|o| o.value));
    all.flat_map(|v| [v.abs(), v.abs() / 1000.0]).any(|v| (v - x).abs() <= half * (1.0 + 1e-9) + 1e-12)
}

#[test]
fn every_printed_number_is_in_the_calculation_that_it_leads_to() {
    let (a, p) = (judged(), planning());
    let (document, _) = plan::volume(&a.site, &a.assessment, p, &[]);
    let mut looked = 0;
    let mut wrong = Vec::new();
    for (text, behind) in super::values(&document) {
        let Behind::Working(id) = behind else { continue };
        // The months of what recurs make its factors, whose sheet is an input; the sheet names them in its subject.
        if text.starts_with("months ") && p.workings.get(id).subject.ends_with(&text) {
            continue;
        }
        for n in numbers(&text) {
            looked += 1;
            if !holds(p.workings.get(id), n) {
                wrong.push(format!("{text} leads to {} ({})", id.name(), p.workings.get(id).subject));
            }
        }
    }
    assert!(looked > 500, "{looked} numbers");
    assert!(wrong.is_empty(), "{} of {looked}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_number_of_another_calculation_is_found_out() {
    let p = planning();
    let saving = p.values.first().expect("a test that can be bought").value.working;
    // A break-even behind the sheet of a saving, as it once was.
    assert!(!holds(p.workings.get(saving), (0.03, 0.005)));
    assert_eq!(numbers("months 1 to 72"), [(1.0, 0.5), (72.0, 0.5)]);
    assert_eq!(numbers("+255.3"), [(255.3, 0.05)]);
}
