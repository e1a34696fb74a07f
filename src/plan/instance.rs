//! What the search for the best plan looks at: plain numbers of lines, treatments, programmes and packages, by index.

use super::reach::{Won, opened};

/// A site as plain numbers. Amounts are in one currency, recurring ones a year.
#[derive(Debug, Clone, Default)]
pub struct Instance {
    pub months: u32,
    /// Factor of one month on what is paid once, and on what recurs.
    pub once: f64,
    pub recurring: f64,
    /// By assembly, then year of the plan: boards and panels a year.
    pub boards: Vec<Vec<f64>>,
    pub panels: Vec<Vec<f64>>,
    pub lines: Vec<Line>,
    pub treatments: Vec<Kind>,
    pub programmes: Vec<Scheme>,
    pub packs: Vec<Test>,
    /// Treatment that every assembly has today.
    pub today: usize,
    /// By assembly, then treatment: smallest sets of packages after which it may.
    pub after: Vec<Vec<Vec<Won>>>,
}

/// A wash line.
#[derive(Debug, Clone)]
pub struct Line {
    /// Cost a year while it is kept (for batch: of one machine).
    pub yearly: f64,
    pub work: Work,
    /// Month and price of the replacement.
    pub replace: Option<(u32, f64)>,
    /// Decommissioning less salvage, when nothing needs it any more.
    pub retire: f64,
    /// Cost of the first use of saponifier.
    pub conversion: f64,
}

/// How a line's running cost comes about.
#[derive(Debug, Clone)]
pub enum Work {
    /// Kept running for so many hours when there are at most so many panels: (panels, hours), rising.
    Shifts { steps: Vec<(f64, f64)>, hour: f64, saponifier: f64 },
    /// Hours that follow the panels.
    Follows { panels_an_hour: f64, hour: f64, saponifier: f64 },
    /// Boards in a load by assembly, cost of a load, loads a year of one machine, busiest week over the mean, price.
    Batch { boards: Vec<Option<f64>>, load: f64, capacity: f64, peak: f64, price: f64 },
    /// Cost of a board outside.
    Outside { board: f64 },
}

/// A treatment.
#[derive(Debug, Clone)]
pub struct Kind {
    pub line: Option<usize>,
    pub saponified: bool,
    pub lead: u32,
    pub board: f64,
    /// Only where nothing else is supported.
    pub contained: bool,
}

/// A programme.
#[derive(Debug, Clone)]
pub struct Scheme {
    pub treatments: Vec<usize>,
    pub beside: Vec<usize>,
    pub yearly: f64,
    pub once: f64,
}

/// A package of evidence.
#[derive(Debug, Clone)]
pub struct Test {
    pub cost: f64,
    pub months: u32,
    pub chance: f64,
    pub paid_at_end: bool,
}

/// A change of treatment: assembly, treatment, first month.
pub type Step = (usize, usize, u32);

impl Instance {
    pub fn assemblies(&self) -> usize {
        self.boards.len()
    }
    /// Whether an assembly may have a treatment after these packages.
    pub fn may(&self, a: usize, t: usize, won: Won) -> bool {
        match self.treatments[t].contained {
            true => self.is_contained(a, won),
            false => opened(&self.after[a][t], won),
        }
    }
    /// Whether no treatment of an assembly is supported after these packages.
    pub fn is_contained(&self, a: usize, won: Won) -> bool {
        !self.after[a].iter().any(|sets| opened(sets, won))
    }
    /// Number of assemblies without a supported treatment after these packages.
    pub fn contained(&self, won: Won) -> usize {
        (0..self.assemblies()).filter(|&a| self.is_contained(a, won)).count()
    }
    /// Every set of changes that may be decided today, each in order of assembly; none when there are more than `most`.
    pub fn today_changes(&self, most: usize) -> Option<Vec<Vec<Step>>> {
        let mut out: Vec<Vec<Step>> = vec![Vec::new()];
        for a in 0..self.assemblies() {
            let steps: Vec<Step> = (0..self.treatments.len())
                .filter(|&t| t != self.today && !self.treatments[t].contained && self.may(a, t, 0))
                .map(|t| (a, t, self.treatments[t].lead.max(1)))
                .filter(|s| s.2 <= self.months)
                .collect();
            let with = out.iter().flat_map(|set| steps.iter().map(|s| [set.clone(), vec![*s]].concat()));
            let with: Vec<Vec<Step>> = with.take(most + 1).collect();
            out.extend(with);
            if out.len() > most {
                return None;
            }
        }
        Some(out)
    }
    /// Packages that some treatment waits for.
    pub fn relevant(&self) -> Vec<usize> {
        let any = self.after.iter().flatten().flatten().fold(0, |s, x| s | x);
        (0..self.packs.len()).filter(|i| any >> i & 1 == 1).collect()
    }
    /// Present value of 1 paid in a month.
    pub fn paid(&self, month: u32) -> f64 {
        libm::pow(self.once, f64::from(month))
    }
    /// Present value of 1 a year in months `from` to `to`, both included.
    pub fn span(&self, from: u32, to: u32) -> f64 {
        (from.max(1)..=to).map(|m| libm::pow(self.recurring, f64::from(m))).sum::<f64>() / 12.0
    }
    /// Year of the plan, from 0, that a month belongs to.
    pub fn year(month: u32) -> usize {
        (month.max(1) as usize - 1) / 12
    }
    /// First months of the years in which the volume of an assembly changes.
    pub fn changes_of_volume(&self) -> Vec<u32> {
        let years = self.months.div_ceil(12) as usize;
        let differs = |y: usize| self.boards.iter().any(|b| b[y] != b[y - 1]);
        (1..years).filter(|&y| differs(y)).map(|y| y as u32 * 12 + 1).collect()
    }
    /// Cost a year of an assembly's boards in a treatment, beside what its line costs whoever is on it.
    pub fn rate(&self, a: usize, t: usize, year: usize) -> f64 {
        let kind = &self.treatments[t];
        let (boards, panels) = (self.boards[a][year], self.panels[a][year]);
        let line = kind.line.map_or(0.0, |l| match &self.lines[l].work {
            Work::Shifts { .. } => 0.0,
            Work::Follows { panels_an_hour, hour, .. } => panels / panels_an_hour * hour,
            Work::Batch { load, .. } => self.loads(a, l, year) * load,
            Work::Outside { board } => boards * board,
        });
        boards * kind.board + line
    }
    /// Loads a year of an assembly on a batch line.
    pub fn loads(&self, a: usize, line: usize, year: usize) -> f64 {
        match &self.lines[line].work {
            Work::Batch { boards, .. } => boards[a].map_or(0.0, |n| self.boards[a][year] / n),
            _ => 0.0,
        }
    }
    /// Present value of [`Self::rate`] from a month to the end.
    pub fn rate_from(&self, a: usize, t: usize, from: u32) -> f64 {
        let mut sum = 0.0;
        let mut at = from.max(1);
        while at <= self.months {
            let end = (Self::year(at) as u32 * 12 + 12).min(self.months);
            sum += self.rate(a, t, Self::year(at)) * self.span(at, end);
            at = end + 1;
        }
        sum
    }
    /// Whether a line is used today.
    pub fn used_today(&self, line: usize) -> bool {
        self.treatments[self.today].line == Some(line)
    }
}
