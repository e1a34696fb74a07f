//! Takes the planning; gives what would lift each assembly and the site: for a terminal, and for machines.

use serde_json::{Value, json};

use super::evidence::{good_for, weeks, wider};
use super::ledger::{Ledger, share, thousands};
use super::record::{GAPS, closing};
use crate::compose::status::{WHAT_IF, wrapped};
use crate::model::assessment::Assessment;
use crate::model::planning::{ClosingSet, Planning};
use crate::model::site::Site;

/// Closing sets that were asked for: that of one assembly, or all.
fn asked<'a>(planning: &'a Planning, assembly: Option<&'a str>) -> impl Iterator<Item = &'a ClosingSet> {
    planning.closing.iter().filter(move |c| assembly.is_none_or(|a| c.assembly == a))
}

/// Closing sets with their actions; 100 columns, no colour.
pub fn human(site: &Site, assessment: &Assessment, planning: &Planning, assembly: Option<&str>) -> String {
    let l = Ledger { site, assessment, p: planning };
    let mut out = if assessment.what_if { WHAT_IF.to_string() } else { String::new() };
    let mut any = false;
    for a in assessment.assemblies.iter().filter(|a| assembly.is_none_or(|x| x == a.id)) {
        if !planning.closing.iter().any(|c| c.assembly == a.id) {
            out.push_str(&format!(
                "{}  has a supported route: leave {}, wash {}\n",
                a.id,
                a.state.letter(),
                a.wash_state.letter()
            ));
        }
    }
    for c in asked(planning, assembly) {
        any = true;
        out.push_str(&one(&l, c));
    }
    if any {
        out.push_str("INTERNAL: costs are not for customers, and no state of a claim rests on them\n");
    }
    out
}

fn one(l: &Ledger, c: &ClosingSet) -> String {
    let whom = match (c.assembly.as_str(), c.tree.as_str()) {
        ("", _) => "SITE, a route for every assembly".to_string(),
        (a, "leave") => format!("{a}, residue stays"),
        (a, "wash") => format!("{a}, washed with saponifier"),
        (a, tree) => format!("{a}, {tree}"),
    };
    let mut out = String::new();
    let mut line = |first: String, indent: usize, parts: &[String]| {
        out.push_str(&wrapped(&first, indent, parts, ","));
        out.push('\n');
    };
    if c.actions.is_empty() {
        line(format!("{whom}: "), 4, &["no set of actions closes it".to_string()]);
    } else {
        let from = if c.stated { "as stated" } else { "the product" };
        let n = c.actions.len();
        let parts = [
            format!("closing set: {n} {}", if n == 1 { "action" } else { "actions" }),
            format!("{} {}", thousands(c.cost.value), l.unit()),
            format!("{} weeks", weeks(c.weeks)),
            format!("chance {} ({from})", share(c.chance.value)),
        ];
        line(format!("{whom}: "), 4, &parts);
    }
    if !c.beyond.is_empty() {
        line("    NOTHING LIFTS ".into(), 18, &c.beyond);
    }
    for a in &c.actions {
        let lifts = if a.lifts.is_empty() { "" } else { "lifts " };
        let first = format!(
            "  {:<10} {:>7} {}  week {:>7}  p {}  {lifts}",
            a.action,
            thousands(a.cost),
            l.unit(),
            format!("{}-{}", weeks(a.span.0), weeks(a.span.1)),
            share(a.chance)
        );
        line(first, 13, &good_for(c, a));
        line("             ".into(), 13, std::slice::from_ref(&a.text));
    }
    for w in &c.wider {
        let parts = [
            format!("{}: {} actions", wider(w), w.actions),
            format!("{} {}", thousands(w.cost), l.unit()),
            format!("{} weeks", weeks(w.weeks)),
            format!("chance {}", share(w.chance)),
        ];
        line("  ".into(), 4, &parts);
    }
    out
}

/// The same for machines, schema `galipot.gaps/1`.
pub fn json(site: &Site, assessment: &Assessment, planning: &Planning, assembly: Option<&str>) -> Value {
    let l = Ledger { site, assessment, p: planning };
    let assemblies = assessment.assemblies.iter().filter(|a| assembly.is_none_or(|x| x == a.id)).map(|a| {
        // One for every tree that could carry it, none where a route is supported.
        let sets = planning.closing.iter().filter(|c| c.assembly == a.id).map(|c| closing(&l, c));
        json!({"id": a.id, "revision": a.rev, "route": a.route.word(), "state": a.state.word(), "wash_state": a.wash_state.word(),
            "closing": sets.collect::<Vec<_>>()})
    });
    let whole = planning.closing.iter().find(|c| c.assembly.is_empty()).filter(|_| assembly.is_none());
    json!({"schema": GAPS, "as_of": assessment.as_of.to_string(), "what_if": assessment.what_if, "currency": planning.currency,
        "assemblies": assemblies.collect::<Vec<_>>(), "site": whole.map(|c| closing(&l, c))})
}
