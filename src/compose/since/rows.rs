//! Takes what moved between two records; gives it in words, one row for each thing, for pages and terminals alike.

use serde_json::Value;

use super::words::{label, said, weight, words};
use crate::compose::desk::{claim_anchor, condition_anchor, criterion_anchor, run_anchor};
use crate::compose::ink;
use crate::model::changes::{Changes, Count, Course, Item, Move, Side, Topic, Way};

/// A row: what moved, how, and the particulars.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// fell, rose, moved, came, went.
    pub how: &'static str,
    pub kind: &'static str,
    pub who: String,
    /// Where a dossier speaks of it; empty when nowhere.
    pub anchor: String,
    pub title: String,
    /// State before and now, in one letter; empty for what has none.
    pub from: String,
    pub to: String,
    pub combines: bool,
    pub details: Vec<String>,
}

/// The rows of a topic, in order of consequence.
pub fn rows(c: &Changes, topic: Topic) -> Vec<Row> {
    let items = c.of(topic).filter(|i| i.kind != "result" && !repeats(c, i));
    let mut out: Vec<Row> = items.filter_map(|i| row(c, i)).collect();
    if topic == Topic::Evidence {
        out.extend(voices(c));
    }
    out
}

/// A place that moves exactly as the claim above it does, and for which the line of the claim is enough.
fn repeats(c: &Changes, i: &Item) -> bool {
    let claim = i.id.split(' ').next().unwrap_or_default();
    i.kind == "place"
        && i.way == Way::Changed
        && c.of(i.topic).any(|x| {
            let same = |m: &Move| x.moved(&m.name).is_some_and(|o| o.from == m.from && o.to == m.to);
            x.kind == "claim" && x.id == claim && i.moves.iter().all(same)
        })
}

fn how(i: &Item) -> &'static str {
    match (i.way, i.course, i.topic) {
        (Way::Added, ..) => "came",
        (Way::Removed, ..) => "went",
        (Way::Changed, Course::Worse, Topic::States | Topic::Numbers) => "fell",
        (Way::Changed, Course::Better, Topic::States | Topic::Numbers) => "rose",
        _ => "moved",
    }
}

/// The letter of a state, so that no page needs colour.
pub fn letter(v: &Value) -> &'static str {
    match v.as_str() {
        Some("contradicted") => "X",
        Some("not-yet") => "N",
        Some("with-conditions") => "C",
        Some("supported") => "S",
        Some("not-applicable") => "NA",
        _ => "none",
    }
}

/// Every page of a dossier says its revision, day and status: they are no news. What carries a claim, and why not, is told
/// where its state moved.
fn told_elsewhere(c: &Changes, i: &Item, m: &Move) -> bool {
    let name = m.name.as_str();
    match i.kind {
        "dossier" => ["document revision", "document status", "as_of"].contains(&name),
        "claim" if i.topic == Topic::Claims => {
            let carried = ["codes", "reasons", "runs", "conditions", "bridges", "waivers"].contains(&name);
            carried && c.of(Topic::States).any(|x| x.kind == "claim" && x.id == i.id)
        }
        _ => false,
    }
}

fn row(c: &Changes, i: &Item) -> Option<Row> {
    let stated = ["claim", "place", "route"].contains(&i.kind) && i.topic == Topic::States;
    let moves: Vec<&Move> =
        i.moves.iter().filter(|m| !(stated && m.name == "state" || told_elsewhere(c, i, m))).collect();
    if moves.is_empty() && !stated && i.way == Way::Changed {
        return None;
    }
    let state = i.moved("state").filter(|_| stated);
    let (from, to) = state.map_or((String::new(), String::new()), |m| (letter(&m.from).into(), letter(&m.to).into()));
    let mut details: Vec<String> = i.because.iter().map(|b| plainly(b)).collect();
    if i.combines {
        // Its reasons are those of the claims below it, which have rows of their own.
        details = i.because.iter().map(|b| b.split_once(": ").map_or(b.as_str(), |x| x.0).to_string()).collect();
        details.dedup();
    }
    match i.way {
        Way::Changed => {
            let mut moves = moves;
            moves.sort_by_key(|m| weight(&m.name));
            details.extend(moves.iter().map(|m| words(m, &i.unit)));
        }
        Way::Added | Way::Removed => {
            details.extend(told(i.kind).iter().filter_map(|n| i.moved(n)).filter_map(|m| particulars(m, i)));
        }
    }
    let anchor = match i.kind {
        "claim" | "place" => claim_anchor(i.id.split(' ').next().unwrap_or_default()),
        "run" => run_anchor(&i.id),
        "condition" => condition_anchor(&i.id),
        "criterion" => criterion_anchor(&i.id),
        _ => String::new(),
    };
    Some(Row {
        how: how(i),
        kind: i.kind,
        who: if i.kind == "place" { i.id.replacen(' ', " at ", 1) } else { i.id.clone() },
        anchor,
        title: i.title.clone(),
        from,
        to,
        combines: i.combines,
        details,
    })
}

/// A reason whose words begin with its own id, without saying it three times.
fn plainly(reason: &str) -> String {
    let Some((head, words)) = reason.split_once(": ") else { return reason.to_string() };
    let Some((code, detail)) = head.split_once('(').map(|(c, d)| (c, d.trim_end_matches(')'))) else {
        return reason.to_string();
    };
    match words.strip_prefix(detail) {
        Some(rest) if detail.contains(':') => format!("{code}: {}", rest.trim_start_matches([' ', ':'])),
        _ => reason.to_string(),
    }
}

/// What is told of a thing that came or went.
fn told(kind: &str) -> &'static [&'static str] {
    match kind {
        "condition" => &["limit", "owner", "due", "feed", "breach_action", "lacks"],
        "run" => &["kind", "verdict", "role", "first_failed"],
        "criterion" => &["operator", "value", "statistic", "standard", "edition", "clause", "standing"],
        "doubt" => &["claim", "severity", "status", "answer"],
        "assumption" => &["status", "owner", "review_on"],
        "remark" => &["section", "by", "decision", "disposition", "closed_on"],
        "bridge" => &["run", "claims", "dimensions", "expires"],
        "waiver" => &["claims", "limit_of_use", "to"],
        "replaced value" => &["old", "new"],
        "place" => &["state", "value", "limit", "margin"],
        "unused" => &["list"],
        _ => &[],
    }
}

fn particulars(m: &Move, i: &Item) -> Option<String> {
    let v = if i.way == Way::Added { &m.to } else { &m.from };
    let shown = said(v, &m.name, &i.unit);
    let nothing = shown.is_empty() || shown == "none" || shown == "nothing";
    (!nothing).then(|| format!("{} {shown}", label(&m.name)))
}

/// One row for each run whose readings say something else than before; those of runs that came or went are theirs.
fn voices(c: &Changes) -> Vec<Row> {
    let run = |i: &Item| i.id.split(' ').nth(1).unwrap_or_default().to_string();
    let all: Vec<&Item> = c.of(Topic::Evidence).filter(|i| i.kind == "result").collect();
    let mut runs: Vec<String> = Vec::new();
    for r in all.iter().map(|i| run(i)) {
        if !runs.contains(&r) {
            runs.push(r);
        }
    }
    let mut out = Vec::new();
    for r in runs {
        let of: Vec<&&Item> = all.iter().filter(|i| run(i) == r).collect();
        let number = |way: Way| of.iter().filter(|i| i.way == way).count();
        let mut details: Vec<String> = Vec::new();
        for (way, verb) in [(Way::Changed, "moved"), (Way::Added, "came"), (Way::Removed, "went")] {
            if number(way) > 0 {
                details.push(format!("{} {verb}", ink::many(number(way), "result", "results")));
            }
        }
        for i in of.iter().filter(|i| i.way == Way::Changed).take(2) {
            let moves: Vec<String> = i.moves.iter().map(|m| words(m, &i.unit)).collect();
            details.push(format!("{}: {}", i.id.replacen(&format!(" {r}"), "", 1), moves.join(", ")));
        }
        out.push(Row {
            how: "moved",
            kind: "result",
            anchor: run_anchor(&r),
            who: r,
            title: "what it says of claims".into(),
            from: String::new(),
            to: String::new(),
            combines: false,
            details,
        });
    }
    out
}

/// The heading of a topic.
pub fn heading(topic: Topic) -> &'static str {
    match topic {
        Topic::States => "States",
        Topic::Numbers => "Numbers",
        Topic::Conditions => "Conditions",
        Topic::Evidence => "Evidence",
        Topic::Criteria => "Criteria",
        Topic::Doubts => "Doubts, assumptions, bridges, waivers",
        Topic::Remarks => "Remarks of reviewers",
        Topic::Product => "Product and process",
        Topic::Claims => "Claims in other things than state and number",
        Topic::Coverage => "Coverage",
        Topic::Calculations => "Calculations",
        Topic::Inputs => "Input files",
        Topic::Program => "galipot itself",
        Topic::Other => "Parts that this version does not know",
    }
}

/// What was counted, in words: one of it, and several.
fn names(kind: &str) -> (&'static str, &'static str) {
    match kind {
        "state" => ("state of a claim", "states of claims"),
        "claim" => ("claim in all it says", "claims in all they say"),
        "place" => ("place of a claim", "places of claims"),
        "result" => ("result of a run", "results of runs"),
        "condition" => ("condition", "conditions"),
        "run" => ("run", "runs"),
        "criterion" => ("criterion", "criteria"),
        "doubt" => ("doubt", "doubts"),
        "assumption" => ("assumption", "assumptions"),
        "remark" => ("remark", "remarks"),
        "bridge" => ("bridge", "bridges"),
        "waiver" => ("waiver", "waivers"),
        "comparison" => ("comparison of coverage", "comparisons of coverage"),
        "critical place" => ("critical place", "critical places"),
        "calculation" => ("calculation", "calculations"),
        "file" => ("input file", "input files"),
        "built-in file" => ("built-in rule", "built-in rules"),
        "template" => ("chapter template", "chapter templates"),
        "replaced value" => ("replaced value", "replaced values"),
        _ => ("", ""),
    }
}

/// What was counted, in words; empty for what is told one by one.
pub fn plural(kind: &str) -> &'static str {
    names(kind).1
}

/// How much of what was counted did not move.
pub fn unmoved(n: &Count) -> String {
    let all = n.old.max(n.new);
    let (one, several) = names(n.kind);
    let noise = if n.within_noise > 0 { format!(" and {} within noise", n.within_noise) } else { String::new() };
    match (n.same == all, all) {
        (true, 1) => format!("the one {one}"),
        (true, _) => format!("all {all} {several}"),
        (false, 1) => format!("not the one {one}{noise}"),
        (false, _) if n.same == 0 => format!("none of {all} {several}{noise}"),
        (false, _) => format!("{} of {all} {several}{noise}", n.same),
    }
}

/// Where a revision stands: by its approvals where they are at hand, else by its record.
pub fn stands(s: &Side) -> &str {
    match (&s.stood, s.status.as_str()) {
        (Some(stood), _) => &stood.standing,
        // The word of records before the fourth format of bags.
        (None, "frozen for approval") => "candidate",
        (None, status) => status,
    }
}

/// Who rejected a revision, when and why, in a sentence.
pub fn rejected(s: &Side) -> Option<String> {
    let r = s.stood.as_ref()?.rejection.as_ref()?;
    let who = if r.name.is_empty() { r.person.clone() } else { format!("{} ({})", r.person, r.name) };
    let reason = if r.reason.is_empty() { "no reason given" } else { r.reason.trim_end_matches('.') };
    Some(format!("Revision {} was rejected by {who} on {}, in the role {}: {reason}.", s.revision, r.on, r.role))
}

/// What a reader calls one of the two: a revision, or a draft by its day and, where that is not enough, by its record.
pub fn called(c: &Changes, s: &Side) -> String {
    let drafted = |s: &Side| ["draft", "what-if"].contains(&s.status.as_str());
    let same_day = c.old.as_of == c.new.as_of && c.old.status == c.new.status;
    match drafted(s) {
        false => format!("revision {}", s.revision),
        true if same_day => format!("the {} of {} with record {:.8}", s.status, s.as_of, s.record),
        true => format!("the {} of {}", s.status, s.as_of),
    }
}

/// Route, claims that fell and rose, in one or two sentences.
pub fn summary(c: &Changes) -> String {
    let n = |way: Way, course: Option<Course>| {
        let fits = |i: &&Item| i.kind == "claim" && i.way == way && course.is_none_or(|c| c == i.course);
        c.of(Topic::States).filter(fits).count()
    };
    let under = |s: &Side| match s.waivers.as_slice() {
        [] => s.route.clone(),
        ids => format!("{} under {}", s.route, crate::compose::words::waivers_named(ids)),
    };
    let route = if under(&c.old) == under(&c.new) {
        format!("The route stays {}.", under(&c.new))
    } else {
        format!("The route moves from {} to {}.", under(&c.old), under(&c.new))
    };
    let parts: Vec<String> = [
        (n(Way::Changed, Some(Course::Worse)), "fell"),
        (n(Way::Changed, Some(Course::Better)), "rose"),
        (n(Way::Changed, Some(Course::Neither)), "moved to or from not applicable"),
        (n(Way::Added, None), "came"),
        (n(Way::Removed, None), "went"),
    ]
    .into_iter()
    .filter(|p| p.0 > 0)
    .map(|(n, verb)| format!("{} {verb}", ink::many(n, "claim", "claims")))
    .collect();
    if parts.is_empty() {
        format!("{route} No claim moved its state.")
    } else {
        format!("{route} {}.", parts.join(", "))
    }
}
