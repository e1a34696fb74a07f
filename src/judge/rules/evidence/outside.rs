//! Takes a failed run; gives the state of the argument that its cause lies outside the claimed process.

use crate::judge::court::Case;
use crate::model::assessment::Verdict;
use crate::model::evidence::Run;

/// State of the argument that the cause of a fail lies outside the claimed process.
pub(super) enum Outside {
    None,
    Incomplete(Vec<&'static str>),
    Argued(String),
}

pub(super) fn outside_cause(case: &Case, claim: &str, run: &str) -> Outside {
    let Some(o) = case
        .site()
        .outside_causes
        .iter()
        .find(|o| o.run.text == run && o.assembly.text == case.id() && o.claims.iter().any(|c| c.text == claim))
    else {
        return Outside::None;
    };
    let as_of = case.court.as_of();
    let mut lacks = Vec::new();
    if o.proof.is_none() {
        lacks.push("a proof of the cause");
    }
    let condition = o
        .condition
        .as_ref()
        .and_then(|c| case.site().condition(c))
        .filter(|c| c.assembly.text == case.id() && case.is_complete(c));
    if condition.is_none() {
        lacks.push("a complete condition");
    }
    let failed = case.site().run(run).map(|r| &r.run);
    let repeated = o.repeat.as_ref().is_some_and(|r| {
        let later = |x: &Run| failed.is_some_and(|f| x.kind == f.kind && x.start.day >= f.end.day);
        case.court.standings.get(r.text.as_str()).is_some_and(|s| s.verdict == Verdict::Pass && s.role == "used")
            && case.runs(claim).iter().any(|x| x.run.id.text == r.text && later(&x.run))
    });
    if !repeated {
        lacks.push("a repeat that was planned and passed");
    }
    let accepted = matches!((&o.accepted_by, o.accepted_on), (Some(by), Some(on))
        if on <= as_of && case.customer_signs(by, on, &["accept"]));
    if !accepted {
        lacks.push("the acceptance of the customer's engineer");
    }
    match (lacks.is_empty(), condition) {
        (true, Some(c)) => Outside::Argued(c.id.text.clone()),
        _ => Outside::Incomplete(lacks),
    }
}
