//! The doubts that galipot raises by itself, those that people raise, and what their answers are worth.

mod people;
mod process;
mod tests;

use crate::diag::At;
use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::model::assessment::{ClaimResult, Code, Defeater, DefeaterStatus, State, Verdict};
use crate::model::governance::{Answer, DoubtKind, DoubtStatus, Org, Severity};

/// A doubt before it is answered.
pub struct Raised {
    /// DF1 to DF26; a gate (G5...) for a small departure of a run; "" for a person's doubt.
    pub standard: &'static str,
    pub claim: String,
    /// What it is about: a run, a zone, a part.
    pub subject: String,
    pub severity: Severity,
    pub kind: DoubtKind,
    pub text: String,
    pub at: Option<At>,
    /// Id of a person's doubt.
    pub own_id: Option<String>,
}

impl Raised {
    fn new(
        standard: &'static str,
        claim: &str,
        subject: &str,
        severity: Severity,
        text: String,
        at: Option<At>,
    ) -> Self {
        Self {
            standard,
            claim: claim.to_string(),
            subject: subject.to_string(),
            severity,
            kind: DoubtKind::Undercut,
            text,
            at,
            own_id: None,
        }
    }

    /// The id that the dossier prints and that an answer names; it stays while its cause stands.
    pub fn id(&self) -> String {
        match &self.own_id {
            Some(id) => id.clone(),
            None => format!("{}:{}:{}", self.standard, self.claim, self.subject),
        }
    }
}

type Source = fn(&Case, &[ClaimResult], &mut Vec<Raised>);

const SOURCES: &[Source] = &[
    tests::df1_cleaner_vehicle,
    tests::df2_lots,
    tests::df3_control_shift,
    tests::df4_ceiling,
    tests::df5_fails,
    tests::df15_coating_masks,
    tests::df16_seller,
    tests::df19_fresh_residue,
    tests::df20_copies,
    tests::df21_photos,
    tests::df22_balance,
    tests::df23_expired_lot,
    tests::df24_single_support,
    tests::df25_bridges,
    tests::small_departures,
    process::df6_blanks,
    process::df7_wipes,
    process::df8_gaps,
    process::df9_field,
    process::df10_standby,
    process::df11_feeds,
    process::df12_holes,
    process::df13_rework,
    process::df14_softening,
    process::df17_field_record,
    process::df18_newer_layout,
    process::df26_approval,
    process::changes,
    people::doubts,
];

/// Raises every doubt, weighs its answer, and lowers the claims that it touches.
pub fn hold(case: &Case, claims: &mut [ClaimResult]) -> Vec<Defeater> {
    let mut raised = Vec::new();
    for source in SOURCES {
        source(case, claims, &mut raised);
    }
    let mut seen: Vec<String> = Vec::new();
    raised.retain(|r| {
        let id = r.id();
        let new = !seen.contains(&id);
        seen.push(id);
        new
    });
    // Answers that lean on claims look at the states before any doubt lowered them.
    let before: Vec<(String, State)> = claims.iter().map(|c| (c.id.clone(), c.state)).collect();
    let weighed: Vec<(Raised, Defeater)> = raised.into_iter().map(|r| weigh(case, r, &before)).collect();
    for (r, d) in &weighed {
        apply(case, r, d, claims);
    }
    weighed.into_iter().map(|(_, d)| d).collect()
}

fn weigh(case: &Case, r: Raised, before: &[(String, State)]) -> (Raised, Defeater) {
    let id = r.id();
    let answer =
        case.site().answers.iter().find(|a| a.doubt.text == id && a.assemblies.iter().any(|x| x.text == case.id()));
    let mut d = Defeater {
        id,
        standard: r.standard,
        claim: r.claim.clone(),
        severity: r.severity,
        text: r.text.clone(),
        status: if r.severity == Severity::Note { DefeaterStatus::Noted } else { DefeaterStatus::Open },
        answer: String::new(),
        answered_by: String::new(),
        at: r.at,
    };
    if let Some(a) = answer {
        let (status, words) = worth(case, a, &r, before);
        d.status = status;
        d.answer = words;
        d.answered_by = format!("{}, {}", a.by, a.on);
    }
    (r, d)
}

/// What an answer is worth: a refutation needs evidence that itself holds, an acceptance a customer's name.
fn worth(case: &Case, a: &Answer, r: &Raised, before: &[(String, State)]) -> (DefeaterStatus, String) {
    let open = |why: String| (DefeaterStatus::Open, format!("{} (the answer does not hold: {why})", a.text));
    if a.on > case.court.as_of() {
        return open(format!("it is dated {}", a.on));
    }
    match a.status {
        DoubtStatus::Open => open("it says so itself".into()),
        DoubtStatus::Confirmed => (DefeaterStatus::Confirmed, a.text.text.clone()),
        DoubtStatus::Accepted => {
            let by = case.site().person(&a.by);
            let customer = by.is_some_and(|p| {
                p.org == Org::Customer && p.authority.iter().any(|x| x.text == "accept" || x.text == "waive")
            });
            let waived = a.waiver.as_ref().is_some_and(|w| super::waivers::in_force(case, w));
            if customer || waived {
                (DefeaterStatus::Accepted, a.text.text.clone())
            } else {
                open("only a customer with the authority can accept a doubt".into())
            }
        }
        DoubtStatus::Refuted => {
            if a.evidence.is_empty() {
                return open("it names no evidence".into());
            }
            for e in &a.evidence {
                if e.text != r.subject && !holds(case, e, before) {
                    return open(format!("{e} does not hold"));
                }
            }
            (DefeaterStatus::Refuted, a.text.text.clone())
        }
    }
}

/// Whether a piece of evidence that an answer names holds by itself.
fn holds(case: &Case, id: &str, before: &[(String, State)]) -> bool {
    if let Some(s) = case.court.standings.get(id) {
        return s.role == "used" && matches!(s.verdict, Verdict::Pass);
    }
    if let Some(c) = case.site().condition(id) {
        return c.assembly.text == case.id() && case.is_complete(c);
    }
    if let Some(a) = case.site().audits.iter().find(|a| a.id.text == id) {
        return a.date <= case.court.as_of() && a.assemblies.iter().any(|x| x.text == case.id());
    }
    if case.site().sources.find(id).is_some() {
        return true;
    }
    before.iter().any(|(c, s)| c == id && matches!(s, State::WithConditions | State::Supported))
}

fn apply(case: &Case, r: &Raised, d: &Defeater, claims: &mut [ClaimResult]) {
    for c in claims.iter_mut().filter(|c| c.leaf && c.id == d.claim && c.state != State::NotApplicable) {
        c.defeaters.push(d.id.clone());
        match (d.status, d.severity) {
            (DefeaterStatus::Noted | DefeaterStatus::Refuted, _) => {}
            (DefeaterStatus::Confirmed, _) if r.kind == DoubtKind::Rebut => {
                c.reason(Code::Conflict, d.id.clone(), format!("confirmed: {}", d.text), d.at);
                c.cap(State::Contradicted);
            }
            (DefeaterStatus::Confirmed, _) => {
                c.reason(Code::OpenDefeater, d.id.clone(), format!("confirmed: {}", d.text), d.at);
                c.cap(State::NotYet);
            }
            (DefeaterStatus::Accepted, _) => {
                c.cap(State::WithConditions);
                let to = case
                    .site()
                    .waivers
                    .iter()
                    .filter(|w| w.assembly.text == case.id() && w.claims.iter().any(|x| x.text == c.id))
                    .map(|w| w.to)
                    .min();
                earlier(&mut c.valid_until, &mut c.valid_until_from, to, || "waiver".into());
            }
            (DefeaterStatus::Open, Severity::Note) => {}
            (DefeaterStatus::Open, Severity::Minor) => {
                c.reason(Code::OpenDefeater, d.id.clone(), format!("{} {}", d.id, d.text), d.at);
                let closing = case.answering(&c.id.clone(), &d.id).filter(|x| case.is_complete(x));
                match closing {
                    Some(x) => {
                        c.rests_on(case, &x.id.text);
                        c.cap(State::WithConditions);
                    }
                    None => c.cap(State::NotYet),
                }
            }
            (DefeaterStatus::Open, Severity::Major) => {
                let by_condition =
                    case.answering(&c.id.clone(), &d.id).or_else(|| case.answering(&c.id.clone(), &r.subject));
                match by_condition.filter(|x| d.standard == "DF5" && case.is_complete(x)) {
                    // A fail on something harsher is argued by the limit that keeps the product milder.
                    Some(x) => {
                        c.rests_on(case, &x.id.text);
                        c.cap(State::WithConditions);
                    }
                    None => {
                        c.reason(Code::OpenDefeater, d.id.clone(), format!("{} {}", d.id, d.text), d.at);
                        c.cap(State::NotYet);
                    }
                }
            }
        }
    }
}
