//! Takes a checked bag and those that are at hand; gives how it hangs on the revisions before it.

use super::verify::Report;

/// How a bag hangs on the revision before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chain {
    Intact,
    Broken,
    First,
    MissingPrevious,
}

impl Chain {
    pub fn word(self) -> &'static str {
        match self {
            Self::Intact => "intact",
            Self::Broken => "broken",
            Self::First => "first",
            Self::MissingPrevious => "missing-previous",
        }
    }
}

/// The chain of a bag back to the first revision, through the bags that are at hand.
pub fn chain(report: &Report, others: &[Report]) -> Chain {
    let mut at = report;
    for step in 0..=others.len() {
        let Some(p) = &at.previous else { return if step == 0 { Chain::First } else { Chain::Intact } };
        let mut same = others.iter().filter(|o| o.document == at.document && o.revision == p.revision).peekable();
        if same.peek().is_none() {
            return Chain::MissingPrevious;
        }
        match same.find(|o| o.digest == p.digest && o.intact()) {
            Some(o)
                if super::revision::rises(&o.revision, &at.revision) == Ok(true)
                    && at.previous_record.as_ref().is_none_or(|r| *r == o.record) =>
            {
                at = o;
            }
            _ => return Chain::Broken,
        }
    }
    Chain::Broken
}
