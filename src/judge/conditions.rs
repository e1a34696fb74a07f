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
                let chart = self
                    .site()
                    .charts
                    .iter()
                    .any(|x| x.id.text == f.text && x.assemblies.iter().any(|a| a.text == self.id()));
                if !file && !chart {
                    lacks.push(format!("its feed: {f} does not exist"));
                }
            }
        }
        match (&c.frequency, c.feed_on) {
            (None, _) => lacks.push("a frequency".into()),
            (_, None) => lacks.push("a first entry in its feed".into()),
            (_, Some(last)) if last > as_of => lacks.push(format!("a first entry in its feed: {last} is yet to come")),
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

    /// Whether a complete condition, of whatever claim, takes a place out of use.
    pub fn out_of_use(&self, place: &str) -> bool {
        self.conditions().any(|c| c.excludes.iter().any(|x| x.text == place) && self.is_complete(c))
    }

    /// The complete condition of a claim that takes a place out of it.
    pub fn excluding(&self, claim: &str, place: &str) -> Option<&'a Condition> {
        self.conditions()
            .filter(|c| c.claims.iter().any(|x| x.text == claim))
            .find(|c| c.excludes.iter().any(|x| x.text == place) && self.is_complete(c))
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

    /// Pairs of the named conditions that cannot both hold: one asks for more than the other allows.
    pub fn conflicts(&self, among: &[String]) -> Vec<(&'a Condition, &'a Condition)> {
        let all: Vec<&Condition> = self.conditions().filter(|c| among.contains(&c.id.text)).collect();
        let mut out = Vec::new();
        for (i, a) in all.iter().enumerate() {
            for b in &all[i + 1..] {
                let clash = match (a.sense, b.sense) {
                    (Sense::Ge, Sense::Le) => a.limit.si > b.limit.si,
                    (Sense::Le, Sense::Ge) => a.limit.si < b.limit.si,
                    _ => false,
                };
                if clash && same_parameter(a, b) {
                    out.push((*a, *b));
                }
            }
        }
        out
    }

    /// Conditions of which another asks for the same parameter in the same sense, and for more or the same: not counted.
    pub fn looser(&self, among: &[String]) -> Vec<&'a str> {
        let all: Vec<&Condition> = self.conditions().filter(|c| among.contains(&c.id.text)).collect();
        let mut out = Vec::new();
        for (i, a) in all.iter().enumerate() {
            let tighter = all.iter().enumerate().any(|(j, b)| {
                let more = match a.sense {
                    Sense::Ge => b.limit.si > a.limit.si,
                    Sense::Le => b.limit.si < a.limit.si,
                    Sense::In => false,
                };
                let equal = a.sense != Sense::In && b.limit.si == a.limit.si && j < i;
                i != j && a.sense == b.sense && same_parameter(a, b) && (more || equal)
            });
            if tighter {
                out.push(a.id.text.as_str());
            }
        }
        out
    }
}

/// Whether two conditions watch the same thing, however it is capitalised and spaced.
fn same_parameter(a: &Condition, b: &Condition) -> bool {
    let plain = |c: &Condition| c.parameter.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    a.limit.dimension() == b.limit.dimension() && plain(a) == plain(b)
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
