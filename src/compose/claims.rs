//! Takes judged claims; gives the trees as tables, and every leaf explained.

use super::desk::{Desk, claim_anchor};
use super::explain;
use super::ink::{self, Cell, cell, here, table_or, text};
use super::words;
use crate::model::assessment::{ClaimResult, PlaceResult, State};
use crate::model::document::{Block, Inline};
use crate::model::governance::TreeKind;

/// Depth of a claim in its tree.
fn depth(desk: &Desk, c: &ClaimResult) -> usize {
    let mut d = 0;
    let mut at = c.parent.as_deref();
    while let Some(p) = at {
        d += 1;
        if d > 8 {
            break;
        }
        at = desk.r.claims.iter().find(|x| x.tree == c.tree && x.id == p).and_then(|x| x.parent.as_deref());
    }
    d
}

/// The place that a claim's number comes from.
fn its_place(c: &ClaimResult) -> Option<&PlaceResult> {
    let of_place = || c.places.iter().filter(|p| p.place == c.place);
    of_place().find(|p| p.state == c.state).or_else(|| of_place().next())
}

/// The place of a claim that a condition keeps below the test whose margin is that of the claim.
pub fn kept(c: &ClaimResult) -> Option<&PlaceResult> {
    its_place(c).filter(|p| p.tested.as_ref().is_some_and(|t| same(t.margin, c.margin)))
}

/// The margin of a claim: as tested and under the condition where a condition keeps its place below the test; the number
/// of its place, and why it does not count, where none counts.
pub fn margin(desk: &Desk, c: &ClaimResult) -> Cell {
    if let Some(p) = kept(c) {
        return super::weakest::kept(p);
    }
    if c.value == 0.0 && c.limit == 0.0 {
        return cell("nothing found, nothing allowed");
    }
    let Some(p) = its_place(c) else { return numbered(desk, c, c.margin, true) };
    match &p.aside {
        Some(why) if !c.margin.is_finite() && p.margin.is_finite() => {
            let number = match p.working {
                Some(id) => ink::worked_margin(p.margin, &p.unit, id),
                None => text(ink::margin_text(p.margin, &p.unit)),
            };
            vec![number, text(format!(" ({why})"))]
        }
        _ => numbered(desk, c, c.margin, true),
    }
}

/// A number of a claim, with the working or the place behind it.
pub fn numbered(desk: &Desk, c: &ClaimResult, x: f64, margin: bool) -> Cell {
    if !x.is_finite() {
        return cell("none");
    }
    let shown = if margin { ink::margin_text(x, &c.unit) } else { ink::quantity_text(x, &c.unit) };
    match c
        .voices
        .iter()
        .find(|v| c.runs.contains(&v.run) && same(v.margin, c.margin))
        .map(|v| v.working)
        .or(c.workings.first().copied())
    {
        Some(id) if margin => vec![ink::worked_margin(x, &c.unit, id)],
        Some(id) => vec![ink::worked(x, &c.unit, id)],
        None => match c.looked_at.first() {
            Some((_, at)) => vec![desk.at(shown, *at)],
            None => cell(shown),
        },
    }
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + b.abs())
}

fn tree(desk: &Desk, kind: TreeKind, caption: &str) -> Vec<Block> {
    let rows = desk
        .claims(kind)
        .map(|c| {
            let mut name = vec![here(claim_anchor(&c.id))];
            name.push(text("– ".repeat(depth(desk, c))));
            name.push(if c.leaf {
                text(format!("{} {}", c.id, c.title))
            } else {
                ink::strong(format!("{} {}", c.id, c.title))
            });
            vec![
                name,
                vec![Inline::State(c.state)],
                numbered(desk, c, c.value, false),
                numbered(desk, c, c.limit, false),
                margin(desk, c),
                cell(if c.place.is_empty() { "none" } else { &c.place }),
                if c.runs.is_empty() {
                    cell(if c.leaf && c.rule != "evidence" { "records" } else { "none" })
                } else {
                    desk.run_links(c.runs.iter().map(String::as_str))
                },
                if c.reasons.is_empty() && c.state == State::Supported {
                    cell("met")
                } else {
                    super::unproven::reasons(desk, c, 1)
                },
            ]
        })
        .collect();
    let head = ["Claim", "State", "Value after guard", "Limit", "Margin", "Worst place", "Evidence", "Reason"];
    table_or(caption, &head, &[2, 3], rows, "This tree has no claims: no such process is on file.")
}

pub fn leave(desk: &Desk) -> Vec<Block> {
    tree(desk, TreeKind::Leave, "Leave the residue")
}

pub fn wash(desk: &Desk) -> Vec<Block> {
    tree(desk, TreeKind::Wash, "Wash with saponifier")
}

pub fn present(desk: &Desk) -> Vec<Block> {
    tree(desk, TreeKind::Present, "Keep the present process")
}

fn explained(desk: &Desk, kind: TreeKind) -> Vec<Block> {
    let mut out = Vec::new();
    for c in desk.leaves(kind) {
        let mut blocks: Vec<Block> = vec![ink::says(c.text.clone())];
        blocks.push(ink::list(
            explain::lines(desk, c).into_iter().map(|(label, words)| ink::labelled(label, words)).collect(),
        ));
        blocks.extend(explain::places(desk, c));
        blocks.extend(explain::voices(desk, c));
        let summary = vec![text(format!("{} {} ", c.id, c.title)), Inline::State(c.state)];
        out.push(Block::Fold { summary, blocks });
    }
    if out.is_empty() {
        out.push(ink::says("This tree has no claims."));
    }
    out
}

/// Every leaf of the leave tree, explained.
pub fn leave_explained(desk: &Desk) -> Vec<Block> {
    explained(desk, TreeKind::Leave)
}

/// Every leaf of the wash tree and of the present tree, explained.
pub fn others_explained(desk: &Desk) -> Vec<Block> {
    let mut out = explained(desk, TreeKind::Wash);
    out.extend(explained(desk, TreeKind::Present));
    out
}

/// The three trees side by side: state, weakest claim, smallest margin.
pub fn side_by_side(desk: &Desk) -> Vec<Block> {
    let rows = [
        (TreeKind::Leave, desk.r.state),
        (TreeKind::Wash, desk.r.wash_state),
        (TreeKind::Present, desk.r.present_state),
    ]
    .into_iter()
    .map(|(kind, state)| {
        let open = desk.unproven(kind);
        let weakest = super::weakest::places(desk, kind);
        let counts: Vec<String> = [State::Contradicted, State::NotYet, State::WithConditions, State::Supported]
            .into_iter()
            .map(|s| format!("{} {}", desk.leaves(kind).filter(|c| c.state == s && !c.after_issue).count(), s.letter()))
            .collect();
        vec![
            cell(words::tree(kind)),
            vec![Inline::State(state)],
            cell(counts.join(", ")),
            match open.first() {
                Some(c) => {
                    vec![desk.claim_link(&c.id), text(format!(" {}: {}", c.title, super::verdict::reason_line(c)))]
                }
                None => cell("no claim is open"),
            },
            match weakest.iter().find(|w| w.decades.is_finite()) {
                Some(w) => {
                    let mut line = super::weakest::margin(w);
                    line.extend([text(format!(" at {}, ", w.place.place)), desk.claim_link(&w.claim.id)]);
                    line
                }
                None => cell("no number"),
            },
        ]
    })
    .collect();
    let head = ["Route", "State", "Leaf claims", "Weakest claim", "Smallest margin at a place"];
    vec![ink::table("The routes side by side", &head, &[], rows)]
}
