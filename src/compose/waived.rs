//! Takes waivers that the route rests on; gives what is released without being shown: by whom, for what, until when.

use super::desk::Desk;
use super::ink::{self, Cell, cell, labelled, text};
use crate::model::governance::Waiver;

/// What is not supported and by which waiver it is released all the same; nothing where the route rests on none.
pub fn released(desk: &Desk) -> Vec<Cell> {
    let waivers = desk.route_waivers();
    if waivers.is_empty() {
        return Vec::new();
    }
    let open = desk.leaves(desk.tree()).filter(|c| !c.waivers.is_empty());
    let open: Vec<Cell> = open.map(|c| vec![desk.claim_link(&c.id), text(format!(" {}", c.title))]).collect();
    let mut lines = vec![labelled("Not supported by evidence", ink::joined(open, "; "))];
    for w in waivers {
        let role = desk.site.person(&w.customer_authority).map_or(String::new(), |p| format!(" ({})", p.role));
        let mut line = cell(format!("by {}{role}, for: ", desk.person(&w.customer_authority)));
        line.extend([
            desk.at(w.scope.text.trim_end_matches('.'), w.at),
            text(format!(". Only within: {}. ", w.limit_of_use.text.trim_end_matches('.'))),
            text(format!("From {} to {}, the last day", w.from, w.to)),
        ]);
        lines.push(labelled(&format!("Released under waiver {}", w.id), line));
    }
    lines
}

/// Limits of use of the waivers that the route rests on.
pub fn limits(desk: &Desk) -> Vec<Cell> {
    let one = |w: &Waiver| {
        vec![
            desk.at(w.limit_of_use.text.trim_end_matches('.'), w.at),
            text(format!(" (waiver {}, for: {}, to {})", w.id, w.scope.text.trim_end_matches('.'), w.to)),
        ]
    };
    desk.route_waivers().into_iter().map(one).collect()
}
