//! Takes dates as written; gives calendar days and moments that compare, print and add months.

use jiff::Span;
use jiff::civil::Date;

/// A calendar day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(Date);

impl Day {
    /// Reads `2026-03-31` and nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let b = text.as_bytes();
        if b.len() != 10 || b[4] != b'-' || b[7] != b'-' {
            return None;
        }
        text.parse().ok().map(Self)
    }

    /// The same day of the month `months` later; the last day when the month is shorter.
    pub fn plus_months(self, months: i64) -> Self {
        Self(self.0.saturating_add(Span::new().months(months.clamp(-12_000, 12_000))))
    }

    pub fn plus_days(self, days: i64) -> Self {
        Self(self.0.saturating_add(Span::new().days(days.clamp(-3_000_000, 3_000_000))))
    }

    /// Days from `self` to `later`; negative if it lies before.
    pub fn days_until(self, later: Day) -> i64 {
        self.0.until(later.0).map_or(0, |s| i64::from(s.get_days()))
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

/// A moment with its offset from UTC: `2025-10-06T08:00:00+01:00`. A bare day is its midnight UTC.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    pub day: Day,
    pub written: String,
    instant: jiff::Timestamp,
}

impl Moment {
    pub fn parse(text: &str) -> Option<Self> {
        if let Some(day) = Day::parse(text) {
            let instant = format!("{text}T00:00:00Z").parse().ok()?;
            return Some(Self { day, written: text.into(), instant });
        }
        let instant: jiff::Timestamp = text.parse().ok()?;
        let day = Day::parse(text.get(..10)?)?;
        Some(Self { day, written: text.into(), instant })
    }

    /// Hours from `self` to `later`.
    pub fn hours_until(&self, later: &Moment) -> f64 {
        (later.instant.as_millisecond() - self.instant.as_millisecond()) as f64 / 3.6e6
    }
}

impl PartialOrd for Moment {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.instant.cmp(&other.instant))
    }
}

impl std::fmt::Display for Moment {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.written)
    }
}
