//! Takes one claim of one assembly; gives why it is where it is, for a terminal and for machines.

use serde_json::{Value, json};

use super::desk::Desk;
use super::explain;
use super::ink;
use super::record;
use super::status::wrapped;
use super::words;
use crate::diag::nearest;
use crate::model::assessment::{Assessment, ClaimResult, GateEffect};
use crate::model::site::Site;
use crate::model::workings::Workings;

/// Name and version of the schema.
pub const SCHEMA: &str = "galipot.why/1";

fn find<'a>(
    site: &'a Site,
    workings: &'a Workings,
    assessment: &'a Assessment,
    assembly: &str,
    claim: &str,
) -> Result<(Desk<'a>, &'a ClaimResult), String> {
    let hint = |n: Option<&str>| n.map_or(String::new(), |n| format!("; did you mean {n}?"));
    let Some(desk) = Desk::new(site, workings, assessment, assembly) else {
        let known = assessment.assemblies.iter().map(|a| a.id.as_str());
        return Err(format!(
            "no assembly \"{}\" is on file{}",
            assembly.escape_debug(),
            hint(nearest(assembly, known))
        ));
    };
    match desk.claim(claim) {
        Some(c) => Ok((desk, c)),
        None => {
            let known = desk.r.claims.iter().map(|c| c.id.as_str());
            Err(format!("{assembly} has no claim \"{}\"{}", claim.escape_debug(), hint(nearest(claim, known))))
        }
    }
}

/// Width of the labels.
const LABEL: usize = 12;
/// Most input lines that a terminal shows.
const INPUTS: usize = 20;

/// One claim explained, 100 columns wide, without colour.
///
/// # Errors
/// When there is no such assembly or claim; the sentence names the nearest one.
pub fn human(
    site: &Site,
    workings: &Workings,
    assessment: &Assessment,
    assembly: &str,
    claim: &str,
) -> Result<String, String> {
    let (desk, c) = find(site, workings, assessment, assembly, claim)?;
    let mut out = if assessment.what_if { super::status::WHAT_IF.to_string() } else { String::new() };
    out.push_str(&format!("{} {}  {}  {} {}\n", c.id, c.title, desk.r.id, c.state.letter(), words::state(c.state)));
    let mut line = |label: &str, parts: &[String]| {
        let label = format!("  {label:<LABEL$} ");
        out.push_str(&wrapped(&label, label.chars().count(), parts, ""));
        out.push('\n');
    };
    line("Claim", std::slice::from_ref(&c.text));
    for (label, words) in explain::lines(&desk, c) {
        line(label, &[ink::plain(&words)]);
    }
    for p in c.places.iter().filter(|_| c.places.len() > 1) {
        let w = super::weakest::Weak { claim: c, place: p, decades: p.distance() };
        let margin = if p.margin.is_finite() && !(p.value == 0.0 && p.limit == 0.0) {
            format!(" margin {}", ink::plain(&super::weakest::margin(&w)))
        } else {
            String::new()
        };
        let run = if p.run.is_empty() { String::new() } else { format!(" {}", p.run) };
        line("at", &[format!("{} {}{margin}{run}: {}", p.place, p.state.letter(), p.text)]);
    }
    for child in desk.claims(c.tree).filter(|x| x.parent.as_deref() == Some(c.id.as_str())) {
        line(
            "rests on",
            &[format!("{} {} {}: {}", child.id, child.state.letter(), child.title, super::verdict::reason_line(child))],
        );
    }
    let inputs = explain::inputs(&desk, c);
    for (words, at, rows) in inputs.iter().take(INPUTS) {
        let more = if *rows > 1 { format!(" and on, {rows} rows") } else { String::new() };
        line("input", &[format!("{}{more}  {words}", desk.cite(*at))]);
    }
    if inputs.len() > INPUTS {
        line("input", &[format!("and {} more; --json lists all of them", inputs.len() - INPUTS)]);
    }
    Ok(out)
}

/// The same for machines: the claim with all its fields, the runs that speak to it with their verdicts and gates, the
/// coverage, the criteria and every input with file and line.
///
/// # Errors
/// As [`human`].
pub fn json(
    site: &Site,
    workings: &Workings,
    assessment: &Assessment,
    assembly: &str,
    claim: &str,
) -> Result<Value, String> {
    let (desk, c) = find(site, workings, assessment, assembly, claim)?;
    let mut ids: Vec<&str> = c.voices.iter().map(|v| v.run.as_str()).chain(c.runs.iter().map(String::as_str)).collect();
    for r in &site.runs {
        let (claims, assemblies) = site.targets(&r.run);
        if claims.iter().any(|x| x.text == c.id) && assemblies.iter().any(|x| x.text == desk.r.id) {
            ids.push(&r.run.id.text);
        }
    }
    for (_, p) in site.planned() {
        if p.claims.iter().any(|x| x.text == c.id) && p.assemblies.iter().any(|x| x.text == desk.r.id) {
            ids.push(&p.id.text);
        }
    }
    ids.sort_unstable();
    ids.dedup();
    let runs: Vec<Value> = ids
        .into_iter()
        .map(|id| {
            let mut run = record::run(&desk, id, desk.standing(id));
            // Here the verdict is on this claim, where the claim heard the run and the run counts.
            let heard = c.voices.iter().filter(|v| v.run == id).map(|v| v.verdict).min();
            let counts = desk.standing(id).is_some_and(|s| s.effect != GateEffect::Inadmissible);
            if let Some(v) = heard.filter(|_| counts) {
                run["verdict"] = json!(v.word());
            }
            run
        })
        .collect();
    let inputs: Vec<Value> = explain::inputs(&desk, c)
        .into_iter()
        .map(|(text, at, rows)| json!({"text": text, "at": desk.cite(at), "rows": rows}))
        .collect();
    let whole = record::coverage_of(&desk, &c.id);
    Ok(json!({
        "schema": SCHEMA,
        "as_of": assessment.as_of.to_string(),
        "what_if": assessment.what_if,
        "assembly": {"id": desk.r.id, "revision": desk.r.rev, "route": desk.r.route.word(), "state": desk.r.state.word()},
        "claim": record::claim(&desk, c),
        "next": super::next::step(&desk, c),
        "runs": runs,
        "coverage": whole,
        "criteria": record::criteria_of(&desk, c),
        "defeaters": record::defeaters_of(&desk, c),
        "children": desk.claims(c.tree).filter(|x| x.parent.as_deref() == Some(c.id.as_str()))
            .map(|x| Value::Object(record::claim_short(x))).collect::<Vec<_>>(),
        "inputs": inputs,
    }))
}
