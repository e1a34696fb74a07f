//! Takes a claim of both records; says why its state moved: reasons, runs and conditions that came or went.

use serde_json::Value;

use super::shape::{Entry, Things};

/// Members of a set of texts.
fn set<'a>(e: &'a Entry, field: &str) -> Vec<&'a str> {
    e.get(field).as_array().into_iter().flatten().filter_map(Value::as_str).collect()
}

fn only<'a>(here: &[&'a str], there: &[&str]) -> Vec<&'a str> {
    here.iter().filter(|x| !there.contains(x)).copied().collect()
}

/// Code and detail of a reason, without its words.
fn code(reason: &str) -> &str {
    reason.split_once(": ").map_or(reason, |r| r.0)
}

/// Reasons that stand beside a claim whatever its readings say: they are told last.
const ASIDE: [&str; 3] = ["INADMISSIBLE", "PLANNED", "UNREPORTED_RUN"];

/// What runs say now, then what came, then what went.
pub fn because(old: &Entry, new: &Entry, voices: (&Things, &Things)) -> Vec<String> {
    let mut out = verdicts(&new.id, voices);
    let (was, mut is) = (set(old, "reasons"), set(new, "reasons"));
    is.sort_by_key(|r| ASIDE.iter().any(|c| code(r).starts_with(c)));
    let (was_codes, is_codes): (Vec<&str>, Vec<&str>) =
        (was.iter().map(|r| code(r)).collect(), is.iter().map(|r| code(r)).collect());
    for r in is.iter().filter(|r| !was_codes.contains(&code(r))) {
        if !out.iter().any(|o: &String| code(o) == code(r)) {
            out.push((*r).to_string());
        }
    }
    for (field, word) in [("runs", ""), ("conditions", "condition "), ("bridges", "bridge "), ("waivers", "waiver ")] {
        let (was, is) = (set(old, field), set(new, field));
        out.extend(only(&is, &was).into_iter().map(|x| format!("{word}{x} carries it now")));
        out.extend(only(&was, &is).into_iter().map(|x| format!("{word}{x} no longer carries it")));
    }
    let mut gone: Vec<&str> = was_codes.iter().filter(|c| !is_codes.contains(c)).copied().collect();
    gone.dedup();
    out.extend(gone.into_iter().map(|c| format!("no longer {c}")));
    if out.is_empty() {
        out.extend(is.iter().map(|r| (*r).to_string()));
    }
    out
}

/// Runs that say something else of a claim than before, or for the first time, or no longer.
fn verdicts(claim: &str, (old, new): (&Things, &Things)) -> Vec<String> {
    let worst = |things: &Things| {
        let prefix = format!("{claim} ");
        let mut out: Vec<(String, String)> = Vec::new();
        for e in things.range(prefix.clone()..).take_while(|t| t.0.starts_with(&prefix)).flat_map(|t| t.1) {
            let (run, verdict) = (e.text("run").to_string(), e.text("verdict").to_string());
            match out.iter_mut().find(|o| o.0 == run) {
                Some(o) if rank(&verdict) < rank(&o.1) => o.1 = verdict,
                Some(_) => {}
                None => out.push((run, verdict)),
            }
        }
        out
    };
    let (was, is) = (worst(old), worst(new));
    let mut out = Vec::new();
    for (run, verdict) in &is {
        match was.iter().find(|w| w.0 == *run) {
            None => out.push(format!("{run} came: {verdict}")),
            Some(w) if w.1 != *verdict => out.push(format!("{run}: {} -> {verdict}", w.1)),
            Some(_) => {}
        }
    }
    out.extend(was.iter().filter(|w| !is.iter().any(|i| i.0 == w.0)).map(|w| format!("{} went", w.0)));
    out
}

/// Verdicts from the worst up; what is no verdict on the merits stands between.
pub fn rank(verdict: &str) -> usize {
    ["fail", "inadmissible", "not-shown", "marginal", "planned", "informative", "pass"]
        .iter()
        .position(|v| *v == verdict)
        .unwrap_or(4)
}
