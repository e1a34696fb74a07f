//! The doubts that galipot raises by itself, those that people raise, and what their answers are worth.

mod answers;
mod fails;
mod people;
mod process;
mod tests;

use crate::diag::At;
use crate::judge::conditions::earlier;
use crate::judge::court::Case;
use crate::judge::finding::Write;
use crate::judge::waivers;
use crate::model::assessment::{ClaimResult, Code, Defeater, DefeaterStatus, State};
use crate::model::governance::{DoubtKind, Severity};
use answers::{waiver_of, weigh};

/// A doubt before it is answered.
#[derive(Clone)]
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
    fails::df5_fails,
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

/// Doubts with what became of them.
pub struct Held {
    weighed: Vec<(Raised, Defeater)>,
}

/// Raises every doubt, weighs its answer, and lowers the leaves that doubts, assumptions and conditions touch.
///
/// An answer may lean on another claim. Such a claim must hold after everything else has been taken off it, and two
/// answers can't hold each other up: in the beginning no claim is taken to hold, and only what holds without the
/// others is added, until nothing more is.
pub fn hold(case: &Case, leaves: &mut [ClaimResult]) -> Held {
    let mut raised: Vec<Raised> = Vec::new();
    for source in SOURCES {
        let mut new = Vec::new();
        source(case, leaves, &mut new);
        for r in new {
            gather(&mut raised, r);
        }
    }
    let clean = leaves.to_vec();
    let mut holding: Vec<String> = Vec::new();
    loop {
        let held = Held { weighed: raised.iter().map(|r| (r.clone(), weigh(case, r, &clean, &holding))).collect() };
        leaves.clone_from_slice(&clean);
        for leaf in leaves.iter_mut() {
            held.apply(case, leaf);
            waivers::apply_assumptions(case, leaf);
            waivers::attach_conditions(case, leaf);
            super::not_beyond_its_day(case, leaf);
        }
        let now: Vec<String> = leaves
            .iter()
            .filter(|l| matches!(l.state, State::WithConditions | State::Supported))
            .map(|l| l.id.clone())
            .collect();
        if now == holding {
            return held;
        }
        holding = now;
    }
}

/// Adds a doubt; one with the same id says both things, so that an answer to one is not taken for both unseen.
fn gather(raised: &mut Vec<Raised>, r: Raised) {
    let id = r.id();
    match raised.iter_mut().find(|x| x.id() == id) {
        None => raised.push(r),
        Some(x) => {
            if !x.text.contains(&r.text) {
                x.text = format!("{}; and {}", x.text, r.text);
            }
            // Major stands before minor and note.
            x.severity = x.severity.min(r.severity);
        }
    }
}

impl Held {
    /// Lowers a claim by the doubts that name it. Where a claim does not apply, only a person can doubt that.
    pub fn apply(&self, case: &Case, c: &mut ClaimResult) {
        for (r, d) in &self.weighed {
            if d.claim == c.id && (c.state != State::NotApplicable || r.own_id.is_some()) {
                apply(case, r, d, c);
            }
        }
    }

    pub fn into_defeaters(self) -> Vec<Defeater> {
        self.weighed.into_iter().map(|(_, d)| d).collect()
    }
}

fn apply(case: &Case, r: &Raised, d: &Defeater, c: &mut ClaimResult) {
    c.defeaters.push(d.id.clone());
    let code = if d.standard == "EXPIRED_CHANGE" { Code::ExpiredChange } else { Code::OpenDefeater };
    // The code says already what kind of doubt it is.
    let detail = if d.standard == "EXPIRED_CHANGE" { r.subject.clone() } else { d.id.clone() };
    match (d.status, d.severity) {
        (DefeaterStatus::Noted | DefeaterStatus::Refuted, _) => {}
        (DefeaterStatus::Confirmed, _) if r.kind == DoubtKind::Rebut => {
            c.reason(Code::Conflict, d.id.clone(), format!("confirmed: {}", d.text), d.at);
            c.cap(State::Contradicted);
        }
        (DefeaterStatus::Confirmed, _) => {
            c.reason(code, detail, format!("confirmed: {}", d.text), d.at);
            c.cap(State::NotYet);
        }
        // A note holds nothing down, so neither does its acceptance.
        (DefeaterStatus::Accepted | DefeaterStatus::Open, Severity::Note) => {}
        (DefeaterStatus::Accepted, _) => {
            c.cap(State::WithConditions);
            if let Some(w) = waiver_of(case, d).filter(|w| !c.waivers.contains(w)) {
                c.waivers.push(w);
            }
            let to = case
                .site()
                .waivers
                .iter()
                .filter(|w| w.assembly.text == case.id() && w.claims.iter().any(|x| x.text == c.id))
                .map(|w| w.to)
                .min();
            earlier(&mut c.valid_until, &mut c.valid_until_from, to, || "waiver".into());
        }
        (DefeaterStatus::Open, severity) => {
            let id = c.id.clone();
            let mut closing = case.answering(&id, &d.id);
            // A fail on something harsher is argued by the limit that keeps the product milder.
            if severity == Severity::Major {
                closing = closing.or_else(|| case.answering(&id, &r.subject)).filter(|_| d.standard == "DF5");
            }
            match closing.filter(|x| case.is_complete(x)) {
                Some(x) => {
                    if severity == Severity::Minor {
                        c.reason(code, detail, format!("{} {}", d.id, d.text), d.at);
                    }
                    c.rests_on(case, &x.id.text);
                    c.cap(State::WithConditions);
                }
                None => {
                    c.reason(code, detail, format!("{} {}", d.id, d.text), d.at);
                    c.cap(State::NotYet);
                }
            }
        }
    }
}
