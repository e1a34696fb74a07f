//! Takes a judged claim; gives the next step: what each reason asks for, and the usual levers where they help.

use super::desk::Desk;
use crate::model::assessment::{ClaimResult, Code, Reason, State};
use crate::model::governance::{AuditKind, Per};

/// Most steps that one line names.
const MOST: usize = 4;

/// The next step of a claim, one line.
pub fn step(desk: &Desk, c: &ClaimResult) -> String {
    match c.state {
        State::Supported | State::NotApplicable => return "none needed".into(),
        State::WithConditions if !c.conditions.is_empty() => return format!("keep {}", c.conditions.join(", ")),
        _ => {}
    }
    if !c.leaf {
        let counts =
            |x: &ClaimResult| x.after_issue == c.after_issue && desk.spec(x).is_none_or(|s| s.optional != Some(true));
        let below = desk
            .claims(c.tree)
            .filter(|x| x.parent.as_deref() == Some(c.id.as_str()) && x.state == c.state && counts(x));
        let ids: Vec<&str> = below.map(|x| x.id.as_str()).collect();
        return if ids.is_empty() { "see its reasons".into() } else { format!("close {}", ids.join(", ")) };
    }
    let lever = desk.spec(c).and_then(|s| s.lever.as_ref()).map(|l| l.text.as_str());
    let mut steps: Vec<String> = Vec::new();
    let mut add = |s: String| {
        if !steps.contains(&s) {
            steps.push(s);
        }
    };
    let covers: Vec<&str> = c.reasons.iter().filter(|r| uncovered(r)).map(|r| r.detail.as_str()).collect();
    if !covers.is_empty() {
        let mut ks: Vec<&str> = covers.iter().flat_map(|d| d.split(',')).collect();
        ks.sort_by_key(|k| k[1..].parse::<u32>().unwrap_or(0));
        ks.dedup();
        add(format!("a test that covers {}", ks.join(", ")));
    }
    c.reasons.iter().filter_map(|r| asks(desk, c, r)).for_each(&mut add);
    let pulls = c.reasons.is_empty() || c.reasons.iter().any(|r| !uncovered(r) && asks_for(r, "").is_none());
    if let Some(l) = lever.filter(|_| pulls) {
        add(l.to_string());
    } else if pulls {
        add("provide what is missing".into());
    }
    let more = steps.len().saturating_sub(MOST);
    steps.truncate(MOST);
    let mut out = steps.join("; ");
    if more > 0 {
        out.push_str(&format!("; and {more} more"));
    }
    out
}

/// A reason that names dimensions of coverage.
fn uncovered(r: &Reason) -> bool {
    let dimension = |k: &str| k.strip_prefix('K').is_some_and(|n| n.parse::<u32>().is_ok());
    r.code == Code::NotCovered && r.detail.split(',').all(dimension)
}

/// As [`asks_for`], with what the site knows of the gate or the audit that a reason names.
fn asks(desk: &Desk, c: &ClaimResult, r: &Reason) -> Option<String> {
    if r.code == Code::OpenDefeater {
        if let Some(a) = desk.site.audits.iter().find(|a| a.id.text == r.detail) {
            let again = format!("then make another {} audit", a.kind);
            return Some(format!("remove what {} found and date its closing (`closed_on`); {again}", a.id));
        }
        let doubt =
            if desk.site.run(&r.detail).is_some() { format!("DF5:{}:{}", c.id, r.detail) } else { r.detail.clone() };
        return Some(format!("answer {doubt} with an `[[answer]]`, in register/"));
    }
    let place = r.at.map(|at| desk.cite(at)).unwrap_or_default();
    asks_for(r, &place)
}

/// What a gate asks for when a run did not pass it; `place` is where the file is listed.
fn gate(name: &str, place: &str) -> Option<String> {
    Some(match name {
        "G1" if place.is_empty() => {
            "put back the file as registered in run.toml, or register the new one with the reason".into()
        }
        "G1" => format!("put back the file as registered in {place}, or register the new one with the reason"),
        "G2" => "plan it in a protocol that is signed before the start, then repeat it".into(),
        "G3" => "repeat it in a laboratory whose scope covers method, edition and dates".into(),
        "G4" => "repeat it with instruments whose calibration brackets the run".into(),
        "G5" => "repeat it with the chamber inside its tolerance, dry, and logged".into(),
        "G6" => "repeat it with controls that stay high, and failing ones that fail".into(),
        "G7" => "state and register materials, revisions and lots of its builds, or repeat it with known ones".into(),
        "G8" => "repeat it on boards with the wash history that the claim speaks of".into(),
        "G9" => "repeat it with readings as close together as agreed, and a ceiling a decade above the limit".into(),
        "G10" => "report every planned channel, or repeat it".into(),
        "G11" => "let somebody who did not build check the analysis".into(),
        "G12" => "repeat it: it is too old".into(),
        _ => return None,
    })
}

/// What a reason asks for by itself; none where only the lever of the claim helps. `place` is where it points.
fn asks_for(r: &Reason, place: &str) -> Option<String> {
    let what = |verb: &str| Some(if r.detail.is_empty() { verb.to_string() } else { format!("{verb} {}", r.detail) });
    match r.code {
        Code::Planned | Code::UnreportedRun => what("report"),
        Code::CriterionMissing => Some("agree a limit with the customer, in criteria/".into()),
        Code::CriterionAfterData => Some(format!("plan and sign first, then repeat {}", r.detail)),
        Code::Inadmissible => gate(&r.detail, place).or_else(|| what("repeat")),
        Code::ExpiredAge => what("repeat"),
        Code::OpenDefeater => what("answer"),
        Code::Assumption => what("review"),
        Code::ConditionIncomplete => what("complete"),
        Code::ConditionConflict | Code::TooManyConditions => Some("drop or change a condition".into()),
        Code::LotMismatch => Some("test more lots".into()),
        Code::AwaitingSignature => Some("sign".into()),
        Code::Missing if AuditKind::from_word(&r.detail).is_some() => Some(format!("make a {} audit", r.detail)),
        Code::Missing if Per::from_word(&r.detail).is_some() => {
            Some("list such places, or state with proof that there are none".into())
        }
        Code::AcceptedRisk => Some(format!("evidence before {} ends", r.detail)),
        Code::ExpiredChange
        | Code::InputEstimated
        | Code::NotCovered
        | Code::Missing
        | Code::NotShown
        | Code::Marginal
        | Code::Conflict => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reason(code: Code, detail: &str) -> Reason {
        Reason { code, detail: detail.into(), text: String::new(), at: None }
    }

    #[test]
    fn a_reason_asks_for_what_would_close_it() {
        assert_eq!(asks_for(&reason(Code::Planned, "RUN-003"), "").as_deref(), Some("report RUN-003"));
        assert_eq!(asks_for(&reason(Code::Missing, "rework"), "").as_deref(), Some("make a rework audit"));
        assert_eq!(asks_for(&reason(Code::NotShown, "RUN-003"), ""), None);
        let altered = asks_for(&reason(Code::Inadmissible, "G1"), "runs/RUN-003/run.toml:41").expect("a step");
        assert!(altered.starts_with("put back the file as registered in runs/RUN-003/run.toml:41"), "{altered}");
        for n in 1..=12 {
            let step = asks_for(&reason(Code::Inadmissible, &format!("G{n}")), "").expect("a step");
            assert!(!step.contains(&format!("repeat G{n}")), "{step}");
        }
        assert!(uncovered(&reason(Code::NotCovered, "K7,K9")));
        assert!(!uncovered(&reason(Code::NotCovered, "layout")) && !uncovered(&reason(Code::Planned, "K7")));
    }
}
