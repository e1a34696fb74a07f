//! Takes conditions; gives what each lacks to be complete, those that attach to a claim, and whether they can all hold.

use crate::judge::court::Case;
use crate::model::Day;
use crate::model::governance::{Condition, Sense};

impl<'a> Case<'a> {
    /// Conditions of this assembly.
    pub fn conditions(&self) -> impl Iterator<Item = &'a Condition> {
        let id = self.id().to_string();
        self.site().conditions.iter().filter(move |c| c.assembly.text == id)
    }

    /// What a condition lacks; empty when it is complete.
    pub fn lacks(&self, c: &Condition) -> Vec<String> {
        let as_of = self.court.as_of();
        let mut lacks = Vec::new();
        match c.owner.as_ref().and_then(|p| self.site().person(p)) {
            None => lacks.push("an owner".to_string()),
            Some(p) if p.valid_from > as_of || as_of > p.valid_to => {
                lacks.push(format!("an owner in office: {} until {}", p.id, p.valid_to));
            }
            Some(_) => {}
        }
        match &c.feed {
            None => lacks.push("a feed".into()),
            Some(f) => {
                let file = self.site().sources.find(f).is_some();
                let chart = self.site().charts.iter().any(|x| x.id.text == f.text);
                if !file && !chart {
                    lacks.push(format!("its feed: {f} does not exist"));
                }
            }
        }
        match (&c.frequency, c.feed_on) {
            (None, _) => lacks.push("a frequency".into()),
            (_, None) => lacks.push("a first entry in its feed".into()),
            (Some(every), Some(last)) => {
                let days = every.in_unit("days");
                if last.days_until(as_of) as f64 > 2.0 * days {
                    lacks.push(format!("a fresh feed: last entry {last}, every {days} days"));
                }
            }
        }
        match c.due {
            None => lacks.push("a date of review".into()),
            Some(d) if d < as_of => lacks.push(format!("its review, due {d}")),
            Some(_) => {}
        }
        if c.breach_action.is_none() {
            lacks.push("a breach action".into());
        }
        if c.stop_ship.is_none() {
            lacks.push("whether a breach stops shipment".into());
        }
        lacks
    }

    pub fn is_complete(&self, c: &Condition) -> bool {
        self.lacks(c).is_empty()
    }

    /// Whether a complete condition takes a place out of use.
    pub fn excluded(&self, place: &str) -> bool {
        self.excluding(place).is_some()
    }

    /// The complete condition that takes a place out of use.
    pub fn excluding(&self, place: &str) -> Option<&'a Condition> {
        self.conditions().find(|c| c.excludes.iter().any(|x| x.text == place) && self.is_complete(c))
    }

    /// A condition of the claim that answers a run, a bridge or a doubt: complete if there is a complete one.
    pub fn answering(&self, claim: &str, what: &str) -> Option<&'a Condition> {
        let mut all: Vec<&Condition> = self
            .conditions()
            .filter(|c| c.claims.iter().any(|x| x.text == claim) && c.answers.iter().any(|x| x.text == what))
            .collect();
        all.sort_by_key(|c| !self.is_complete(c));
        all.first().copied()
    }

    /// Pairs of conditions that cannot both hold: one asks for more than the other allows.
    pub fn conflicts(&self) -> Vec<(&'a Condition, &'a Condition)> {
        let all: Vec<&Condition> = self.conditions().collect();
        let mut out = Vec::new();
        for (i, a) in all.iter().enumerate() {
            for b in &all[i + 1..] {
                if a.parameter.text != b.parameter.text || a.limit.dimension() != b.limit.dimension() {
                    continue;
                }
                let clash = match (a.sense, b.sense) {
                    (Sense::Ge, Sense::Le) => a.limit.si > b.limit.si,
                    (Sense::Le, Sense::Ge) => a.limit.si < b.limit.si,
                    _ => false,
                };
                if clash {
                    out.push((*a, *b));
                }
            }
        }
        out
    }
}

/// The earlier of two optional days, with where it comes from.
pub fn earlier(a: &mut Option<Day>, from: &mut String, day: Option<Day>, source: impl FnOnce() -> String) {
    if let Some(d) = day
        && a.is_none_or(|x| d < x)
    {
        *a = Some(d);
        *from = source();
    }
}
