//! Takes a statement, the key under it, the people and what was approved before; says why it does not count.

use super::approval::{About, Approval, Statement};

/// Why an approval is none, or does not count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Why {
    /// One of [`REASONS`].
    pub code: &'static str,
    pub text: String,
}

/// Every code with what it means: what makes an approval no valid one, what keeps a valid one from counting, and what does
/// so since the fourth format of bags.
pub const REASONS: &[(&str, &str)] = &[
    ("statement", "it cannot be read, or is about another bag, verdict or number of conditions"),
    ("signature", "it is not signed, or the signature is not over these bytes"),
    ("person", "the table of people does not hold the person"),
    ("key", "the key is not one of that person's"),
    ("role", "the person may not sign in that role"),
    ("term", "the authority of the person has not begun on that day, or has ended"),
    ("early", "it is dated before the day on which the evidence was judged"),
    ("day-order", "it is dated before one that stood before it (format 4)"),
    ("acceptance-order", "it accepts what nobody has approved (format 4)"),
    ("same-person", "the person who prepared reviews or approves (format 4)"),
    ("repeated", "the person has said the same in that role already, and nobody of the role spoke since (format 4)"),
    ("no-reason", "it rejects and does not say why (format 4)"),
];

/// A reason.
///
/// # Panics
/// When the code is not one of [`REASONS`]: every caller names it in the source.
pub fn why(code: &'static str, text: impl Into<String>) -> Why {
    assert!(REASONS.iter().any(|r| r.0 == code), "no reason {code}");
    Why { code, text: text.into() }
}

/// Everything that keeps a valid statement from counting: person, key, role, term and, where the bag asks for it, order.
/// `signs` says whether a line of the table of people is the key under the statement.
pub fn against(s: &Statement, signs: &dyn Fn(&str) -> bool, earlier: &[Approval], about: &About) -> Vec<Why> {
    let mut out = Vec::new();
    match about.people.iter().find(|p| p.id == s.person) {
        None => out.push(why("person", format!("{} is not in the table of people", s.person))),
        Some(p) => {
            if !p.keys.iter().any(|k| signs(k)) {
                out.push(why("key", format!("the key is not one of {}", p.id)));
            }
            if !p.authority.contains(&s.role) {
                out.push(why("role", format!("{} may not {}", p.id, s.role)));
            }
            if (s.role == "accept") != (p.org == "customer") {
                out.push(why("role", format!("{} signs for the {}, who does not {}", p.id, p.org, s.role)));
            }
            if s.date < p.from || p.to < s.date {
                out.push(why("term", format!("the authority of {} runs from {} to {}", p.id, p.from, p.to)));
            }
        }
    }
    if let Some(day) = about.as_of.filter(|d| s.date < *d) {
        out.push(why("early", format!("it is dated before the day on which the evidence was judged, {day}")));
    }
    if about.ordered {
        out.extend(out_of_order(s, earlier));
    }
    out
}

/// Whether days, roles and people follow each other as they must, among the earlier approvals that count.
pub fn out_of_order(s: &Statement, earlier: &[Approval]) -> Vec<Why> {
    let counts: Vec<&Approval> = earlier.iter().filter(|a| a.binds()).collect();
    let last = |role: &str| counts.iter().rfind(|a| a.role == role);
    let rejects = s.meaning == "rejected";
    let mut out = Vec::new();
    // Days are written so that their order is that of the letters.
    if let Some(a) = counts.iter().max_by_key(|a| &a.date).filter(|a| s.date.to_string() < a.date) {
        out.push(why("day-order", format!("it is dated {}, and {} before it {}", s.date, a.file, a.date)));
    }
    if s.role == "accept" && !rejects && last("approve").is_none_or(|a| a.meaning == "rejected") {
        out.push(why("acceptance-order", "nobody has approved it: an acceptance comes after an approval"));
    }
    let other = |roles: &[&str]| counts.iter().find(|a| a.identity == s.person && roles.contains(&a.role.as_str()));
    let both = match s.role.as_str() {
        "review" | "approve" if !rejects => other(&["prepare"]),
        "prepare" if !rejects => other(&["review", "approve"]),
        _ => None,
    };
    if let Some(a) = both {
        let text = format!("{} {} in {}: whoever prepared neither reviews nor approves", s.person, a.meaning, a.file);
        out.push(why("same-person", text));
    }
    if let Some(a) = last(&s.role).filter(|a| a.identity == s.person && a.meaning == s.meaning) {
        out.push(why("repeated", format!("{} has said the same in {}", s.person, a.file)));
    }
    if rejects && s.reason.as_ref().is_none_or(|r| r.trim().is_empty()) {
        out.push(why("no-reason", "it rejects and does not say why"));
    }
    out
}
