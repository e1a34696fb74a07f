//! What moved between two records, as data: each thing by its id, what of it moved from what to what, and why.

use serde_json::Value;

/// Everything that moved, and how much did not.
#[derive(Debug, Clone, PartialEq)]
pub struct Changes {
    pub old: Side,
    pub new: Side,
    /// What moved, in order of consequence: by topic, within a topic the worst first.
    pub items: Vec<Item>,
    /// What moved by less than it is worth.
    pub noise: Vec<Item>,
    /// How much was compared, kind by kind.
    pub counts: Vec<Count>,
}

/// One of the two records.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Side {
    pub document: String,
    pub revision: String,
    /// draft, what-if or candidate, as the record says it.
    pub status: String,
    /// Where the revision stood by its approvals, where they are at hand.
    pub stood: Option<Stood>,
    pub assembly: String,
    pub assembly_revision: String,
    pub as_of: String,
    pub route: String,
    /// Waivers that the route rests on.
    pub waivers: Vec<String>,
    pub tool: String,
    /// Content digest of the bag that the record lies in; none outside of a bag.
    pub digest: Option<String>,
    /// SHA-256 of the record.
    pub record: String,
}

/// Where a revision stood when the one after it was made.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Stood {
    /// candidate, rejected, issued.
    pub standing: String,
    /// Who rejected it, and why.
    pub rejection: Option<Rejection>,
}

/// A rejection that holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rejection {
    /// Id and name of the person.
    pub person: String,
    pub name: String,
    pub role: String,
    pub on: String,
    pub reason: String,
}

/// What a change is about, in order of consequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// Route, trees, claims and places whose state moved.
    States,
    /// Numbers of claims and places that moved by more than they are worth, and dates until which they hold.
    Numbers,
    Conditions,
    /// Runs: verdict, standing, gates, files, and what they say of claims.
    Evidence,
    Criteria,
    /// Doubts, assumptions, bridges, waivers.
    Doubts,
    /// Remarks of reviewers, and what became of them.
    Remarks,
    /// Document, assembly, process, environment, day of judgement.
    Product,
    /// Claims in everything else: wording, rule, reasons, what carries them.
    Claims,
    Coverage,
    Calculations,
    /// Input files.
    Inputs,
    /// Version of galipot, chapter templates, built-in rules.
    Program,
    /// Parts of a record that this version does not know.
    Other,
}

impl Topic {
    pub const ALL: [Self; 14] = [
        Self::States,
        Self::Numbers,
        Self::Conditions,
        Self::Evidence,
        Self::Criteria,
        Self::Doubts,
        Self::Remarks,
        Self::Product,
        Self::Claims,
        Self::Coverage,
        Self::Calculations,
        Self::Inputs,
        Self::Program,
        Self::Other,
    ];

    /// The word of the machine output.
    pub fn word(self) -> &'static str {
        match self {
            Self::States => "states",
            Self::Numbers => "numbers",
            Self::Conditions => "conditions",
            Self::Evidence => "evidence",
            Self::Criteria => "criteria",
            Self::Doubts => "doubts",
            Self::Remarks => "remarks",
            Self::Product => "product",
            Self::Claims => "claims",
            Self::Coverage => "coverage",
            Self::Calculations => "calculations",
            Self::Inputs => "inputs",
            Self::Program => "program",
            Self::Other => "other",
        }
    }
}

/// Whether a thing is in both records or in one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    Changed,
    Added,
    Removed,
}

impl Way {
    pub fn word(self) -> &'static str {
        match self {
            Self::Changed => "changed",
            Self::Added => "added",
            Self::Removed => "removed",
        }
    }
}

/// Where a change leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Course {
    Worse,
    Neither,
    Better,
}

impl Course {
    pub fn word(self) -> &'static str {
        match self {
            Self::Worse => "worse",
            Self::Neither => "neither",
            Self::Better => "better",
        }
    }

    /// The way back.
    pub fn reverse(self) -> Self {
        match self {
            Self::Worse => Self::Better,
            Self::Neither => Self::Neither,
            Self::Better => Self::Worse,
        }
    }
}

/// One thing that moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    pub topic: Topic,
    /// Word for what it is: `claim`, `place`, `run`, `condition`, `file` and so on.
    pub kind: &'static str,
    /// Its id; parts of a longer key stand with spaces between.
    pub id: String,
    pub title: String,
    pub way: Way,
    pub course: Course,
    /// Unit of its numbers, of the new record where both have one.
    pub unit: String,
    /// Whether it has others below it: a claim that only combines.
    pub combines: bool,
    /// What of it moved. For a thing that came or went: everything that it holds.
    pub moves: Vec<Move>,
    /// Why, where that is known: reasons, runs and conditions that came or went.
    pub because: Vec<String>,
}

/// One field: null where a record has nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    pub name: String,
    pub from: Value,
    pub to: Value,
}

/// How many things of a kind there are, and how many are the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Count {
    pub topic: Topic,
    pub kind: &'static str,
    pub old: usize,
    pub new: usize,
    /// In both records without any difference.
    pub same: usize,
    /// In both records, moved by less than it is worth and in nothing else.
    pub within_noise: usize,
}

impl Changes {
    /// What moved within a topic.
    pub fn of(&self, topic: Topic) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(move |i| i.topic == topic)
    }

    /// Whether nothing moved at all, not even within noise.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty() && self.noise.is_empty()
    }

    /// Whether a route, or the state of a tree, claim or place moved, came or went.
    pub fn states_moved(&self) -> bool {
        self.of(Topic::States).next().is_some()
    }

    /// Whether both records are of one dossier.
    pub fn same_document(&self) -> bool {
        self.old.document == self.new.document && self.old.assembly == self.new.assembly
    }

    /// How much of a kind was compared.
    pub fn count(&self, kind: &str) -> Option<&Count> {
        self.counts.iter().find(|c| c.kind == kind)
    }
}

impl Item {
    /// The move of one field.
    pub fn moved(&self, name: &str) -> Option<&Move> {
        self.moves.iter().find(|m| m.name == name)
    }
}
