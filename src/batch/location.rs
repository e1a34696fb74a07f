//! Takes readings in order or in groups; gives the facts of these cases.

use super::Kind;

pub const KINDS: &[(&str, Kind)] = &[];
