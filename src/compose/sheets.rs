//! Takes the finished chapters; gives a calculation sheet for every working that they cite, and that these rest on.

use std::collections::BTreeSet;

use super::ink::{self, Cell, cell, text};
use crate::diag::At;
use crate::model::document::{Behind, Block, Chapter, Formula, Inline, Sheet};
use crate::model::site::Site;
use crate::model::workings::{Origin, Strength, Working, WorkingId, Workings};

/// Name of the block in whose place the sheets are put when all else is written.
pub const MARK: &str = "sheets";

/// Every working that chapters cite, with all that they rest on, in order of number.
pub fn cited<'a>(workings: &Workings, chapters: impl Iterator<Item = &'a Chapter>) -> Vec<WorkingId> {
    let mut queue = Vec::new();
    for chapter in chapters {
        blocks(&chapter.blocks, &mut queue);
    }
    let mut all = BTreeSet::new();
    while let Some(id) = queue.pop() {
        let Some(w) = workings.items.get(id.0 as usize) else { continue };
        if all.insert(id) {
            queue.extend(w.inputs.iter().filter_map(|i| match i.origin {
                Origin::Working(x) => Some(x),
                _ => None,
            }));
        }
    }
    all.into_iter().collect()
}

fn blocks(list: &[Block], out: &mut Vec<WorkingId>) {
    for b in list {
        match b {
            Block::Heading { text, .. } | Block::Paragraph(text) | Block::Caution(text) => inlines(text, out),
            Block::List { items, .. } => items.iter().for_each(|i| blocks(i, out)),
            Block::Quote(inner) => blocks(inner, out),
            Block::Fold { summary, blocks: inner } => {
                inlines(summary, out);
                blocks(inner, out);
            }
            Block::Table(t) => t.rows.iter().flatten().for_each(|c| inlines(c, out)),
            Block::Verdict { lines, .. } => lines.iter().for_each(|l| inlines(l, out)),
            Block::Code(_)
            | Block::Formula(_)
            | Block::Figure(_)
            | Block::Sheet(_)
            | Block::Signature { .. }
            | Block::Review(_)
            | Block::Rule => {}
        }
    }
}

fn inlines(list: &[Inline], out: &mut Vec<WorkingId>) {
    for i in list {
        match i {
            Inline::Value { behind: Behind::Working(id), .. } => out.push(*id),
            Inline::Strong(t) | Inline::Emphasis(t) | Inline::To { text: t, .. } => inlines(t, out),
            _ => {}
        }
    }
}

/// The sheets of these workings.
pub fn sheets(site: &Site, workings: &Workings, ids: &[WorkingId]) -> Vec<Block> {
    if ids.is_empty() {
        return vec![ink::says("This copy cites no calculation.")];
    }
    ids.iter().map(|id| Block::Sheet(Box::new(sheet(site, workings, *id)))).collect()
}

fn sheet(site: &Site, workings: &Workings, id: WorkingId) -> Sheet {
    let w = workings.get(id);
    let method = workings.describe.and_then(|d| d(w));
    let meaning = |symbol: &str| {
        let known = method.as_ref().and_then(|m| m.meanings.iter().find(|x| x.0 == symbol));
        known.map_or(String::new(), |x| x.1.clone())
    };
    let given = |take: fn(&crate::model::workings::Method) -> &String, none: &str| {
        method.as_ref().map(take).filter(|s| !s.is_empty()).cloned().unwrap_or_else(|| none.to_string())
    };
    Sheet {
        name: id.name(),
        calc: w.calc.to_string(),
        title: given(|m| &m.title, w.calc),
        subject: w.subject.clone(),
        formula: method.as_ref().map_or_else(|| vec![Formula::words("not described")], |m| m.formula.clone()),
        symbols: method.as_ref().map_or_else(Vec::new, |m| m.symbols.clone()),
        substituted: given(|m| &m.substituted, "not described"),
        inputs: inputs(site, w, &meaning),
        outputs: w.outputs.iter().map(|o| (o.symbol.to_string(), exact(o.value, &o.unit), meaning(o.symbol))).collect(),
        strength: method.as_ref().map_or(Strength::Informs, |m| m.strength).word().to_string(),
        weak_because: given(|m| &m.weak_because, "not described"),
        sources: method.map_or_else(Vec::new, |m| m.sources),
        n: w.n,
    }
}

/// A number on a sheet: six significant digits, so that it can be worked again by hand.
fn exact(x: f64, unit: &str) -> String {
    format!("{}{}", crate::quantity::significant(x, 6), ink::unit_text(unit))
}

/// Most rows of one symbol that are listed one by one.
const LISTED: usize = 12;

fn inputs(site: &Site, w: &Working, meaning: &dyn Fn(&str) -> String) -> Vec<(String, String, String, Cell)> {
    let mut out: Vec<(String, String, String, Cell)> = Vec::new();
    let mut done: Vec<&str> = Vec::new();
    for i in &w.inputs {
        if done.contains(&i.symbol) {
            continue;
        }
        done.push(i.symbol);
        let all: Vec<_> = w.inputs.iter().filter(|x| x.symbol == i.symbol).collect();
        for x in all.iter().take(LISTED) {
            out.push((x.symbol.to_string(), exact(x.value, &x.unit), meaning(x.symbol), origin(site, &x.origin)));
        }
        if all.len() > LISTED {
            let rest = &all[LISTED..];
            let low = rest.iter().map(|x| x.value).fold(f64::INFINITY, f64::min);
            let high = rest.iter().map(|x| x.value).fold(f64::NEG_INFINITY, f64::max);
            let shown = format!("{} more, from {} to {}", rest.len(), exact(low, ""), exact(high, &i.unit));
            let mut files: Vec<Cell> = Vec::new();
            for x in rest {
                let o = origin(site, &x.origin);
                if !files.contains(&o) && files.len() < LISTED {
                    files.push(o);
                }
            }
            out.push((i.symbol.to_string(), shown, meaning(i.symbol), ink::joined(files, ", ")));
        }
    }
    out
}

fn origin(site: &Site, o: &Origin) -> Cell {
    match o {
        Origin::Place(at) => vec![place(site, *at)],
        Origin::Rows(at, n) => vec![place(site, *at), text(format!(" and on, {}", ink::many(*n, "row", "rows")))],
        Origin::Working(id) => vec![ink::to(id.name(), id.name())],
        Origin::Constant(source) => cell(*source),
    }
}

fn place(site: &Site, at: At) -> Inline {
    Inline::Place(site.sources.cite(at))
}
