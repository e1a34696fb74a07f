//! Takes coverage rows; gives the uncovered cells in words first, then the matrix of every claim and place.

use std::collections::BTreeMap;

use super::desk::Desk;
use super::ink::{self, Cell, cell, table, table_or, text};
use super::words;
use crate::model::assessment::{Code, Cover, CoverRow, State};
use crate::model::document::{Block, Inline, Table};

/// Coverage rows by claim and place, in the order of the claims.
fn grouped<'a>(desk: &Desk<'a>) -> Vec<((&'a str, &'a str), Vec<&'a CoverRow>)> {
    let mut groups: Vec<((&str, &str), Vec<&CoverRow>)> = Vec::new();
    let mut index: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for row in &desk.r.coverage {
        let key = (row.claim.as_str(), row.place.as_str());
        let i = *index.entry(key).or_insert_with(|| {
            groups.push((key, Vec::new()));
            groups.len() - 1
        });
        groups[i].1.push(row);
    }
    groups
}

fn rank(desk: &Desk, claim: &str, place: &str) -> State {
    let Some(c) = desk.claim(claim) else { return State::NotApplicable };
    c.places.iter().find(|p| p.place == place).map_or(c.state, |p| p.state)
}

/// Best sign of a dimension over all rows of a place.
fn best(rows: &[&CoverRow], dimension: &str) -> Option<Cover> {
    rows.iter().flat_map(|r| &r.cells).filter(|c| c.dimension == dimension).map(|c| c.cover).max()
}

/// Dimensions that several cells may cover together, as the chapter says.
const TOGETHER: [&str; 7] = ["K4", "K5", "K6", "K8", "K9", "K19", "K21"];

/// Dimensions of a place that no cell covers, and none together.
pub fn lacking(desk: &Desk, claim: &str, place: &str, rows: &[&CoverRow]) -> Vec<&'static str> {
    let named = |k: &str| {
        let said = |r: &crate::model::assessment::Reason| {
            r.code == Code::NotCovered && r.detail.split(',').any(|d| d.trim() == k) && r.text.contains(place)
        };
        desk.claim(claim).is_some_and(|c| c.reasons.iter().any(said))
    };
    let bare = |k: &&str| best(rows, k) == Some(Cover::Not) && (!TOGETHER.contains(k) || named(k));
    dimensions(rows).into_iter().filter(bare).collect()
}

/// Dimensions that the rows speak of, in order K1 to K21.
fn dimensions(rows: &[&CoverRow]) -> Vec<&'static str> {
    words::DIMENSIONS.iter().map(|d| d.0).filter(|k| best(rows, k).is_some()).collect()
}

/// Places whose dimensions no run covers, in words: what was tested against what the place needs.
pub fn uncovered(desk: &Desk) -> Vec<Block> {
    let mut rows: Vec<(State, Vec<Cell>)> = Vec::new();
    for ((claim, place), group) in grouped(desk) {
        let state = rank(desk, claim, place);
        if state == State::NotApplicable {
            continue;
        }
        for k in lacking(desk, claim, place, &group) {
            let mut tested: Vec<&str> = Vec::new();
            let mut needed = "";
            for c in group.iter().flat_map(|r| &r.cells).filter(|c| c.dimension == k) {
                if !tested.contains(&c.tested.as_str()) {
                    tested.push(&c.tested);
                }
                needed = &c.needed;
            }
            rows.push((
                state,
                vec![
                    vec![desk.claim_link(claim)],
                    cell(place),
                    vec![Inline::Cover(Cover::Not), text(format!(" {k} {}", words::dimension(k)))],
                    cell(tested.into_iter().take(6).collect::<Vec<_>>().join("; ")),
                    cell(needed),
                    vec![Inline::State(state)],
                ],
            ));
        }
    }
    rows.sort_by_key(|r| r.0);
    let rows: Vec<Vec<Cell>> = rows.into_iter().map(|r| r.1).collect();
    let none = "Every dimension of every place that a run speaks of is covered: by one run, or by several together where that is allowed.";
    table_or(
        "Uncovered: no run covers this dimension of this place",
        &["Claim", "Place", "Dimension", "Tested", "Needed", "State"],
        &[],
        rows,
        none,
    )
}

/// Bridged cells, each with its bridge.
pub fn bridged(desk: &Desk) -> Vec<Block> {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for row in &desk.r.coverage {
        for c in row.cells.iter().filter(|c| c.cover == Cover::Bridged) {
            let id = c.bridge.clone().unwrap_or_default();
            let bridge = desk.site.bridges.iter().find(|b| b.id.text == id);
            rows.push(vec![
                vec![desk.claim_link(&row.claim)],
                cell(row.place.clone()),
                vec![
                    Inline::Cover(Cover::Bridged),
                    text(format!(" {} {}", c.dimension, words::dimension(c.dimension))),
                ],
                vec![desk.run_link(&row.run)],
                cell(c.tested.clone()),
                cell(c.needed.clone()),
                match bridge {
                    Some(b) => {
                        let by = b.approved_by.as_ref().map_or("nobody".into(), |p| desk.person(p));
                        vec![desk.at(id, b.at), text(format!(" approved by {by}: {}", b.reason))]
                    }
                    None => cell(id),
                },
            ]);
        }
    }
    rows.dedup();
    table_or(
        "Bridged: carried by signed reasoning, not by test",
        &["Claim", "Place", "Dimension", "Run", "Tested", "Needed", "Bridge"],
        &[],
        rows,
        "No cell is bridged.",
    )
}

/// The full matrix: one table per claim, one row per place, run and cell.
pub fn matrix(desk: &Desk) -> Vec<Block> {
    let groups = grouped(desk);
    if groups.is_empty() {
        return vec![ink::says("No run speaks to any claim of this assembly, so there is no coverage to show.")];
    }
    let mut out = vec![
        legend(),
        ink::says(
            "Each row is one cell of one run. A row counts only when all of its cells are covered, bridged or not needed; \
         only K4, K5, K6, K8, K9, K19 and K21 may be covered by several runs together: the row \"together\" says whether they are.",
        ),
    ];
    let mut claims: Vec<&str> = groups.iter().map(|g| g.0.0).collect();
    claims.dedup();
    for claim in claims {
        let of_claim: Vec<_> = groups.iter().filter(|g| g.0.0 == claim).collect();
        let all: Vec<&CoverRow> = of_claim.iter().flat_map(|g| g.1.iter().copied()).collect();
        let ks = dimensions(&all);
        if ks.is_empty() {
            continue;
        }
        let mut head = vec!["Place, run, cell, pattern".to_string()];
        head.extend(ks.iter().map(|k| (*k).to_string()));
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        for ((_, place), of_place) in &of_claim {
            for r in of_place {
                let mut first = vec![text(format!("{place} · ")), desk.run_link(&r.run)];
                for part in [&r.cell, &r.pattern] {
                    if !part.is_empty() {
                        first.push(text(format!(" · {part}")));
                    }
                }
                let mut line = vec![first];
                line.extend(ks.iter().map(|k| match r.cells.iter().find(|c| c.dimension == *k) {
                    Some(c) => vec![Inline::Cover(c.cover)],
                    None => vec![Inline::Cover(Cover::NotNeeded)],
                }));
                rows.push(line);
            }
            if rank(desk, claim, place) >= State::WithConditions && of_place.len() > 1 {
                rows.push(together(desk, claim, place, of_place, &ks));
            }
        }
        let title = desk.claim(claim).map_or(String::new(), |c| format!(" {}", c.title));
        let summary = vec![
            desk.claim_link(claim),
            text(format!("{title}: {} of runs and cells", ink::many(all.len(), "row", "rows"))),
        ];
        let table = Table {
            caption: format!("Coverage for {claim}{title}"),
            numeric: vec![false; head.len()],
            head,
            rows,
            wide: true,
        };
        out.push(Block::Fold { summary, blocks: vec![Block::Table(table)] });
    }
    out
}

/// What the rows of a place cover together.
fn together(desk: &Desk, claim: &str, place: &str, rows: &[&CoverRow], ks: &[&'static str]) -> Vec<Cell> {
    let lacks = lacking(desk, claim, place, rows);
    let mut line = vec![vec![ink::strong(format!("{place} · together"))]];
    line.extend(ks.iter().map(|k| match best(rows, k) {
        Some(Cover::Not) if TOGETHER.contains(k) && !lacks.contains(k) => vec![Inline::Cover(Cover::Covered)],
        Some(c) if TOGETHER.contains(k) => vec![Inline::Cover(c)],
        _ => vec![Inline::Cover(Cover::NotNeeded)],
    }));
    line
}

fn legend() -> Block {
    let rows = [
        (Cover::Covered, "covered: the test is at least as severe"),
        (Cover::Bridged, "bridged: carried by signed reasoning"),
        (Cover::Not, "not covered"),
        (
            Cover::NotNeeded,
            "the dimension does not speak of this place; in a row \"together\", each run covers it by itself",
        ),
    ]
    .into_iter()
    .map(|(c, w)| vec![vec![Inline::Cover(c)], cell(w)])
    .collect();
    table("Signs", &["Sign", "Meaning"], &[], rows)
}

/// The dimensions, named.
pub fn dimensions_named(_: &Desk) -> Vec<Block> {
    let rows = words::DIMENSIONS.iter().map(|(k, n)| vec![cell(*k), cell(*n)]).collect();
    vec![table("Dimensions of coverage", &["Sign", "Dimension"], &[], rows)]
}

/// Why a run does not carry a place by itself: every uncovered cell of the rows of claims that are not supported.
pub fn by_run(desk: &Desk) -> Vec<Block> {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for ((claim, place), group) in grouped(desk) {
        if !matches!(rank(desk, claim, place), State::NotYet | State::Contradicted) {
            continue;
        }
        let mut seen: Vec<(String, String)> = Vec::new();
        for r in &group {
            let lacks: Vec<String> = r
                .cells
                .iter()
                .filter(|c| c.cover == Cover::Not)
                .map(|c| format!("{}: tested {}, needed {}", c.dimension, c.tested, c.needed))
                .collect();
            let key = (r.run.clone(), lacks.join("; "));
            if lacks.is_empty() || seen.contains(&key) {
                continue;
            }
            rows.push(vec![
                vec![desk.claim_link(claim)],
                cell(place),
                vec![desk.run_link(&r.run)],
                cell(r.cell.clone()),
                cell(key.1.clone()),
            ]);
            seen.push(key);
        }
    }
    table_or(
        "Why these runs do not carry the place by themselves",
        &["Claim", "Place", "Run", "Cell", "Tested against needed"],
        &[],
        rows,
        "No claim is open for want of coverage.",
    )
}
