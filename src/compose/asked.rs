//! Takes conditions, accepted doubts, waivers and open small doubts; gives what the customer's signature accepts.

use super::desk::Desk;
use super::ink::{self, Cell, cell, strong, text};
use crate::model::assessment::{DefeaterStatus, Route};
use crate::model::document::{Block, Review};
use crate::model::governance::{Org, Person, Severity, Waiver};

/// A residual risk that the signature accepts: its number, and a paragraph.
pub struct Risk {
    pub number: String,
    pub words: Cell,
}

/// Every residual risk, in order: conditions, bridges, waivers, accepted doubts, open doubts, accepted assumptions.
pub fn risks(desk: &Desk) -> Vec<Risk> {
    let mut all: Vec<Cell> = Vec::new();
    for id in desk.route_conditions() {
        let Some(c) = desk.site.condition(id) else { continue };
        let breach = c.breach_action.as_ref().map_or("not stated", |b| b.text.as_str());
        all.push(vec![
            text(if route_to_accept(desk) {
                "The route holds only while this holds: "
            } else {
                "A claim holds only while this holds: "
            }),
            desk.at(c.text.text.trim_end_matches('.'), c.at),
            text(" ("),
            desk.condition_link(id),
            text(format!("). If it is breached: {}.", breach.trim_end_matches('.'))),
        ]);
    }
    let tree = desk.tree();
    for b in desk.site.bridges.iter().filter(|b| b.assembly.text == desk.r.id) {
        if desk.claims(tree).any(|c| c.bridges.contains(&b.id.text)) {
            let dims: Vec<&str> = b.dimensions.iter().map(|d| d.text.as_str()).collect();
            all.push(vec![
                text("Evidence of "),
                desk.run_link(&b.run),
                text(format!(" is carried across {} by reasoning, not by test: ", dims.join(", "))),
                desk.at(b.reason.text.trim_end_matches('.'), b.at),
                text(format!(" ({}).", b.id)),
            ]);
        }
    }
    let carries = |w: &&Waiver| desk.claims(tree).any(|c| c.waivers.contains(&w.id.text));
    for w in desk.site.waivers.iter().filter(|w| w.assembly.text == desk.r.id).filter(carries) {
        all.push(vec![
            text("Accepted without evidence: "),
            desk.at(w.scope.text.trim_end_matches('.'), w.at),
            text(format!(", within {}, until {} ({}).", w.limit_of_use.text.trim_end_matches('.'), w.to, w.id)),
        ]);
    }
    for d in &desk.r.defeaters {
        let how = match (d.status, d.severity) {
            (DefeaterStatus::Accepted, _) => "This doubt is accepted, not refuted: ",
            (DefeaterStatus::Open, _) if desk.argued_by(d).is_some() => {
                "This doubt is not refuted, only argued by a condition: "
            }
            (DefeaterStatus::Open, Severity::Minor) => "This small doubt is open: ",
            (DefeaterStatus::Open, Severity::Major) => {
                "This doubt is open and must be closed before the claim can hold: "
            }
            _ => continue,
        };
        let in_tree = desk.claim(&d.claim).is_none_or(|c| c.tree == tree);
        if in_tree {
            let mut line = vec![text(how), text(d.text.trim_end_matches('.')), text(" (")];
            line.extend([desk.claim_link(&d.claim), text(format!(", {}).", d.id))]);
            all.push(line);
        }
    }
    for a in &desk.site.assumptions {
        let used = desk.claims(tree).any(|c| c.assumptions.contains(&a.id.text));
        if used && a.assemblies.iter().any(|x| x.text == desk.r.id) {
            all.push(vec![
                text("Assumed, not tested: "),
                desk.at(a.text.text.trim_end_matches('.'), a.at),
                text(format!(". Basis: {} ({}).", a.basis.text.trim_end_matches('.'), a.id)),
            ]);
        }
    }
    all.into_iter().enumerate().map(|(i, words)| Risk { number: format!("RR-{}", i + 1), words }).collect()
}

/// Whether a route is put before the customer to accept.
pub fn route_to_accept(desk: &Desk) -> bool {
    !matches!(desk.r.route, Route::NotYet | Route::NoSupportedRoute)
}

/// What the signature accepts, or that it accepts nothing.
pub fn signature(desk: &Desk) -> Vec<Block> {
    let who = desk
        .site
        .customers
        .iter()
        .find(|c| c.id.text == desk.a.assembly.customer.text)
        .map_or("the customer", |c| c.name.text.as_str());
    let (id, rev) = (&desk.a.assembly.id, &desk.a.assembly.rev);
    let answer = super::words::answer(desk.r, desk.route_conditions().len());
    vec![ink::says(if route_to_accept(desk) {
        format!(
            "The signature of {who} accepts the route \"{answer}\" for {id} {rev}, within the limits of use, and each of \
             the following risks by its own initials. It accepts nothing else."
        )
    } else {
        format!(
            "No route is put before {who} to accept: the answer for {id} {rev} is \"{answer}\". The signature says that \
             this was read and noted. It accepts no route and no risk."
        )
    })]
}

/// One paragraph per risk, each with its own line for initials; without initials where no route is to be accepted.
pub fn paragraphs(desk: &Desk) -> Vec<Block> {
    let risks = risks(desk);
    if !route_to_accept(desk) {
        if risks.is_empty() {
            return vec![ink::says("No condition, bridge, waiver, assumption or doubt is open.")];
        }
        let items = risks.into_iter().map(|r| r.words).collect();
        return vec![ink::says("Open today, for your knowledge; nothing here is to be accepted:"), ink::list(items)];
    }
    if risks.is_empty() {
        return vec![ink::says(
            "No residual risk is put before the customer: the route rests on no condition, bridge, waiver, assumption or open doubt.",
        )];
    }
    let mut out = Vec::new();
    for r in risks {
        let mut line = vec![strong(format!("{}. ", r.number))];
        line.extend(r.words);
        line.push(text(" Initials: ______"));
        out.push(Block::Paragraph(line));
    }
    out
}

/// Limits of use, as the signature accepts them.
pub fn limits(desk: &Desk) -> Vec<Block> {
    let mut items = super::waived::limits(desk);
    items.extend(desk.a.assembly.limits_of_use.iter().map(|l| vec![desk.at(l.text.clone(), l.at)]));
    ink::list_or(items, "No limit of use is stated beyond environment and life.")
}

/// The form for remarks; filled in when the whole document is known.
pub fn remarks(_: &Desk) -> Vec<Block> {
    vec![Block::Review(Review::default())]
}

/// People who may be expected to remark on the day of judgement, the customer's first: id, and how each is called.
pub fn reviewers(desk: &Desk) -> Vec<(String, String)> {
    let day = desk.assessment.as_of;
    let expected =
        |p: &&Person| (p.org == Org::Customer || !p.authority.is_empty()) && p.valid_from <= day && day <= p.valid_to;
    let mut all: Vec<&Person> = super::readers::concerned(desk.site, &desk.r.id).filter(expected).collect();
    all.sort_by_key(|p| p.org != Org::Customer);
    let called = |p: &Person| (p.id.text.clone(), format!("{}: {}, {} ({})", p.id, p.name, p.role, p.org));
    all.into_iter().map(called).collect()
}

/// A section by its title, with a link to it; by its name where the dossier has none of it.
fn section(name: &str, titles: &[(String, String)]) -> Cell {
    match titles.iter().find(|t| t.0 == name) {
        Some((name, title)) => vec![ink::to(name.clone(), title.clone())],
        None if name == "dossier" => cell("The dossier as a whole"),
        None => cell(name.to_string()),
    }
}

/// Remarks that are on file, the open ones first.
pub fn comments(desk: &Desk) -> Vec<Block> {
    let day = desk.assessment.as_of;
    let chapters =
        super::chapters::chapters(desk.site, &super::vocabulary::vocabulary(desk, "all")).unwrap_or_default();
    let titles: Vec<(String, String)> =
        chapters.into_iter().map(|c| (c.name, format!("{} {}", c.number, c.title).trim().to_string())).collect();
    let mut all: Vec<_> = desk.site.comments.iter().filter(|c| c.assembly.text == desk.r.id).collect();
    all.sort_by_key(|c| desk.site.open_because(c, day).is_none());
    let rows = all
        .iter()
        .map(|c| {
            let said = c.disposition.as_ref().map_or(String::new(), |d| format!("; {d}"));
            let standing = match (desk.site.open_because(c, day), &c.disposition, c.closed_on) {
                (Some(why), ..) => cell(format!("open: {why}{said}")),
                (None, Some(d), Some(on)) => {
                    let by = c.closed_by.as_ref().map_or(String::new(), |p| desk.person(p));
                    cell(format!("{} (closed by {by}, {on})", d.text))
                }
                (None, ..) => cell("nothing to do"),
            };
            vec![
                vec![desk.at(c.id.text.clone(), c.at)],
                cell(format!("{}, {}", desk.person(&c.by), c.raised_on)),
                section(&c.section.text, &titles),
                cell(c.decision.word()),
                cell(c.text.as_ref().map_or("none", |t| t.text.as_str()).to_string()),
                standing,
            ]
        })
        .collect();
    let none = "No reviewer has remarked on this dossier so far.";
    ink::table_or(
        "Remarks of reviewers",
        &["Id", "By", "Section", "Decision", "Remark", "What became of it"],
        &[],
        rows,
        none,
    )
}

/// Lines to sign on: one for each meaning, with the people who may sign it on the day of judgement.
pub fn signatures(desk: &Desk) -> Vec<Block> {
    let day = desk.assessment.as_of;
    let mut out = Vec::new();
    for (authority, role, meaning) in [
        ("prepare", "Prepared, manufacturer", "the content is complete as far as I know"),
        ("review", "Reviewed, manufacturer", "I checked the evidence against the claims"),
        if route_to_accept(desk) {
            ("approve", "Approved, manufacturer", "the route, its conditions and limits are approved")
        } else {
            ("approve", "Approved, manufacturer", "this account of what is open is approved for issue")
        },
        if route_to_accept(desk) {
            ("accept", "Accepted, customer", "the route, its conditions and the residual risks are accepted")
        } else {
            ("accept", "Read and noted, customer", "what is open was read; no route and no risk is accepted")
        },
    ] {
        let org = if authority == "accept" { Org::Customer } else { Org::Manufacturer };
        let people: Vec<String> = super::readers::signers(desk.site, &desk.r.id)
            .into_iter()
            .filter(|p| p.org == org && p.valid_from <= day && day <= p.valid_to)
            .filter(|p| p.authority.iter().any(|a| a.text == authority))
            .map(|p| format!("{} ({})", p.name, p.role))
            .collect();
        if people.is_empty() {
            out.push(Block::Caution(cell(format!("Nobody on file may {authority} for the {org} on {day}."))));
            continue;
        }
        out.push(Block::Signature {
            role: role.into(),
            name: people.join(", or "),
            meaning: format!("{meaning} (awaiting signature when this page was written)"),
        });
    }
    out
}
