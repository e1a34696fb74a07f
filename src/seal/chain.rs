//! Takes a checked bag and those that are at hand; gives how it hangs on the revisions before it.

use super::verify::Report;

/// How a bag hangs on the revision before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Chain {
    Intact,
    /// At which step, and why.
    Broken(String),
    First,
    /// Which bag is not at hand.
    MissingPrevious(String),
}

impl Chain {
    pub fn word(&self) -> &'static str {
        match self {
            Self::Intact => "intact",
            Self::Broken(_) => "broken",
            Self::First => "first",
            Self::MissingPrevious(_) => "missing-previous",
        }
    }
}

/// The chain of a bag back to the first revision, through the bags that are at hand.
pub fn chain(report: &Report, others: &[Report]) -> Chain {
    let mut at = report;
    for step in 0..=others.len() {
        let Some(p) = &at.previous else { return if step == 0 { Chain::First } else { Chain::Intact } };
        let names = format!("revision {} names revision {} with content digest {}", at.revision, p.revision, p.digest);
        let same: Vec<&Report> =
            others.iter().filter(|o| o.document == at.document && o.revision == p.revision).collect();
        let meant = || same.iter().filter(|o| o.digest == p.digest);
        let Some(o) = meant().find(|o| o.intact()).or_else(|| meant().next()) else {
            return match same.first() {
                None => Chain::MissingPrevious(names),
                Some(o) => Chain::Broken(format!("{names}, and the revision {} at hand has {}", o.revision, o.digest)),
            };
        };
        let why = if !o.intact() {
            let first = o.problems.first().map_or(String::new(), |p| format!(": {} {}", p.code, p.file));
            format!("that bag is not intact{first}")
        } else if super::revision::rises(&o.revision, &at.revision) != Ok(true) {
            format!("{} does not come after {}", at.revision, o.revision)
        } else if at.previous_record.as_ref().is_some_and(|r| *r != o.record) {
            "its data/previous/record.json is not the data/record.json of that bag".to_string()
        } else {
            at = o;
            continue;
        };
        return Chain::Broken(format!("{names}, and {why}"));
    }
    Chain::Broken(format!("revision {} comes before itself", report.revision))
}
