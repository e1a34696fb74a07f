//! Takes air states and hourly logs; gives the facts of these cases.

use super::Kind;

pub const KINDS: &[(&str, Kind)] = &[];
