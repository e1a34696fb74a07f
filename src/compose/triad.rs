//! Takes the triads; gives, for every critical place, which of moisture, bias and ions is shown to be broken.

use super::desk::Desk;
use super::ink::{self, Cell, cell, strong, text};
use crate::model::assessment::{Leg, Triad};
use crate::model::document::Block;

fn leg(desk: &Desk, l: &Leg) -> Cell {
    let word = if l.broken { "broken" } else { "not broken" };
    let rest = l.text.strip_prefix("broken: ").or_else(|| l.text.strip_prefix("broken ")).unwrap_or(&l.text);
    let mut out = vec![strong(format!("{word}: ")), text(rest)];
    if !l.claims.is_empty() {
        out.push(text(" ("));
        out.extend(desk.claim_links(l.claims.iter().map(String::as_str)));
        out.push(text(")"));
    }
    for id in &l.workings {
        let Some((o, calc)) = desk.w.items.get(id.0 as usize).and_then(|w| Some((w.outputs.first()?, w.calc))) else {
            continue;
        };
        if calc.starts_with("margin") {
            out.extend([text(", margin "), ink::worked_margin(o.value, &o.unit, *id)]);
        } else {
            out.extend([text(format!(", {} ", calc.replace('_', " "))), ink::worked(o.value, &o.unit, *id)]);
        }
    }
    out
}

fn relied_on(t: &Triad) -> String {
    let broken: Vec<&str> = t.legs.iter().filter(|l| l.broken).map(|l| l.leg).collect();
    match broken.as_slice() {
        [] => "NONE: no leg is shown to be broken".into(),
        [one] => format!("{one} alone"),
        many => many.join(" and "),
    }
}

/// One row per critical place.
pub fn places(desk: &Desk) -> Vec<Block> {
    let rows = desk
        .r
        .triads
        .iter()
        .map(|t| {
            let of = |name: &str| match t.legs.iter().find(|l| l.leg == name) {
                Some(l) => leg(desk, l),
                None => cell("not judged"),
            };
            vec![
                cell(t.place.clone()),
                cell(t.why_critical.clone()),
                of("moisture"),
                of("bias"),
                of("ions"),
                vec![strong(relied_on(t))],
            ]
        })
        .collect();
    let head = ["Place", "Why critical", "Moisture", "Bias", "Ions", "Relied on"];
    ink::table_or(
        &format!("The three legs at every critical place, to {}", super::words::tree(desk.tree())),
        &head,
        &[],
        rows,
        "No place was found critical, so no leg is judged.",
    )
}

/// Places that no broken leg protects.
pub fn bare(desk: &Desk) -> Vec<Block> {
    let bare: Vec<Cell> = desk
        .r
        .triads
        .iter()
        .filter(|t| t.legs.iter().all(|l| !l.broken))
        .map(|t| vec![strong(t.place.clone()), text(format!(": {}", t.why_critical))])
        .collect();
    if bare.is_empty() {
        return vec![ink::says("At every critical place at least one leg is shown to be broken.")];
    }
    vec![
        Block::Caution(cell(
            "At these places no leg is shown to be broken. Moisture, bias and ions can come together there.",
        )),
        ink::list(bare),
    ]
}
