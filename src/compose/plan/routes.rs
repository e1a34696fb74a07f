//! Takes a plan; gives which treatment every assembly has on every path, and the months of each path as a picture.

use super::figures;
use super::ledger::Ledger;
use crate::compose::ink::{self, Cell, cell, strong, text};
use crate::model::document::Block;
use crate::model::planning::{PathResult, PlanResult};

/// Paths that stand side by side in one table.
const SIDE_BY_SIDE: usize = 3;

/// Packages and outcomes of a path, in words.
pub fn outcome(path: &PathResult) -> String {
    let words: Vec<String> =
        path.results.iter().map(|(p, ok, _)| format!("{p} {}", if *ok { "succeeds" } else { "fails" })).collect();
    if words.is_empty() { "no test".to_string() } else { words.join(", ") }
}

/// Paths by their chance, the likeliest first, with their number from 1.
pub fn likeliest(plan: &PlanResult) -> Vec<(usize, &PathResult)> {
    let mut all: Vec<(usize, &PathResult)> = plan.paths.iter().enumerate().map(|(i, p)| (i + 1, p)).collect();
    all.sort_by(|a, b| b.1.chance.value.total_cmp(&a.1.chance.value));
    all
}

/// Treatment of every assembly on every path.
pub fn routes(l: &Ledger, plan: &PlanResult) -> Vec<Block> {
    let mut out = Vec::new();
    for (part, paths) in plan.paths.chunks(SIDE_BY_SIDE).enumerate() {
        let number = |i: usize| part * SIDE_BY_SIDE + i + 1;
        let names: Vec<String> = (0..paths.len()).map(|i| format!("Path {}", number(i))).collect();
        let mut head = vec!["Assembly"];
        head.extend(names.iter().map(String::as_str));
        let mut rows = vec![vec![cell("Outcome")]];
        rows[0].extend(paths.iter().map(|p| vec![text(format!("{}; chance ", outcome(p))), l.chance(p.chance)]));
        for a in &l.assessment.assemblies {
            let letters = [a.state, a.wash_state, a.present_state].map(|s| s.letter()).join(" ");
            let mut row = vec![cell(format!("{} ({letters})", a.id))];
            row.extend(paths.iter().map(|p| course(l, p, &a.id)));
            rows.push(row);
        }
        let mut cost = vec![cell(format!("Cost, {}", l.unit()))];
        cost.extend(paths.iter().map(|p| vec![l.k(p.cost)]));
        rows.push(cost);
        let caption = format!(
            "Routes of {}: treatment and first month; in brackets the trees now: leave, wash, present",
            plan.id
        );
        out.push(ink::table(&caption, &head, &[], rows));
    }
    out
}

/// Treatments of an assembly on a path; `!` where its claims do not support the treatment.
fn course(l: &Ledger, path: &PathResult, assembly: &str) -> Cell {
    let each = l.course(path, assembly).into_iter().map(|(t, month)| {
        let mark = if l.supported(path, assembly, &t) { "" } else { " !" };
        let mut one = vec![strong(format!("{t}{mark}"))];
        if month > 0 {
            let lead = l.site.plan.treatment(&t).map(|x| x.lead.at);
            one.push(text(" from month "));
            one.push(lead.map_or_else(|| text(month.to_string()), |at| l.at(month.to_string(), at)));
        }
        one
    });
    ink::joined(each, ", then ")
}

/// The months of the likeliest path, the others folded.
pub fn timelines(l: &Ledger, best: &PlanResult) -> Vec<Block> {
    let mut all = likeliest(best).into_iter().map(|(n, path)| Block::Figure(figures::timeline(l, path, n)));
    let mut out: Vec<Block> = all.next().into_iter().collect();
    let rest: Vec<Block> = all.collect();
    if !rest.is_empty() {
        out.push(Block::Fold { summary: cell("The months of the other paths"), blocks: rest });
    }
    out
}
