//! Takes a working; gives what its calculation says of itself, so that pages need not know the calculations.

use super::calc::{self, sources};
use crate::model::workings::{Method, Working};

/// The method behind a working; none when the calculation is not in the registry.
pub fn describe(w: &Working) -> Option<Method> {
    let c = calc::find(w.calc)?;
    let inputs = c.symbols.iter().map(|s| (s.symbol, s.meaning));
    let outputs = c.outputs.iter().map(|o| (o.symbol, o.meaning));
    Some(Method {
        title: c.title.to_string(),
        formula: c.formulas(),
        symbols: c.signs(),
        substituted: calc::substituted(w),
        meanings: inputs.chain(outputs).map(|(s, m)| (s.to_string(), m.to_string())).collect(),
        holds_when: c.holds_when.to_string(),
        strength: c.strength,
        weak_because: c.weak_because.to_string(),
        sources: c
            .sources
            .iter()
            .map(|k| sources::find(k).map_or_else(|| (*k).to_string(), |s| format!("{} ({})", s.text, s.standing)))
            .collect(),
    })
}
