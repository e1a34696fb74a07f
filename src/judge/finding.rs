//! A claim result while it is being written: helpers that keep state, reasons and places together.

use crate::diag::At;
use crate::judge::court::Case;
use crate::model::assessment::{ClaimResult, Code, PlaceResult, Reason, State};
use crate::model::governance::ClaimSpec;

/// An empty result of a claim: supported by nothing yet.
pub fn blank(spec: &ClaimSpec) -> ClaimResult {
    ClaimResult {
        id: spec.id.text.clone(),
        tree: spec.tree,
        parent: spec.parent.as_ref().map(|p| p.text.clone()),
        title: spec.title.text.clone(),
        text: spec.text.text.clone(),
        rule: match (&spec.rule, spec.combine) {
            (Some(r), _) => r.text.clone(),
            (None, Some(c)) => c.word().to_string(),
            (None, None) => String::new(),
        },
        leaf: spec.rule.is_some(),
        after_issue: spec.after_issue == Some(true),
        state: State::NotYet,
        reasons: Vec::new(),
        value: f64::NAN,
        limit: f64::NAN,
        guard: f64::NAN,
        margin: f64::NAN,
        unit: String::new(),
        n: 0,
        statistic: String::new(),
        criterion: String::new(),
        place: String::new(),
        places: Vec::new(),
        runs: Vec::new(),
        voices: Vec::new(),
        conditions: Vec::new(),
        assumptions: Vec::new(),
        bridges: Vec::new(),
        waivers: Vec::new(),
        defeaters: Vec::new(),
        valid_until: None,
        valid_until_from: String::new(),
        next_action: String::new(),
        workings: Vec::new(),
        looked_at: Vec::new(),
    }
}

/// The lower of two states; what does not apply is left out.
pub fn lower(a: State, b: State) -> State {
    match (a, b) {
        (State::NotApplicable, x) | (x, State::NotApplicable) => x,
        (a, b) => a.min(b),
    }
}

/// Order of places: what speaks against first, then by how far, as a factor, the number lies from its limit.
pub fn weaker(a: &PlaceResult, b: &PlaceResult) -> std::cmp::Ordering {
    let size = |p: &PlaceResult| Some(p.distance()).filter(|d| !d.is_nan()).unwrap_or(f64::INFINITY);
    a.state.cmp(&b.state).then_with(|| size(a).total_cmp(&size(b)))
}

/// A claim result with short ways to add to it.
pub trait Write {
    fn reason(&mut self, code: Code, detail: impl Into<String>, text: impl Into<String>, at: Option<At>);
    fn cap(&mut self, state: State);
    fn saw(&mut self, text: impl Into<String>, at: At);
    fn place_state(&mut self, place: &str, state: State, text: impl Into<String>);
    fn rests_on(&mut self, case: &Case, condition: &str);
}

impl Write for ClaimResult {
    fn reason(&mut self, code: Code, detail: impl Into<String>, text: impl Into<String>, at: Option<At>) {
        let r = Reason { code, detail: detail.into(), text: text.into(), at };
        if !self.reasons.contains(&r) {
            self.reasons.push(r);
        }
    }

    fn cap(&mut self, state: State) {
        if self.state == State::NotApplicable || state < self.state {
            self.state = state;
        }
    }

    fn saw(&mut self, text: impl Into<String>, at: At) {
        self.looked_at.push((text.into(), at));
    }

    fn place_state(&mut self, place: &str, state: State, text: impl Into<String>) {
        self.places.push(PlaceResult {
            place: place.to_string(),
            state,
            text: text.into(),
            value: f64::NAN,
            limit: f64::NAN,
            margin: f64::NAN,
            unit: String::new(),
            run: String::new(),
            working: None,
            tested: None,
            aside: None,
        });
    }

    fn rests_on(&mut self, case: &Case, condition: &str) {
        if !self.conditions.iter().any(|c| c == condition) {
            self.conditions.push(condition.to_string());
        }
        if let Some(c) = case.site().condition(condition) {
            let id = c.id.text.clone();
            crate::judge::conditions::earlier(&mut self.valid_until, &mut self.valid_until_from, c.due, || {
                format!("condition {id}")
            });
        }
    }
}
