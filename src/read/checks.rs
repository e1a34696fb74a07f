//! Takes a site whose records are read; reports fields that contradict each other, and claims that go in circles.

use super::names::Names;
use crate::diag::{At, Diagnostic, Log, Severity, codes, nearest};
use crate::model::Text;
use crate::model::assembly::{Environment, NetPair};
use crate::model::evidence::{Pattern, Run, RunKind};
use crate::model::governance::{Age, AuditKind, ClaimSpec, Condition, Criterion, Sense, TreeKind};
use crate::model::site::Site;

/// Hours of a year that climate bins must sum to.
const YEAR: f64 = 8760.0;

/// Runs all checks.
pub fn check(site: &Site, names: &Names, log: &mut Log) {
    site.environments.iter().for_each(|e| environment(e, log));
    site.assemblies.iter().flat_map(|a| &a.pairs).for_each(|p| pair(p, log));
    site.vehicles.iter().flat_map(|v| &v.pattern).for_each(|p| pattern(p, log));
    site.runs.iter().for_each(|r| run(&r.run, log));
    site.conditions.iter().for_each(|c| condition(c, log));
    site.criteria.iter().for_each(|c| criterion(c, site, log));
    site.ages.iter().for_each(|a| age(a, log));
    if !matches!(site.facts.regimes.as_slice(), [low, high] if low.si < high.si) {
        log.push(contradiction(
            "`regimes` must be two rising voltages".to_string(),
            "write two voltages, the lower one first, for example [\"10 V\", \"60 V\"]",
            site.facts.regimes.first().map_or(site.facts.at, |q| q.at),
            "not two rising voltages",
        ));
    }
    claims(&site.claims, names, log);
}

/// Evidence looks its age up by kind; a misspelt one would never be found.
fn age(a: &Age, log: &mut Log) {
    let audits: Vec<String> = AuditKind::WORDS.iter().map(|w| format!("{w}-audit")).collect();
    let words = || RunKind::WORDS.iter().copied().chain(audits.iter().map(String::as_str));
    if words().any(|w| w == a.kind.text) {
        return;
    }
    let hint = match nearest(&a.kind, words()) {
        Some(n) => format!("did you mean \"{n}\"?"),
        None => "name a kind of run such as sir, or of audit such as handling-audit".to_string(),
    };
    let text = format!("`kind` does not know the word \"{}\"", a.kind.escape_debug());
    log.push(Diagnostic::error(codes::UNKNOWN_WORD, text, hint).at(a.kind.at, "no kind of run or audit"));
}

fn contradiction(text: String, hint: &str, at: At, label: &str) -> Diagnostic {
    Diagnostic::error(codes::CONTRADICTION, text, hint).at(at, label)
}

fn environment(e: &Environment, log: &mut Log) {
    let bins: f64 = e.bin.iter().map(|b| b.hours.in_unit("h")).sum();
    let condensing = e.condensing.as_ref().map_or(0.0, |c| c.in_unit("h"));
    let sum = bins + condensing;
    if (sum - YEAR).abs() > 0.01 * YEAR {
        log.push(contradiction(
            format!(
                "the hours of environment {} sum to {}, not to a year of {YEAR}",
                e.id,
                (sum * 10.0).round() / 10.0
            ),
            "correct the hours of the bins, or `condensing`; together they make a year",
            e.id.at,
            "hours do not make a year",
        ));
    }
}

fn pair(p: &NetPair, log: &mut Log) {
    if p.v_peak.si < p.v_work.si {
        log.push(
            contradiction(
                format!("`v_peak` of {} is {}, below `v_work` {}", p.id, p.v_peak, p.v_work),
                "write the highest voltage in use, standby and transients included",
                p.v_peak.at,
                "lower than the working voltage",
            )
            .at(p.v_work.at, "working voltage"),
        );
    }
}

fn pattern(p: &Pattern, log: &mut Log) {
    let (Some(overlap), Some(gaps), Some(squares)) = (&p.overlap, &p.gaps, &p.squares) else { return };
    let computed = overlap.si * gaps.si / p.space.si;
    if (squares.si - computed).abs() > 0.02 * computed {
        log.push(contradiction(
            format!(
                "`squares` of {} is {}, and overlap x gaps / space gives {}",
                p.id,
                squares.written,
                (computed * 10.0).round() / 10.0
            ),
            "measure overlap, gaps and space on the layout, and correct the one that is wrong",
            squares.at,
            "more than 2 % off",
        ));
    }
}

fn run(r: &Run, log: &mut Log) {
    if r.start.hours_until(&r.end) <= 0.0 {
        log.push(contradiction(
            format!("the run {} ends at {} and starts at {}", r.id, r.end, r.start),
            "correct `start` or `end`; mind their offsets from UTC",
            r.id.at,
            "ends before it starts",
        ));
    }
    if r.excluded == Some(true) && (r.excluded_reason.is_none() || r.excluded_by.is_none() || r.excluded_on.is_none()) {
        log.push(contradiction(
            format!("the run {} is left out without `excluded_reason`, `excluded_by` and `excluded_on`", r.id),
            "write all three, or `excluded = false`",
            r.id.at,
            "left out without a reason",
        ));
    }
}

fn condition(c: &Condition, log: &mut Log) {
    let length = c.text.chars().count();
    if length > 160 {
        log.push(contradiction(
            format!(
                "the text of condition {} has {length} characters; a condition is one sentence of at most 160",
                c.id
            ),
            "shorten it; explanations belong into `note`",
            c.text.at,
            "too long",
        ));
    }
}

fn criterion(c: &Criterion, site: &Site, log: &mut Log) {
    match (c.operator, &c.upper) {
        (Sense::In, None) => log.push(contradiction(
            format!("the criterion {} is a range and has no `upper`", c.id),
            "write `upper`, or the operator ge or le",
            c.value.at,
            "lower end of a range without an upper end",
        )),
        (Sense::In, Some(u)) if u.dimension() != c.value.dimension() || u.si <= c.value.si => log.push(contradiction(
            format!("`upper` of criterion {} is {u}, and the range begins at {}", c.id, c.value),
            "write an upper end above the lower one, in the same dimension",
            u.at,
            "not above the lower end",
        )),
        (Sense::Ge | Sense::Le, Some(u)) => log.push(contradiction(
            format!("the criterion {} has `upper`, and its operator is {}", c.id, c.operator),
            "remove `upper`, or write the operator `in`",
            u.at,
            "only a range has an upper end",
        )),
        _ => {}
    }
    // A resistance below an ohm or above a peta-ohm is no limit on a board.
    let log_ohm = |q: &&crate::quantity::Quantity| q.unit.text().starts_with("log10 ohm");
    for q in [Some(&c.value), c.upper.as_ref()].into_iter().flatten().filter(log_ohm) {
        if !(0.0..=15.0).contains(&q.number()) {
            log.push(
                Diagnostic::error(
                    codes::OUT_OF_RANGE,
                    format!("the limit of {} is {}, outside 0 to 15 log10 ohm", c.id, q.written),
                    "write the decimal logarithm of the resistance in ohm: 8.0 log10 ohm is 100 Mohm",
                )
                .at(q.at, "not plausible"),
            );
        }
    }
    if !c.window.is_empty() && (c.window.len() != 2 || c.window[0].si >= c.window[1].si) {
        log.push(contradiction(
            format!("`window` of criterion {} is not a first and a last hour", c.id),
            "write two times, the first one earlier",
            c.window[0].at,
            "not two rising times",
        ));
    }
    let designs = || site.vehicles.iter().flat_map(|v| &v.pattern).map(|p| p.design.text.as_str());
    for g in &c.geometry {
        if !designs().any(|d| d == g.text) {
            let hint = match nearest(g, designs()) {
                Some(n) => format!("did you mean \"{n}\"?"),
                None => "name the `design` of a pattern, or remove it".to_string(),
            };
            let mut d = Diagnostic::error(
                codes::DANGLING_REFERENCE,
                format!("no pattern has the design \"{}\" that criterion {} names", g.escape_debug(), c.id),
                hint,
            )
            .at(g.at, "no such design");
            d.severity = Severity::Warning;
            log.push(d);
        }
    }
}

/// Parents exist in the same tree, form no circle, and every leaf has a rule.
fn claims(all: &[ClaimSpec], names: &Names, log: &mut Log) {
    for c in all {
        let tree = c.tree.word();
        if let Some(p) = c.parent.as_ref().filter(|p| !names.has_claim(tree, p)) {
            let hint = match nearest(p, names.claims(Some(tree))) {
                Some(n) => format!("did you mean `{n}`?"),
                None => format!("name a claim of the tree {tree}"),
            };
            log.push(
                Diagnostic::error(
                    codes::DANGLING_REFERENCE,
                    format!(
                        "the tree {tree} has no claim `{}`: claim {} -> parent -> {}",
                        p.escape_debug(),
                        c.id,
                        p.escape_debug()
                    ),
                    hint,
                )
                .at(p.at, "no such claim in this tree"),
            );
        }
        let has_children =
            all.iter().any(|x| x.tree == c.tree && x.parent.as_ref().is_some_and(|p| p.text == c.id.text));
        if !has_children && c.rule.is_none() {
            log.push(
                Diagnostic::error(
                    codes::MISSING_FIELD,
                    format!("the claim {} has neither sub-claims nor a `rule`", c.id),
                    "write `rule`, or claims whose parent it is",
                )
                .at(c.id.at, "nothing judges this claim"),
            );
        }
    }
    for tree in [TreeKind::Leave, TreeKind::Wash, TreeKind::Present] {
        let of: Vec<&ClaimSpec> = all.iter().filter(|c| c.tree == tree).collect();
        let mut told: Vec<&str> = Vec::new();
        for start in &of {
            let mut chain = vec![start.id.text.as_str()];
            let mut at = start.parent.as_ref();
            while let Some(Text { text, .. }) = at {
                if let Some(i) = chain.iter().position(|c| c == text) {
                    if i == 0 && !told.contains(&text.as_str()) {
                        told.extend(chain.iter());
                        chain.push(text);
                        log.push(
                            Diagnostic::error(
                                codes::CYCLE,
                                format!("claims are their own parents: {}", chain.join(" -> ")),
                                "give one of them another parent, or none",
                            )
                            .at(start.parent.as_ref().map_or(start.id.at, |p| p.at), "the circle closes here"),
                        );
                    }
                    break;
                }
                chain.push(text);
                at = of.iter().find(|c| c.id.text == *text).and_then(|c| c.parent.as_ref());
            }
        }
    }
}
