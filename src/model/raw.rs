//! TOML as values with places, so that nothing but `read/toml.rs` needs to know the TOML crate.

use crate::diag::At;

/// A key as it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    pub name: String,
    pub at: At,
}

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    pub at: At,
    pub raw: Raw,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum Raw {
    Text(String),
    /// An integer or a float, with its text as written.
    Number(f64, String),
    Bool(bool),
    /// A date or date-time, as written.
    Date(String),
    List(Vec<Node>),
    Table(Table),
}

impl Raw {
    /// What a person would call it.
    pub fn name(&self) -> &'static str {
        match self {
            Raw::Text(_) => "text",
            Raw::Number(..) => "a number",
            Raw::Bool(_) => "true or false",
            Raw::Date(_) => "a date",
            Raw::List(_) => "a list",
            Raw::Table(_) => "a table",
        }
    }
}

/// A table in the order in which it was written. `at` is its header or, for the root, the file's start.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub at: At,
    pub entries: Vec<(Key, Node)>,
}

impl Table {
    pub fn get(&self, name: &str) -> Option<&Node> {
        self.entries.iter().find(|(k, _)| k.name == name).map(|(_, n)| n)
    }

    pub fn get_mut(&mut self, name: &str) -> Option<&mut Node> {
        self.entries.iter_mut().find(|(k, _)| k.name == name).map(|(_, n)| n)
    }
}
