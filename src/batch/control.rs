//! Takes values in order; gives the facts of these cases.

use super::Kind;

pub const KINDS: &[(&str, Kind)] = &[];
