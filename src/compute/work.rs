//! Takes a calculation and inputs with their places; gives the working, entered among the others.

use super::calc::Calc;
use crate::diag::At;
use crate::model::workings::{Input, Origin, Output, Working, WorkingId, Workings};

/// An input: symbol, value, where it came from.
pub type In = (&'static str, f64, Origin);

/// What a calculation gave: its place among the workings and its results in the order of its outputs.
#[derive(Debug, Clone)]
pub struct Done {
    pub id: WorkingId,
    pub values: Vec<f64>,
}

impl Done {
    /// The first result, as input of another calculation.
    pub fn first(&self, symbol: &'static str) -> In {
        self.nth(symbol, 0)
    }

    /// The result of index `i`, as input of another calculation.
    pub fn nth(&self, symbol: &'static str, i: usize) -> In {
        (symbol, self.values[i], Origin::Working(self.id))
    }
}

/// Unit of a symbol for readings in `unit`.
fn unit_of(symbol: &str, unit: &str) -> String {
    match symbol {
        "=" => unit.to_string(),
        "=2" => format!("({unit})2"),
        own => match own.strip_prefix("=/") {
            Some(per) => format!("{unit}/{per}"),
            None => own.to_string(),
        },
    }
}

/// Carries out a calculation and enters it. `unit` is the unit of the readings, `n` their number.
///
/// # Errors
/// Why there is no result, in words.
pub fn work(
    w: &mut Workings,
    calc: &'static Calc,
    subject: &str,
    n: usize,
    unit: &str,
    inputs: Vec<In>,
) -> Result<Done, String> {
    let pairs: Vec<(&str, f64)> = inputs.iter().map(|i| (i.0, i.1)).collect();
    let results = calc.evaluate(&pairs)?;
    let unit_in = |s: &str| calc.symbols.iter().find(|k| k.symbol == s).map_or("", |k| k.unit);
    let working = Working {
        calc: calc.id,
        subject: subject.to_string(),
        assemblies: Vec::new(),
        inputs: inputs
            .into_iter()
            .map(|(symbol, value, origin)| Input { symbol, value, unit: unit_of(unit_in(symbol), unit), origin })
            .collect(),
        outputs: calc
            .outputs
            .iter()
            .zip(&results)
            .map(|(o, r)| Output { symbol: o.symbol, value: r.1, unit: unit_of(o.unit, unit) })
            .collect(),
        n,
    };
    Ok(Done { id: w.push(working), values: results.into_iter().map(|r| r.1).collect() })
}

/// Appends `other` to `w`, and moves the numbers of its workings and sets on.
pub fn append(w: &mut Workings, mut other: Workings) {
    let (items, sets) = (w.items.len() as u32, w.sets.len());
    for working in &mut other.items {
        for input in &mut working.inputs {
            if let Origin::Working(id) = &mut input.origin {
                id.0 += items;
            }
        }
    }
    for o in &mut other.outcomes {
        o.working.0 += items;
        o.set += sets;
    }
    for id in other.facts.iter_mut().map(|f| &mut f.working) {
        id.0 += items;
    }
    for id in other.run_facts.iter_mut().filter_map(|f| f.working.as_mut()) {
        id.0 += items;
    }
    w.items.append(&mut other.items);
    w.sets.append(&mut other.sets);
    w.outcomes.append(&mut other.outcomes);
    w.facts.append(&mut other.facts);
    w.run_facts.append(&mut other.run_facts);
    w.curves.append(&mut other.curves);
}

/// Many rows: the first place and how many.
pub fn rows(at: At, n: usize) -> Origin {
    if n > 1 { Origin::Rows(at, n) } else { Origin::Place(at) }
}
